//! The built site in a folder of its own, with examples of what to tell a plain static host.
//!
//! The same commit, built with the same tools, gives the same bytes: the digest in the last line
//! tells whether two builds are alike.

use super::tools::{Tools, target_folder};
use super::{Trouble, build, host, read_text, release, write_text};
use std::path::Path;

/// The page, and what the browser asks the host for to find a new release: always looked at anew.
const ALWAYS_ASKED: [&str; 4] = [
    "",
    "boot.js",
    "manifest.webmanifest",
    release::SERVICE_WORKER,
];
const ASK: &str = "no-cache";
/// The name of such a file tells its content.
const KEEP: &str = "public, max-age=31536000, immutable";

/// Builds the release and writes it and the examples into `target/release-files`.
pub fn write(root: &Path, tools: &Tools) -> Result<(), Trouble> {
    let built = build::release(root, tools)?;
    let folder = target_folder(root).join("release-files");
    if folder.exists() {
        std::fs::remove_dir_all(&folder)
            .map_err(|e| format!("{} cannot be emptied: {e}.", folder.display()))?;
    }
    let site = folder.join("site");
    let mut whole = Vec::new();
    for name in release::files(&built)? {
        let (from, to) = (built.join(&name), site.join(&name));
        let content =
            std::fs::read(&from).map_err(|e| format!("{} cannot be read: {e}.", from.display()))?;
        let above = to.parent().unwrap_or(&site);
        std::fs::create_dir_all(above)
            .and_then(|()| std::fs::write(&to, &content))
            .map_err(|e| format!("{} cannot be written: {e}.", to.display()))?;
        println!(
            "{}  {:>8}  {name}",
            release::digest(&content),
            content.len()
        );
        whole.extend(name.into_bytes());
        whole.extend(content);
    }
    let page = read_text(&built.join("index.html"))?;
    let policy = host::policy(&page).ok_or("index.html has no Content-Security-Policy.")?;
    write_text(&folder.join("headers.txt"), &headers(&policy))?;
    write_text(&folder.join("htaccess.txt"), &htaccess(&policy))?;
    write_text(&folder.join("nginx.txt"), &nginx(&policy))?;
    println!("Copy what is in {} to the host,", site.display());
    println!(
        "{} last. Beside it stand headers.txt, htaccess.txt and nginx.txt: what to tell the host, \
         in three common forms.",
        release::SERVICE_WORKER
    );
    println!("Release {}", release::digest(&whole));
    Ok(())
}

/// What every answer of the host carries.
fn of_all(policy: &str) -> [(&'static str, String); 5] {
    [
        (
            "Content-Security-Policy",
            // What a page cannot say of itself: no other page may frame it.
            format!("{policy}; frame-ancestors 'none'"),
        ),
        ("X-Content-Type-Options", "nosniff".into()),
        ("Referrer-Policy", "no-referrer".into()),
        ("Cross-Origin-Opener-Policy", "same-origin".into()),
        ("Cross-Origin-Resource-Policy", "same-origin".into()),
    ]
}

/// Paths with their headers below them, as many static hosts read it.
fn headers(policy: &str) -> String {
    let mut text = String::from("/*\n");
    for (name, value) in of_all(policy) {
        text += &format!("  {name}: {value}\n");
    }
    for name in ALWAYS_ASKED {
        text += &format!("/{name}\n  Cache-Control: {ASK}\n");
    }
    for ending in ["wasm", "css"] {
        text += &format!("/*.{ending}\n  Cache-Control: {KEEP}\n");
    }
    text + "/*.wasm\n  Content-Type: application/wasm\n\
        /manifest.webmanifest\n  Content-Type: application/manifest+json\n"
}

/// For hosts that read a file named `.htaccess` in the site's folder.
fn htaccess(policy: &str) -> String {
    let mut text = String::from(
        "AddType application/wasm .wasm\nAddType application/manifest+json .webmanifest\n\
         AddOutputFilterByType BROTLI_COMPRESS application/wasm text/html text/css \
         text/javascript application/json\n",
    );
    for (name, value) in of_all(policy) {
        text += &format!("Header always set {name} \"{value}\"\n");
    }
    text += &format!("Header set Cache-Control \"{ASK}\"\n");
    text + &format!(
        "<FilesMatch \"\\.(wasm|css)$\">\n  Header set Cache-Control \"{KEEP}\"\n</FilesMatch>\n"
    )
}

/// A `server` block's content for nginx.
fn nginx(policy: &str) -> String {
    let mut all = String::new();
    for (name, value) in of_all(policy) {
        all += &format!("    add_header {name} \"{value}\" always;\n");
    }
    format!(
        "types {{\n    text/html html;\n    text/css css;\n    text/javascript js;\n    \
         application/json json;\n    application/wasm wasm;\n    application/manifest+json \
         webmanifest;\n    image/svg+xml svg;\n    image/png png;\n    image/webp webp;\n}}\n\
         gzip on;\ngzip_types text/css text/javascript application/json application/wasm \
         image/svg+xml;\n\
         location / {{\n    add_header Cache-Control \"{ASK}\" always;\n{all}}}\n\
         location ~ \\.(wasm|css)$ {{\n    add_header Cache-Control \"{KEEP}\" always;\n{all}}}\n"
    )
}

#[cfg(test)]
mod tests {
    use super::{headers, htaccess, nginx};

    #[test]
    fn each_form_says_policy_kind_and_how_long_to_keep() {
        for text in [headers("p"), htaccess("p"), nginx("p")] {
            assert!(text.contains("p; frame-ancestors 'none'"), "{text}");
            assert!(text.contains("application/wasm"), "{text}");
            assert!(
                text.contains("no-cache") && text.contains("immutable"),
                "{text}"
            );
        }
    }
}
