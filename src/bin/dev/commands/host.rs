//! A small static host for the built site on this machine.

use super::{Trouble, budget, release};
use std::collections::HashMap;
use std::fs::File;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;

const FIRST_PORT: u16 = 8080;
const PORTS_TRIED: u16 = 20;
/// The head of a request is not longer than this, in bytes.
const LONGEST_HEAD: u64 = 64 << 10;
/// How long a caller may say, or take, nothing.
const PATIENCE: Duration = Duration::from_secs(20);

/// How to serve.
pub struct Wish {
    port: Option<u16>,
    under: String,
    log: Option<PathBuf>,
    compressed: bool,
}

impl Wish {
    /// `port`: none for the first free one from 8080 on. `under`: the path that the site stands
    /// under. `log`: where to append a line for each request. `compressed`: send the files with
    /// brotli to browsers that take it, as a host on the web does.
    pub fn new(
        port: Option<u16>,
        under: &str,
        log: Option<PathBuf>,
        compressed: bool,
    ) -> Result<Self, Trouble> {
        if !under.starts_with('/') || !under.ends_with('/') {
            return Err("--under wants a path like /some/path/".to_owned());
        }
        Ok(Self {
            port,
            under: under.to_owned(),
            log,
            compressed,
        })
    }
}

/// Serves `site` until the program is stopped. Prints the address of `place` in the app (from the
/// `#` on, or empty) and hands it to `ready` once the site can be had.
pub fn serve(
    site: &Path,
    wish: &Wish,
    place: &str,
    ready: impl FnOnce(&str),
) -> Result<(), Trouble> {
    let page = std::fs::read_to_string(site.join("index.html")).map_err(|_| {
        format!(
            "{} holds no built site: run `cargo dev build` first.",
            site.display()
        )
    })?;
    let log = match &wish.log {
        None => None,
        Some(path) => {
            let file = File::options().create(true).append(true).open(path);
            let file = file.map_err(|e| format!("{} cannot be written: {e}.", path.display()))?;
            Some(Mutex::new(file))
        }
    };
    let host = Host {
        site,
        under: &wish.under,
        policy: policy(&page),
        log,
        small: match wish.compressed {
            true => small_files(site)?,
            false => HashMap::new(),
        },
    };
    let (listener, port) = listen(wish.port)?;
    let address = format!("http://localhost:{port}{}{place}", wish.under);
    println!("Peelcast is at {address}");
    println!("Stop with Ctrl+C.");
    ready(&address);
    std::thread::scope(|scope| {
        for caller in listener.incoming().flatten() {
            let host = &host;
            // The browser may go away before it has its answer.
            scope.spawn(move || host.answer(caller).ok());
        }
    });
    Ok(())
}

fn listen(port: Option<u16>) -> Result<(TcpListener, u16), Trouble> {
    let (first, last) = match port {
        Some(port) => (port, port),
        None => (FIRST_PORT, FIRST_PORT + PORTS_TRIED),
    };
    (first..=last)
        .find_map(|port| Some((TcpListener::bind(("127.0.0.1", port)).ok()?, port)))
        .ok_or_else(|| {
            format!("No free port between {first} and {last}: name another with --port.")
        })
}

/// The page's own Content-Security-Policy: it stands once, in index.html.
pub fn policy(page: &str) -> Option<String> {
    let tag = &page[page.find("Content-Security-Policy")?..];
    let content = tag.split_once("content=\"")?.1;
    Some(content.split_once('"')?.0.to_owned())
}

/// All files of the site that get smaller by it, compressed.
fn small_files(site: &Path) -> Result<HashMap<String, Vec<u8>>, Trouble> {
    let mut small = HashMap::new();
    for name in release::files(site)? {
        let path = site.join(&name);
        let content =
            std::fs::read(&path).map_err(|e| format!("{} cannot be read: {e}.", path.display()))?;
        let less = budget::compressed(&content).map_err(|e| format!("brotli failed: {e}."))?;
        if less.len() < content.len() {
            small.insert(name, less);
        }
    }
    Ok(small)
}

struct Host<'a> {
    site: &'a Path,
    under: &'a str,
    policy: Option<String>,
    log: Option<Mutex<File>>,
    /// Compressed files by their names, where they are asked for.
    small: HashMap<String, Vec<u8>>,
}

