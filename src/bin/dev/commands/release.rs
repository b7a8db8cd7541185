//! The list of a release's files with their digests, and the service worker that keeps them.

use super::{Trouble, darkroom, parts, words};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

/// The service worker's name, in public/ as a template and in the built site.
pub const SERVICE_WORKER: &str = "service-worker.js";
/// The line of the template that the build replaces.
const BLANK: &str = r#"const RELEASE = { digest: "", files: [], asked: [], later: [] };"#;

/// When a phone fetches a file of a release.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// At its very first start.
    First,
    /// Once the first screen is there: what a first start can do without.
    Later,
    /// When it is asked for.
    Asked,
}

/// When a phone fetches the file of that name.
pub fn turn(name: &str) -> Turn {
    match name {
        name if name.starts_with(darkroom::PREFIX) => Turn::Later,
        // Asked for when the app is put on the home screen.
        name if name.starts_with("icons/") && name.ends_with(".png") => Turn::Later,
        name if name.starts_with(parts::LATER) => Turn::Later,
        name if name.starts_with(words::PREFIX) => Turn::Asked,
        _ => Turn::First,
    }
}

/// The names of all files under `folder`, `/` between folders, in order.
pub fn files(folder: &Path) -> Result<Vec<String>, Trouble> {
    let mut found = Vec::new();
    collect(folder, "", &mut found)?;
    found.sort();
    Ok(found)
}

fn collect(folder: &Path, prefix: &str, found: &mut Vec<String>) -> Result<(), Trouble> {
    let trouble = |e| format!("{} cannot be read: {e}.", folder.display());
    for entry in std::fs::read_dir(folder).map_err(trouble)? {
        let entry = entry.map_err(trouble)?;
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            collect(&entry.path(), &format!("{name}/"), found)?;
        } else {
            found.push(name);
        }
    }
    Ok(())
}

/// Puts the service worker into the built site, filled with the site's files and their digests.
pub fn add_service_worker(root: &Path, site: &Path) -> Result<(), Trouble> {
    let path = root.join("public").join(SERVICE_WORKER);
    let template = read(&path)?;
    let template = String::from_utf8_lossy(&template);
    let mut contents = Vec::new();
    for name in files(site)? {
        if name != SERVICE_WORKER {
            contents.push((name.clone(), read(&site.join(&name))?));
        }
    }
    let filled = fill(&template, &contents)
        .ok_or_else(|| format!("{} lacks the line: {BLANK}", path.display()))?;
    let target = site.join(SERVICE_WORKER);
    std::fs::write(&target, filled)
        .map_err(|e| format!("{} cannot be written: {e}.", target.display()))
}

fn read(path: &Path) -> Result<Vec<u8>, Trouble> {
    std::fs::read(path).map_err(|e| format!("{} cannot be read: {e}.", path.display()))
}

/// The template with the release in it; none if the template has no place for it.
fn fill(template: &str, contents: &[(String, Vec<u8>)]) -> Option<String> {
    if template.matches(BLANK).count() != 1 {
        return None;
    }
    let mut whole = Sha256::new();
    // A change of the worker alone is a new release too.
    whole.update(template);
    let [mut first, mut asked, mut later] = [const { String::new() }; 3];
    for (name, content) in contents {
        let digest = Sha256::digest(content);
        whole.update(name);
        whole.update([0]);
        whole.update(digest);
        // Hosts answer with the page for the folder itself; some redirect its full name there.
        let address = if name == "index.html" { "./" } else { name };
        let integrity = format!("sha256-{}", STANDARD.encode(digest));
        let part = match turn(name) {
            Turn::First => &mut first,
            Turn::Asked => &mut asked,
            Turn::Later => &mut later,
        };
        *part += &format!("    [{address:?}, {integrity:?}],\n");
    }
    let digest = start_of(&whole.finalize());
    let release = format!(
        "const RELEASE = {{\n  digest: {digest:?},\n  files: [\n{first}  ],\n  asked: [\n{asked}  ],\n  later: [\n{later}  ],\n}};"
    );
    Some(template.replace(BLANK, &release))
}

