//! Everything that the commands need on a machine that has only rustup.
//!
//! Each part says whether it is there and how to get it. What comes from a registry goes into one
//! cache folder of the user, so that a second clone finds it. Programs of the system are installed
//! with apt-get on Debian as root; elsewhere one sentence says what to install.

use super::tools::{self, Tools, cargo, is_version, on_path};
use super::{Trouble, output_of, run_beside, run_shown};
use std::process::Command;

const TRUNK: &str = "0.21.14";
const CUTTER: &str = "0.2.4";
/// The judge of what the project takes from others.
const CARGO_DENY: &str = "0.20.2";
const BINARYEN: &str = "132.0.0";
const ESBUILD: &str = "0.28.2";
/// The accessibility checker of the browser tests.
const AXE_CORE: &str = "4.14.1";
/// The judge of speed and good habits.
const LIGHTHOUSE_VERSION: &str = "12.8.2";
const OPENCV_JS: &str = "4.12.0-release.1";
/// The packages that the outside checks compare with.
const PYTHON_PACKAGES: [&str; 14] = [
    "html5lib==1.1",
    "icalendar==7.3.2",
    "jsonschema==4.26.0",
    "lxml==6.1.3",
    "numpy==2.4.6",
    "opencv-python-headless==5.0.0.93",
    "ortools==9.15.6755",
    "pandas==3.1.1",
    "pillow==13.0.0",
    "scipy==1.17.1",
    "shapely==2.2.0",
    "stream-unzip==0.0.101",
    "trimesh==5.2.0",
    "uncertainties==3.2.3",
];
/// These tools run for seconds: how fast they are built counts more than how fast they run.
const QUICK_PROFILE: [(&str, &str); 3] = [
    ("CARGO_PROFILE_RELEASE_LTO", "off"),
    ("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16"),
    ("CARGO_PROFILE_RELEASE_OPT_LEVEL", "0"),
];

/// One thing that must be there.
#[derive(Clone, Copy)]
pub struct Part {
    name: &'static str,
    /// Whether it comes through Rust's own tools.
    is_compiled: bool,
    is_there: fn(&Tools) -> bool,
    get: fn(&Tools) -> Result<(), Trouble>,
}

/// What a build of the site needs.
const BUILDING: &[Part] = &[
    WASM_TARGET,
    BINDGEN,
    TRUNK_PART,
    CUTTER_PART,
    NODE,
    OPTIMISERS,
];

/// To build the site.
pub const FOR_BUILDING: &[&[Part]] = &[BUILDING];
/// For all checks.
pub const FOR_CHECKING: &[&[Part]] = &[
    &[COMPONENTS, DENY],
    BUILDING,
    &[AXE, LIGHTHOUSE, BROWSER, PYTHON, PICTURES, MESHES],
];
/// To look at the built site.
pub const FOR_LOOKING: &[&[Part]] = &[BUILDING, &[BROWSER]];
/// To judge a built site as a slow phone sees it.
pub const FOR_JUDGING: &[&[Part]] = &[&[NODE, LIGHTHOUSE, BROWSER]];
/// To time the picture worker and measure the app's memory.
pub const FOR_TIMING: &[&[Part]] = &[BUILDING, &[BROWSER, PYTHON, OPENCV]];
/// To draw the icons.
pub const FOR_DRAWING: &[&[Part]] = &[&[BROWSER]];

/// Gets the parts that are missing and says so line by line.
pub fn ready(parts: &[&[Part]]) -> Result<Tools, Trouble> {
    let tools = Tools::open()?;
    let parts = parts.concat();
    let (compiled, fetched): (Vec<_>, Vec<_>) = parts.iter().partition(|part| part.is_compiled);
    // What is fetched leaves the cores to what is compiled.
    let (compiled, fetched) = std::thread::scope(|scope| {
        let fetched = scope.spawn(|| get_missing(&fetched, &tools));
        (get_missing(&compiled, &tools), fetched.join())
    });
    compiled?;
    fetched.map_err(|_| "The set-up broke off; see above.")??;
    Ok(tools)
}

