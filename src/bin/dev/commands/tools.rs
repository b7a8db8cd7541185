//! Where the tools are that the project uses.

use super::{Trouble, output_of, project_root};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder of the user that holds the tools of every clone.
#[derive(Clone)]
pub struct Tools {
    folder: PathBuf,
}

impl Tools {
    /// `peelcast-tools` in the user's cache folder, made if it is not there.
    pub fn open() -> Result<Self, Trouble> {
        let cache = |name| std::env::var_os(name).filter(|value| !value.is_empty());
        let base = cache("XDG_CACHE_HOME")
            .or_else(|| cache("LOCALAPPDATA"))
            .map(PathBuf::from)
            .or_else(|| std::env::home_dir().map(|home| home.join(".cache")))
            .ok_or("Set XDG_CACHE_HOME to a folder where tools may be kept.")?;
        let folder = base.join("peelcast-tools");
        std::fs::create_dir_all(&folder)
            .map_err(|e| format!("{} cannot be made: {e}.", folder.display()))?;
        Ok(Self { folder })
    }

    /// The folder itself.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// A program that cargo installed here.
    pub fn installed(&self, name: &str) -> PathBuf {
        let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
        self.folder.join("bin").join(file)
    }

    /// The search path with this folder's programs first.
    pub fn search_path(&self) -> OsString {
        let old = std::env::var_os("PATH").unwrap_or_default();
        let bin = self.folder.join("bin");
        let folders = std::iter::once(bin).chain(std::env::split_paths(&old));
        std::env::join_paths(folders).unwrap_or(old)
    }

    /// The folder of an npm package.
    pub fn package(&self, name: &str) -> PathBuf {
        self.folder.join("npm/node_modules").join(name)
    }

    /// OpenCV as the package npm has it for browsers.
    pub fn opencv_js(&self) -> PathBuf {
        let package = "opencv-js/node_modules/@techstark/opencv-js";
        self.folder.join(package).join("dist/opencv.js")
    }

    /// The accessibility checker as the package npm has it for browsers.
    pub fn axe(&self) -> PathBuf {
        self.folder.join("axe/node_modules/axe-core/axe.min.js")
    }

    /// The judge of speed and good habits, a script of Node.
    pub fn lighthouse(&self) -> PathBuf {
        let package = "lighthouse/node_modules/lighthouse";
        self.folder.join(package).join("cli/index.js")
    }

    /// The optimiser of WebAssembly, ready for its arguments.
    pub fn wasm_opt(&self) -> Command {
        let mut command = Command::new("node");
        command.arg(self.package("binaryen").join("bin/wasm-opt"));
        command
    }

    /// The program that makes JavaScript smaller, ready for its arguments.
    pub fn esbuild(&self) -> Command {
        // Its launcher: a script at first, which installing replaces with the program itself.
        let bin = self.folder.join("npm/node_modules/.bin");
        let mut command = Command::new(bin.join(if cfg!(windows) {
            "esbuild.cmd"
        } else {
            "esbuild"
        }));
        // wasm-bindgen names one module for each function that it takes from it.
        command.arg("--log-override:duplicate-object-key=silent");
        command
    }

    /// The folder of the Python environment.
    pub fn venv(&self) -> PathBuf {
        self.folder.join("venv")
    }

    /// The Python that knows numpy, OpenCV and shapely.
    pub fn python(&self) -> PathBuf {
        self.venv().join(if cfg!(windows) {
            "Scripts/python.exe"
        } else {
            "bin/python"
        })
    }

    /// What Debian's package opencv-doc brings, wherever it lies.
    pub fn opencv_doc(&self) -> PathBuf {
        self.unpacked("opencv-doc", "usr/share/doc/opencv-doc", "examples/data")
    }

    /// What Debian's package libcgal-demo brings, wherever it lies.
    pub fn cgal_demo(&self) -> PathBuf {
        self.unpacked("libcgal-demo", "usr/share/doc/libcgal-dev", "data.tar.gz")
    }

    /// The folder inside a package of Debian that holds this: the system's own, or where the
    /// package was unpacked.
    fn unpacked(&self, package: &str, inside: &str, holds: &str) -> PathBuf {
        let of_the_system = Path::new("/").join(inside);
        if of_the_system.join(holds).exists() {
            of_the_system
        } else {
            self.folder.join(package).join(inside)
        }
    }
}

/// The browser for tests and icons; `CHROMIUM` names another one.
pub fn chromium() -> Option<PathBuf> {
    named_or_found(
        "CHROMIUM",
        &["chromium", "chromium-browser", "google-chrome"],
    )
}

/// The driver that goes with it; `CHROMEDRIVER` names another one.
pub fn chromedriver() -> Option<PathBuf> {
    named_or_found("CHROMEDRIVER", &["chromedriver"])
}

fn named_or_found(variable: &str, names: &[&str]) -> Option<PathBuf> {
    let named = std::env::var_os(variable).map(PathBuf::from);
    named.or_else(|| names.iter().find_map(|name| on_path(name)))
}

/// A program of that name on the search path.
pub fn on_path(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    std::env::split_paths(&path)
        .map(|folder| folder.join(&file))
        .find(|program| program.is_file())
}

/// The cargo that runs this program.
pub fn cargo() -> Command {
    Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Where cargo puts what it builds for this clone.
pub fn target_folder(root: &Path) -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => root.join(folder),
        None => root.join("target"),
    }
}

/// The version of wasm-bindgen in Cargo.lock: the program must be of the same.
pub fn wasm_bindgen_version() -> Result<String, Trouble> {
    let path = project_root()?.join("Cargo.lock");
    let lock = std::fs::read_to_string(&path)
        .map_err(|e| format!("{} cannot be read: {e}.", path.display()))?;
    locked_version(&lock, "wasm-bindgen")
        .ok_or_else(|| format!("{} does not name wasm-bindgen.", path.display()))
}

fn locked_version(lock: &str, package: &str) -> Option<String> {
    let mut lines = lock.lines();
    lines.find(|line| *line == format!("name = \"{package}\""))?;
    let version = lines.next()?.strip_prefix("version = \"")?;
    Some(version.strip_suffix('"')?.to_owned())
}

/// Whether a program answers `--version` with this version as a word.
pub fn is_version(program: &Path, version: &str) -> bool {
    output_of(Command::new(program).arg("--version"))
        .is_some_and(|text| text.split_whitespace().any(|word| word == version))
}

#[cfg(test)]
mod tests {
    use super::locked_version;

    #[test]
    fn the_lock_file_tells_the_version_of_exactly_that_package() {
        let lock = "[[package]]\nname = \"wasm-bindgen-macro\"\nversion = \"0.1.0\"\n\n\
            [[package]]\nname = \"wasm-bindgen\"\nversion = \"0.2.129\"\n";
        assert_eq!(
            locked_version(lock, "wasm-bindgen").as_deref(),
            Some("0.2.129")
        );
        assert_eq!(locked_version(lock, "bindgen"), None);
    }
}