/// What a browser asked for.
struct Request {
    method: String,
    url: String,
    /// Whether a person follows an address, rather than a script or a page its parts.
    navigates: bool,
    /// Whether the browser reads brotli.
    takes_brotli: bool,
    /// The tag of the content that the browser already has, if any.
    has: Option<String>,
}

impl Request {
    /// Reads the head of a request; its body, if any, is of no interest.
    fn read(caller: &TcpStream) -> std::io::Result<Self> {
        let head = BufReader::new(caller).take(LONGEST_HEAD);
        let mut lines = head.lines();
        let first = lines.next().transpose()?.unwrap_or_default();
        let mut words = first.split(' ').map(str::to_owned);
        let (method, url) = (
            words.next().unwrap_or_default(),
            words.next().unwrap_or_default(),
        );
        let [mut navigates, mut takes_brotli] = [false; 2];
        let mut has = None;
        for line in lines {
            let line = line?.to_ascii_lowercase();
            if line.is_empty() {
                break;
            }
            navigates |= line.starts_with("accept:") && line.contains("text/html");
            if let Some(tag) = line.strip_prefix("if-none-match:") {
                has = Some(tag.trim().to_owned());
            }
            takes_brotli |= line.starts_with("accept-encoding:") && line.contains("br");
        }
        Ok(Self {
            method,
            url,
            navigates,
            takes_brotli,
            has,
        })
    }
}

/// An answer: status, its own headers, content.
type Answer = (&'static str, Vec<(&'static str, String)>, Vec<u8>);

impl Host<'_> {
    /// Answers one request and hangs up: a caller that says nothing keeps nobody waiting.
    fn answer(&self, mut caller: TcpStream) -> std::io::Result<()> {
        caller.set_read_timeout(Some(PATIENCE))?;
        caller.set_write_timeout(Some(PATIENCE))?;
        let request = Request::read(&caller)?;
        if request.method.is_empty() {
            // Browsers open spare lines that they may never speak on.
            return Ok(());
        }
        if let Some(Ok(mut log)) = self.log.as_ref().map(Mutex::lock) {
            // A line that cannot be written must not keep the page from its answer.
            let _ = writeln!(log, "{} {}", request.method, request.url);
        }
        let (status, headers, content) = self.response(&request);
        let mut head = format!("HTTP/1.1 {status}\r\n");
        if status != UNCHANGED {
            head.push_str(&format!("Content-Length: {}\r\n", content.len()));
        }
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        head.push_str("Connection: close\r\n\r\n");
        caller.write_all(head.as_bytes())?;
        if request.method != "HEAD" {
            caller.write_all(&content)?;
        }
        caller.flush()
    }

    fn response(&self, request: &Request) -> Answer {
        if !matches!(request.method.as_str(), "GET" | "HEAD") {
            return (
                "405 Method Not Allowed",
                vec![],
                b"Only GET and HEAD.\n".to_vec(),
            );
        }
        let place = place(self.under, &request.url);
        if let Place::File(name) = &place {
            let small = self.small.get(name).filter(|_| request.takes_brotli);
            let content = match small {
                Some(small) => Ok(small.clone()),
                None => std::fs::read(self.site.join(name)),
            };
            if let Ok(content) = content {
                return self.file(name, content, small.is_some(), request);
            }
        }
        // Every place in the app is the one page and a part after "#": a person who follows any
        // other address wants the app, a script wants the truth.
        if request.navigates || place == Place::FolderWithoutSlash {
            let home = vec![("Location", self.under.to_owned())];
            ("302 Found", home, vec![])
        } else {
            ("404 Not Found", vec![], b"Not here.\n".to_vec())
        }
    }

    /// The file with its headers; without its content where the browser has it already.
    fn file(&self, name: &str, content: Vec<u8>, small: bool, request: &Request) -> Answer {
        let tag = format!("\"{}\"", release::digest(&content));
        let mut headers = vec![
            ("Content-Type", mime(name).to_owned()),
            ("Cache-Control", "no-cache".to_owned()),
            ("ETag", tag.clone()),
            ("Vary", "Accept-Encoding".to_owned()),
            ("X-Content-Type-Options", "nosniff".to_owned()),
            ("Referrer-Policy", "no-referrer".to_owned()),
        ];
        if small {
            headers.push(("Content-Encoding", "br".to_owned()));
        }
        if let Some(policy) = &self.policy {
            // What a page cannot say of itself: no other page may frame it.
            let value = format!("{policy}; frame-ancestors 'none'");
            headers.push(("Content-Security-Policy", value));
        }
        if request.has.as_ref() == Some(&tag) {
            return (UNCHANGED, headers, Vec::new());
        }
        ("200 OK", headers, content)
    }
}