fn get_missing(parts: &[&Part], tools: &Tools) -> Result<(), Trouble> {
    for part in parts {
        if (part.is_there)(tools) {
            continue;
        }
        println!("Setting up {}", part.name);
        (part.get)(tools)?;
        if !(part.is_there)(tools) {
            return Err(format!("{} was installed but does not answer.", part.name));
        }
    }
    Ok(())
}

const COMPONENTS: Part = Part {
    name: "rustfmt and clippy",
    is_compiled: true,
    is_there: |_| {
        ["fmt", "clippy"]
            .iter()
            .all(|name| output_of(cargo().args([name, "--version"])).is_some())
    },
    get: |_| rustup(&["component", "add", "rustfmt", "clippy"]),
};

const DENY: Part = Part {
    name: "cargo-deny (about 1 minute)",
    is_compiled: true,
    is_there: |tools| is_version(&tools.installed("cargo-deny"), CARGO_DENY),
    get: |tools| install(tools, "cargo-deny", CARGO_DENY, &["--no-default-features"]),
};

const WASM_TARGET: Part = Part {
    name: "Rust's standard library for WebAssembly",
    is_compiled: true,
    is_there: |_| {
        output_of(Command::new("rustc").args(["--print", "target-libdir", WASM_FLAG]))
            .is_some_and(|folder| std::path::Path::new(folder.trim()).is_dir())
    },
    get: |_| rustup(&["target", "add", "wasm32-unknown-unknown"]),
};
const WASM_FLAG: &str = "--target=wasm32-unknown-unknown";

const BINDGEN: Part = Part {
    name: "wasm-bindgen (about a minute and a half)",
    is_compiled: true,
    is_there: |tools| {
        tools::wasm_bindgen_version()
            .is_ok_and(|version| is_version(&tools.installed("wasm-bindgen"), &version))
    },
    get: |tools| {
        let version = tools::wasm_bindgen_version()?;
        install(tools, "wasm-bindgen-cli", &version, &[])
    },
};

const TRUNK_PART: Part = Part {
    name: "trunk (about 3 minutes)",
    is_compiled: true,
    is_there: |tools| is_version(&tools.installed("trunk"), TRUNK),
    get: |tools| {
        let features = ["--no-default-features", "--features", "rustls"];
        install(tools, "trunk", TRUNK, &features)
    },
};

const CUTTER_PART: Part = Part {
    name: "wasm-split (about 1 minute)",
    is_compiled: true,
    // It does not tell its version; cargo keeps a list of what it installed.
    is_there: |tools| {
        let entry = format!("\"{CUTTER_PACKAGE} {CUTTER} ");
        std::fs::read_to_string(tools.folder().join(".crates.toml"))
            .is_ok_and(|list| list.contains(&entry))
            && tools.installed("wasm-split-cli").is_file()
    },
    get: |tools| {
        install(
            tools,
            CUTTER_PACKAGE,
            CUTTER,
            &["--features", "build-binary"],
        )
    },
};
const CUTTER_PACKAGE: &str = "wasm_split_cli_support";

const NODE: Part = Part {
    name: "Node and npm",
    is_compiled: false,
    is_there: |_| on_path("node").is_some() && (cfg!(windows) || on_path("npm").is_some()),
    get: |_| {
        system_packages(
            &["nodejs", "npm"],
            "Install Node 18 or newer with npm, then run this again.",
        )
    },
};

const OPTIMISERS: Part = Part {
    name: "binaryen and esbuild",
    is_compiled: false,
    is_there: |tools| {
        [("binaryen", BINARYEN), ("esbuild", ESBUILD)]
            .iter()
            .all(|(name, version)| {
                std::fs::read_to_string(tools.package(name).join("package.json"))
                    .is_ok_and(|text| text.contains(&format!("\"version\": \"{version}\"")))
            })
    },
    get: |tools| {
        let packages = [format!("binaryen@{BINARYEN}"), format!("esbuild@{ESBUILD}")];
        npm_packages(tools, "npm", &packages)
    },
};

