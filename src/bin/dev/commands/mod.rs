//! What `dev` can be told, and the few helpers that its parts share.

mod bench;
mod browser;
mod budget;
mod build;
mod darkroom;
mod gallery;
mod host;
mod icons;
mod lighthouse;
mod parts;
mod release;
mod release_files;
mod report;
mod setup;
mod tools;
mod verify;
mod words;

use peelcast::app::route::{Page, Route};
use peelcast::job::{JobId, PieceId, SAMPLE_JOB, SAMPLE_PIECE};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, ExitStatus, Stdio};
use std::sync::Mutex;

const HELP: &str = "\
cargo serve [--port N] [--under /some/path/] [--compressed]
    set up, build the release, serve it and open its sample job in the browser
cargo verify [--long]
    set up and run every check; --long: with the numbers of kills and inputs that take hours
cargo dev build [--quick]
    set up and build the site into dist/; --quick: a debug build without service worker
cargo dev host FOLDER [--port N] [--under /some/path/] [--log FILE] [--compressed]
    serve a built site as it is; --log appends a line for each request, --compressed sends files
    with brotli
cargo dev lighthouse FOLDER
    judge a built site as a phone with a slow network sees it at its very first start
cargo dev bench
    time the picture worker in the browser beside a general-purpose library, measure the memory
    that the app takes for photos of 12 and 48 megapixels and through twelve hours of a timer, and
    how fast it starts and answers on a phone four times slower
cargo gallery
    write all screens in all colours and both languages, on two phones and a tablet, as PNGs into
    target/screens/gallery-*
cargo release-files
    write the site for a static host into target/release-files, with examples of its headers
cargo dev words [--check]
    gather what the app says into src/words and tell what is not translated; --check: write nothing
cargo dev icons
    draw the PNG icons anew from their SVG";

/// What went wrong and what to do about it, as a sentence for the person at the desk.
pub type Trouble = String;

/// Runs the command that the arguments name.
pub fn run(arguments: Vec<String>) -> ExitCode {
    let mut words = Words(arguments);
    let done = match words.next_word().as_deref() {
        Some("serve") => serve(words),
        Some("verify") => {
            let long = words.flag("--long");
            words.end().and_then(|()| verify::run(long))
        }
        Some("build") => build_site(words),
        Some("host") => host_folder(words),
        Some("lighthouse") => judge_folder(words),
        Some("bench") => words.end().and_then(|()| bench::run()),
        Some("gallery") => words.end().and_then(|()| gallery::run()),
        Some("release-files") => words.end().and_then(|()| {
            let tools = setup::ready(setup::FOR_BUILDING)?;
            release_files::write(&project_root()?, &tools)
        }),
        Some("words") => {
            let check = words.flag("--check");
            words.end().and_then(|()| words::run(check))
        }
        Some("icons") => words.end().and_then(|()| icons::draw()),
        _ => Err(HELP.to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            if !trouble.is_empty() {
                eprintln!("{trouble}");
            }
            ExitCode::FAILURE
        }
    }
}

fn serve(mut words: Words) -> Result<(), Trouble> {
    let wish = words.host_wish()?;
    words.end()?;
    let root = project_root()?;
    let tools = setup::ready(setup::FOR_BUILDING)?;
    let site = build::release(&root, &tools)?;
    host::serve(&site, &wish, &sample_page(), browser::open)
}

/// The page of the sample job where the work begins, from the `#` on.
fn sample_page() -> String {
    let (job, piece) = (JobId::new(SAMPLE_JOB), PieceId::new(SAMPLE_PIECE));
    Route::Piece(job, piece, Page::Measure).to_string()
}

fn build_site(mut words: Words) -> Result<(), Trouble> {
    let quick = words.flag("--quick");
    words.end()?;
    let root = project_root()?;
    let tools = setup::ready(setup::FOR_BUILDING)?;
    let site = if quick {
        build::quick(&root, &tools)?
    } else {
        build::release(&root, &tools)?
    };
    println!("Built: {}", site.display());
    Ok(())
}

fn host_folder(mut words: Words) -> Result<(), Trouble> {
    let wish = words.host_wish()?;
    let folder = words
        .next_word()
        .ok_or("Say which folder to serve: cargo dev host FOLDER")?;
    words.end()?;
    host::serve(Path::new(&folder), &wish, "", |_| {})
}