const UNCHANGED: &str = "304 Not Modified";

/// What an address means.
#[derive(Debug, PartialEq)]
enum Place {
    /// A file of the site, by its name below the site's folder.
    File(String),
    /// The site's own folder, but for the slash at its end.
    FolderWithoutSlash,
    /// Nothing of ours.
    Nowhere,
}

/// Finds the file that an address names. No address leads out of the site's folder.
fn place(under: &str, url: &str) -> Place {
    let path = url.split(['?', '#']).next().unwrap_or(url);
    if path != "/" && under.strip_suffix('/') == Some(path) {
        return Place::FolderWithoutSlash;
    }
    let Some(name) = path.strip_prefix(under) else {
        return Place::Nowhere;
    };
    let name = if name.is_empty() { "index.html" } else { name };
    // Names are taken as they stand, without decoding: the site has only plain ones.
    let is_plain = |part: &str| {
        !part.is_empty()
            && !part.starts_with('.')
            && part
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b"-_.".contains(&b))
    };
    if name.split('/').all(is_plain) {
        Place::File(name.to_owned())
    } else {
        Place::Nowhere
    }
}

fn mime(name: &str) -> &'static str {
    match name.rsplit_once('.').map_or("", |(_, ending)| ending) {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "wasm" => "application/wasm",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "webp" => "image/webp",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::{Place, Wish, mime, place, policy};

    fn file(name: &str) -> Place {
        Place::File(name.into())
    }

    #[test]
    fn addresses_lead_to_files_under_the_path() {
        assert_eq!(place("/", "/"), file("index.html"));
        assert_eq!(place("/", "/?x=1"), file("index.html"));
        assert_eq!(
            place("/", "/icons/icon-192.png?v=2"),
            file("icons/icon-192.png")
        );
        assert_eq!(place("/a/b/", "/a/b/"), file("index.html"));
        assert_eq!(place("/a/b/", "/a/b/boot.js"), file("boot.js"));
        assert_eq!(place("/a/b/", "/a/b"), Place::FolderWithoutSlash);
        assert_eq!(place("/a/b/", "/a/boot.js"), Place::Nowhere);
        assert_eq!(place("/a/b/", "/"), Place::Nowhere);
    }

    #[test]
    fn no_address_leads_out_of_the_folder() {
        for bad in [
            "/../Cargo.toml",
            "/icons/../../Cargo.toml",
            "/%2e%2e/Cargo.toml",
            "/..%2fCargo.toml",
            "/..\\Cargo.toml",
            "/icons//x",
            "//etc/passwd",
            "/./index.html",
            "/.git/config",
            "/C:/x",
            "/icons/",
        ] {
            assert_eq!(place("/", bad), Place::Nowhere, "{bad}");
        }
    }

    #[test]
    fn browsers_hear_the_right_kind_of_file() {
        assert_eq!(mime("peelcast-1a2b_bg.wasm"), "application/wasm");
        assert_eq!(mime("boot.js"), "text/javascript; charset=utf-8");
        assert_eq!(mime("manifest.webmanifest"), "application/manifest+json");
        assert_eq!(mime("LICENSE"), "application/octet-stream");
    }

    #[test]
    fn the_policy_of_the_page_is_found_and_strict() {
        let page = include_str!("../../../../public/index.html");
        let policy = policy(page).unwrap();
        assert!(policy.starts_with("default-src 'none'; "));
        assert!(!policy.contains("unsafe-inline") && !policy.contains("'unsafe-eval'"));
        assert!(!policy.contains('*') && !policy.contains("http"));
        assert_eq!(super::policy("<html>"), None);
    }

    #[test]
    fn a_path_without_its_slashes_is_refused() {
        assert!(Wish::new(None, "/a/", None, false).is_ok());
        assert!(Wish::new(None, "a/", None, false).is_err());
        assert!(Wish::new(None, "/a", None, false).is_err());
    }
}