const AXE: Part = Part {
    name: "axe-core",
    is_compiled: false,
    is_there: |tools| tools.axe().is_file(),
    get: |tools| npm_packages(tools, "axe", &[format!("axe-core@{AXE_CORE}")]),
};

const LIGHTHOUSE: Part = Part {
    name: "Lighthouse",
    is_compiled: false,
    is_there: |tools| tools.lighthouse().is_file(),
    get: |tools| {
        let package = format!("lighthouse@{LIGHTHOUSE_VERSION}");
        npm_packages(tools, "lighthouse", &[package])
    },
};

const OPENCV: Part = Part {
    name: "OpenCV for browsers",
    is_compiled: false,
    is_there: |tools| tools.opencv_js().is_file(),
    // In a folder of its own: npm clears out what it is not asked for.
    get: |tools| {
        let package = format!("@techstark/opencv-js@{OPENCV_JS}");
        npm_packages(tools, "opencv-js", &[package])
    },
};

const BROWSER: Part = Part {
    name: "Chromium and its driver",
    is_compiled: false,
    is_there: |_| tools::chromium().is_some() && tools::chromedriver().is_some(),
    get: |_| {
        system_packages(
            &["chromium", "chromium-driver"],
            "Install Chromium and the ChromeDriver of the same version, put both on the search \
             path (or name them in CHROMIUM and CHROMEDRIVER), then run this again.",
        )
    },
};

const PYTHON: Part = Part {
    name: "Python with numpy, OpenCV and shapely",
    is_compiled: false,
    is_there: |tools| {
        let names = PYTHON_PACKAGES.map(|package| package.split("==").next().unwrap_or(package));
        let script = format!(
            "from importlib.metadata import version\n\
             for name in '{}'.split(): version(name)",
            names.join(" ")
        );
        output_of(Command::new(tools.python()).args(["-c", &script])).is_some()
    },
    get: |tools| {
        let can_make_one = |python: &str| {
            output_of(Command::new(python).args(["-c", "import venv, ensurepip"])).is_some()
        };
        let pythons = ["python3", "python"];
        if !pythons.iter().any(|python| can_make_one(python)) {
            system_packages(
                &["python3", "python3-venv"],
                "Install Python 3.11 or newer with venv and pip, then run this again.",
            )?;
        }
        let python = pythons.iter().find(|python| can_make_one(python));
        let python = python.ok_or("Python cannot make an environment: its venv is missing.")?;
        run_fetching(
            Command::new(python)
                .args(["-m", "venv", "--clear"])
                .arg(tools.venv()),
        )?;
        run_fetching(
            Command::new(tools.python())
                .args(["-m", "pip", "install", "--quiet"])
                .arg("--disable-pip-version-check")
                .args(PYTHON_PACKAGES),
        )
    },
};

const PICTURES: Part = Part {
    name: "the photographs of Debian's package opencv-doc",
    is_compiled: false,
    is_there: |tools| tools.opencv_doc().join("examples/data").is_dir(),
    get: |tools| debian_package(tools, "opencv-doc"),
};

const MESHES: Part = Part {
    name: "the meshes of Debian's package libcgal-demo",
    is_compiled: false,
    is_there: |tools| tools.cgal_demo().join("data.tar.gz").is_file(),
    get: |tools| debian_package(tools, "libcgal-demo"),
};