fn judge_folder(mut words: Words) -> Result<(), Trouble> {
    let folder = words
        .next_word()
        .ok_or("Say which folder to judge: cargo dev lighthouse FOLDER")?;
    words.end()?;
    let dev = std::env::current_exe().map_err(|e| format!("This program has no path: {e}."))?;
    let tools = setup::ready(setup::FOR_JUDGING)?;
    lighthouse::judge(Path::new(&folder), &dev, &tools, true)
}

/// The arguments that are not yet taken.
struct Words(Vec<String>);

impl Words {
    fn next_word(&mut self) -> Option<String> {
        (!self.0.is_empty()).then(|| self.0.remove(0))
    }

    fn flag(&mut self, name: &str) -> bool {
        let place = self.0.iter().position(|word| word == name);
        place.map(|place| self.0.remove(place)).is_some()
    }

    fn value(&mut self, name: &str) -> Result<Option<String>, Trouble> {
        let Some(place) = self.0.iter().position(|word| word == name) else {
            return Ok(None);
        };
        if place + 1 == self.0.len() {
            return Err(format!("A value is missing after {name}."));
        }
        self.0.remove(place);
        Ok(Some(self.0.remove(place)))
    }

    fn host_wish(&mut self) -> Result<host::Wish, Trouble> {
        let port = match self.value("--port")? {
            None => None,
            Some(text) => Some(
                text.parse::<u16>()
                    .map_err(|_| format!("--port wants a number up to 65535, not {text:?}."))?,
            ),
        };
        let under = self.value("--under")?.unwrap_or_else(|| "/".to_owned());
        let log = self.value("--log")?.map(PathBuf::from);
        let compressed = self.flag("--compressed");
        host::Wish::new(port, &under, log, compressed)
    }

    fn end(&self) -> Result<(), Trouble> {
        match self.0.first() {
            None => Ok(()),
            Some(word) => Err(format!("{word:?} is not understood here.\n\n{HELP}")),
        }
    }
}

/// The folder of the clone: the nearest one upwards that holds Trunk.toml.
fn project_root() -> Result<PathBuf, Trouble> {
    let here = std::env::current_dir().map_err(|e| format!("The current folder is gone: {e}."))?;
    here.ancestors()
        .find(|folder| folder.join("Trunk.toml").is_file())
        .map(Path::to_owned)
        .ok_or_else(|| "Run this inside the project's folder.".to_owned())
}

fn read_text(path: &Path) -> Result<String, Trouble> {
    std::fs::read_to_string(path).map_err(|e| format!("{} cannot be read: {e}.", path.display()))
}

fn write_text(path: &Path, text: &str) -> Result<(), Trouble> {
    std::fs::write(path, text).map_err(|e| format!("{} cannot be written: {e}.", path.display()))
}

/// Runs a program to its end with its output shown.
fn run_shown(command: &mut Command) -> Result<(), Trouble> {
    let status = command.status();
    judged(command, status)
}

/// Runs a program to its end while others run: all that it said, to be printed in one piece, and
/// how it ended.
fn run_beside(command: &mut Command) -> (String, Result<(), Trouble>) {
    match command.stdin(Stdio::null()).output() {
        Ok(output) => {
            let said = [output.stdout, output.stderr].concat();
            let said = String::from_utf8_lossy(&said).into_owned();
            (said, judged(command, Ok(output.status)))
        }
        Err(e) => (String::new(), judged(command, Err(e))),
    }
}

/// Does the work with each, as many at once as there are cores, in their order.
fn share_out<T: Send>(all: Vec<T>, work: impl Fn(T) + Sync) {
    let left = Mutex::new(all.into_iter());
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                let next = || left.lock().ok()?.next();
                std::iter::from_fn(next).for_each(&work);
            });
        }
    });
}

fn judged(command: &Command, ended: std::io::Result<ExitStatus>) -> Result<(), Trouble> {
    let name = command.get_program().to_string_lossy();
    match ended {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{name} ended with {status}; see above.")),
        Err(e) => Err(format!("{name} did not start: {e}.")),
    }
}

/// Runs a program silently: its output if it ended well.
fn output_of(command: &mut Command) -> Option<String> {
    let output = command.output().ok()?;
    output
        .status
        .success()
        .then(|| String::from_utf8_lossy(&output.stdout).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use peelcast::job::sample_job;

    #[test]
    fn serve_opens_a_page_of_the_sample_job() {
        let Some(Route::Piece(job, piece, _)) = Route::read(&sample_page()) else {
            panic!("{} is no page of a piece", sample_page());
        };
        let sample = sample_job(chrono::DateTime::UNIX_EPOCH);
        assert_eq!(sample.id, job);
        assert!(sample.pieces.iter().any(|p| p.id == piece));
    }
}
