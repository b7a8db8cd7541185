//! The built site on a server of its own that a test can stop.

use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A running server; dropped or stopped, it is gone.
pub struct Host {
    child: Option<Child>,
    site: PathBuf,
    under: String,
    log: PathBuf,
    /// Its port on this machine.
    pub port: u16,
}

impl Host {
    /// Serves the built site under `under` (`/` or `/some/path/`).
    pub fn start(under: &str, log: &Path) -> Self {
        let site = std::env::var_os("PEELCAST_DIST")
            .map(PathBuf::from)
            .expect("PEELCAST_DIST names the built site: run `cargo verify`");
        let mut host = Self {
            child: None,
            site,
            under: under.into(),
            log: log.into(),
            port: crate::free_port(),
        };
        host.resume();
        host
    }

    /// The same server with another folder behind it, as after a release.
    pub fn serve_instead(&mut self, site: &Path) {
        self.stop();
        self.site = site.into();
        self.resume();
    }

    /// Starts it again on the same port.
    pub fn resume(&mut self) {
        let dev = std::env::var_os("PEELCAST_DEV").expect("PEELCAST_DEV names the `dev` program");
        let child = Command::new(dev)
            .arg("host")
            .arg(&self.site)
            .args([
                "--port",
                &self.port.to_string(),
                "--under",
                &self.under,
                "--log",
            ])
            .arg(&self.log)
            .stdout(Stdio::null())
            .spawn()
            .expect("the server starts");
        self.child = Some(child);
        wait_for_port(self.port);
    }

    /// Stops it: from here on the phone is without a network.
    pub fn stop(&mut self) {
        if let Some(mut child) = self.child.take() {
            let _ = child.kill();
            let _ = child.wait();
        }
    }

    /// The folder that is served.
    pub fn site(&self) -> &Path {
        &self.site
    }

    /// The address of a place in the app, `place` beginning with `#/` or empty.
    pub fn url(&self, place: &str) -> String {
        format!("http://localhost:{}{}{place}", self.port, self.under)
    }

    /// What was asked of the server so far, a line a request.
    pub fn requests(&self) -> Vec<String> {
        let text = std::fs::read_to_string(&self.log).unwrap_or_default();
        text.lines().map(str::to_owned).collect()
    }
}

impl Drop for Host {
    fn drop(&mut self) {
        self.stop();
    }
}

/// Waits until something listens.
pub(crate) fn wait_for_port(port: u16) {
    let begun = Instant::now();
    while TcpStream::connect(("127.0.0.1", port)).is_err() {
        assert!(
            begun.elapsed() < Duration::from_secs(20),
            "nothing listens on port {port}"
        );
        std::thread::sleep(Duration::from_millis(30));
    }
}