/// The first digits of a file's SHA-256: enough to tell one content from another in a name.
pub fn file_digest(path: &Path) -> Result<String, Trouble> {
    Ok(digest(&read(path)?))
}

/// The same of a content.
pub fn digest(content: &[u8]) -> String {
    start_of(&Sha256::digest(content))
}

/// The digest of all these files, folders with all that is in them, and `more`. What is not there
/// counts as that.
pub fn digest_of(paths: &[PathBuf], more: &[u8]) -> String {
    let mut whole = Sha256::new();
    whole.update(more);
    for path in paths {
        let names = files(path).unwrap_or_else(|_| vec![String::new()]);
        for name in names {
            let content = match name.is_empty() {
                true => std::fs::read(path),
                false => std::fs::read(path.join(&name)),
            };
            whole.update(&name);
            whole.update([0]);
            whole.update(Sha256::digest(content.unwrap_or_default()));
        }
    }
    start_of(&whole.finalize())
}

fn start_of(digest: &[u8]) -> String {
    digest[..8]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{BLANK, fill};

    fn site(script: &str) -> Vec<(String, Vec<u8>)> {
        vec![
            ("boot.js".into(), script.into()),
            ("index.html".into(), b"<p>".to_vec()),
        ]
    }

    #[test]
    fn the_worker_lists_each_file_with_its_digest() {
        let filled = fill(BLANK, &site("abc")).unwrap();
        // SHA-256 of "abc", from the examples of FIPS 180-4, in Base64.
        let line = r#"["boot.js", "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="],"#;
        assert!(filled.contains(line), "{filled}");
        assert!(filled.contains(r#"["./", "sha256-"#), "{filled}");
        assert!(!filled.contains("index.html"), "{filled}");
    }

    #[test]
    fn the_picture_worker_and_the_other_screens_come_later() {
        let mut site = site("abc");
        site.push(("darkroom-12ab.js".into(), Vec::new()));
        site.push(("later/peelcast-12ab-measure.wasm".into(), Vec::new()));
        site.push(("peelcast-12ab_bg.wasm".into(), Vec::new()));
        site.push(("words/de.json".into(), Vec::new()));
        let filled = fill(BLANK, &site).unwrap();
        let later = filled.split("later: [").nth(1).unwrap();
        assert!(
            later.contains(r#"["darkroom-12ab.js", "sha256-"#),
            "{filled}"
        );
        assert!(later.contains("-measure.wasm"), "{filled}");
        assert!(!later.contains("boot.js"), "{filled}");
        assert!(!later.contains("_bg.wasm"), "{filled}");
        let asked = filled.split("asked: [").nth(1).unwrap();
        let asked = asked.split(']').next().unwrap();
        assert!(asked.contains("words/de.json"), "{filled}");
    }

    #[test]
    fn any_change_makes_another_release() {
        let first = fill(BLANK, &site("abc")).unwrap();
        let same = fill(BLANK, &site("abc")).unwrap();
        let digest = |text: &str| text.lines().nth(1).unwrap().to_owned();
        assert_eq!(first, same);
        let changed = fill(BLANK, &site("abd")).unwrap();
        assert_ne!(digest(&first), digest(&changed));
        let worker = fill(&format!("{BLANK}\n//"), &site("abc")).unwrap();
        assert_ne!(digest(&first), digest(&worker));
    }

    #[test]
    fn a_template_without_its_place_is_refused() {
        assert_eq!(fill("const RELEASE = {};", &site("abc")), None);
    }

    #[test]
    fn the_project_s_own_worker_has_the_place() {
        let own = include_str!("../../../../public/service-worker.js");
        assert!(fill(own, &site("abc")).is_some());
    }
}
