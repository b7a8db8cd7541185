//! Times the darkroom in the browser beside a general-purpose library for pictures, and measures the
//! memory that the app takes for a large photo.

use super::build::{self, LEAN};
use super::darkroom::Program;
use super::tools::{Tools, target_folder};
use super::{Trouble, project_root, run_shown, setup, verify};
use std::path::Path;
use std::process::Command;

/// What is timed.
const WORK: Program = Program {
    chosen: ["--package", "peelcast-bench"],
    name: "peelcast_bench",
};

/// The page that the bench runs in.
const PAGE: &str = "<!doctype html><title>Bench</title>";

/// The photograph with a truth, out of PyPI's imgaug (see tests/outside/check_ring.py).
const ANIMAL: &str = "\
import json, pathlib, subprocess, sys, zipfile
kept, to = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
if not list(kept.glob('imgaug-*.whl')):
    pip = [sys.executable, '-m', 'pip', 'download', '--quiet', '--disable-pip-version-check']
    subprocess.run([*pip, '--no-deps', '--dest', kept, 'imgaug==0.4.0'], check=True)
package = zipfile.ZipFile(next(kept.glob('imgaug-*.whl')))
(to / 'animal.jpg').write_bytes(package.read('imgaug/quokka.jpg'))
said = json.loads(package.read('imgaug/quokka_annotations.json'))['polygons'][0]['keypoints']
scene = {'name': 'animal', 'picture': 'animal.jpg', 'size': [960, 643]}
scene['outline'] = [[p['x'], p['y']] for p in said]
(to / 'animal.json').write_text(json.dumps(scene))
";

/// Builds what is timed and prints both columns, then the memory.
pub fn run() -> Result<(), Trouble> {
    let root = project_root()?;
    let dev = std::env::current_exe().map_err(|e| format!("This program has no path: {e}."))?;
    let tools = setup::ready(setup::FOR_TIMING)?;
    let folder = target_folder(&root).join("bench");
    std::fs::create_dir_all(&folder)
        .map_err(|e| format!("{} cannot be made: {e}.", folder.display()))?;
    gather(&root, &tools, &folder)?;
    let site = build::release(&root, &tools)?;
    let scenes = verify::scenes(&root)?;
    let test = |name: &str, site: &Path| {
        run_shown(
            verify::browser_tests(&root, site, &dev)?
                .args(["--quiet", "--", name, "--include-ignored", "--nocapture"])
                .arg("--test-threads=1")
                .env("PEELCAST_BENCH", &folder)
                .env("PEELCAST_SCENES", &scenes),
        )
    };
    test("bench::", &folder)?;
    test("memory::", &site)?;
    test("speed::", &site)?;
    test("sweep::", &site)
}

fn gather(root: &Path, tools: &Tools, folder: &Path) -> Result<(), Trouble> {
    let lean: &[_] = if setup::has_rust_source() { &LEAN } else { &[] };
    WORK.build(root, tools, folder, lean)?;
    let copy = |from: &Path, name: &str| {
        std::fs::copy(from, folder.join(name))
            .map(drop)
            .map_err(|e| format!("{} cannot be copied: {e}.", from.display()))
    };
    copy(&root.join("tests/bench/bench.js"), "bench.js")?;
    copy(&root.join("public/sample/plaque.webp"), "plaque.webp")?;
    copy(&tools.opencv_js(), "opencv.js")?;
    let page = folder.join("index.html");
    std::fs::write(&page, PAGE)
        .map_err(|e| format!("{} cannot be written: {e}.", page.display()))?;
    run_shown(
        Command::new(tools.python())
            .args(["-c", ANIMAL])
            .arg(tools.folder().join("photos"))
            .arg(folder),
    )
}