/// Unpacks a package of Debian into a folder of the tools' cache folder; nothing is installed.
fn debian_package(tools: &Tools, name: &str) -> Result<(), Trouble> {
    if on_path("apt-get").is_none() {
        return Err(format!(
            "Unpack Debian's package {name} into the folder {name} of the tools' cache folder, \
             then run this again. ({})",
            tools.folder().display()
        ));
    }
    let folder = tools.folder().join(name);
    std::fs::create_dir_all(&folder)
        .map_err(|e| format!("{} cannot be made: {e}.", folder.display()))?;
    let download = || {
        let mut command = Command::new("apt-get");
        command.args(["--quiet", "download", name]);
        run_fetching(command.current_dir(&folder))
    };
    // On a fresh machine the package lists are empty, and only root may fetch them.
    if download().is_err() {
        refresh_package_lists()?;
        download()?;
    }
    let package = std::fs::read_dir(&folder)
        .into_iter()
        .flatten()
        .filter_map(|entry| Some(entry.ok()?.path()))
        .find(|path| path.extension().is_some_and(|ending| ending == "deb"))
        .ok_or("apt-get left no package behind.")?;
    run_fetching(
        Command::new("dpkg-deb")
            .arg("-x")
            .arg(&package)
            .arg(&folder),
    )
}

/// Whether Rust's own source is there, from which a smaller standard library is built. It is got
/// if it is missing; without it the app is only larger.
pub fn has_rust_source() -> bool {
    let is_there = || {
        output_of(Command::new("rustc").args(["--print", "sysroot"])).is_some_and(|sysroot| {
            let source = std::path::Path::new(sysroot.trim()).join("lib/rustlib/src/rust/library");
            source.join("std/Cargo.toml").is_file()
        })
    };
    if is_there() {
        return true;
    }
    println!("Setting up Rust's own source");
    match rustup(&["component", "add", "rust-src"]) {
        Ok(()) => is_there(),
        Err(trouble) => {
            println!("{trouble} Without it the app is a tenth larger.");
            false
        }
    }
}

fn rustup(arguments: &[&str]) -> Result<(), Trouble> {
    run_shown(Command::new("rustup").args(arguments)).map_err(|trouble| {
        format!(
            "{trouble} Install Rust through rustup, or run `rustup {}` yourself.",
            arguments.join(" ")
        )
    })
}

fn install(tools: &Tools, name: &str, version: &str, more: &[&str]) -> Result<(), Trouble> {
    run_shown(
        cargo()
            .args(["install", name, "--locked", "--force", "--version", version])
            .args(more)
            .arg("--root")
            .arg(tools.folder())
            // A folder of its own, so that both tools share what they have in common and the
            // clone's own folder stays clean.
            .env("CARGO_TARGET_DIR", tools.folder().join("build"))
            .envs(QUICK_PROFILE),
    )
}

fn npm_packages(tools: &Tools, folder: &str, packages: &[String]) -> Result<(), Trouble> {
    run_fetching(
        Command::new(if cfg!(windows) { "npm.cmd" } else { "npm" })
            .args(["install", "--no-save", "--no-fund", "--no-audit"])
            .args(["--loglevel", "error", "--prefix"])
            .arg(tools.folder().join(folder))
            .args(packages),
    )
}

fn system_packages(names: &[&str], elsewhere: &str) -> Result<(), Trouble> {
    if !is_debian_root() {
        return Err(elsewhere.to_owned());
    }
    refresh_package_lists()?;
    run_fetching(
        Command::new("apt-get")
            .args(["install", "--yes", "--quiet", "--no-install-recommends"])
            .args(names)
            .env("DEBIAN_FRONTEND", "noninteractive"),
    )
}

fn refresh_package_lists() -> Result<(), Trouble> {
    run_fetching(Command::new("apt-get").args(["--quiet", "update"]))
}

fn is_debian_root() -> bool {
    on_path("apt-get").is_some()
        && output_of(Command::new("id").arg("-u")).is_some_and(|id| id.trim() == "0")
}

/// Runs a program while others compile.
fn run_fetching(command: &mut Command) -> Result<(), Trouble> {
    let (said, outcome) = run_beside(command);
    print!("{said}");
    outcome
}
