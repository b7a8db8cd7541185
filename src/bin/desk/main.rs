//! The same core on files: `desk survey request.json` prints JSON.
//!
//! A file holds one request or a list of them, and the answer mirrors it: an error stands in its
//! place in the list as `{"error": "..."}` and names the field it speaks of. What is accepted and
//! answered is described by the JSON Schemas in `tests/desk/`.

mod calendar;
mod casting;
mod clock;
mod coating;
mod drawing;
mod edge;
mod field;
mod homography;
mod laid;
mod lens;
mod marks;
mod pace;
mod packs;
mod photo;
mod picture;
mod record;
mod relief;
mod sheet;
mod stereo;
mod survey;

use field::Field;
use peelcast::job::bundle::Traces;
use peelcast::quantity::show::System;
use record::Wanted;
use serde_json::value::RawValue;
use serde_json::{Value, json};
use std::io::Read;
use std::path::Path;
use std::process::ExitCode;

const USAGE: &str = "\
Usage: desk survey REQUEST.json       footprint, perimeter and tilt from marks and an outline
       desk relief REQUEST.json       heights, surface and volume from photos and readings
       desk stereo REQUEST.json       how far places of two pictures lie apart, row by row
       desk lens REQUEST.json         a lens from photos of a flat grid
       desk coating REQUEST.json      coats, batches, paste, packs, shell, bag and cost of a piece
       desk casting REQUEST.json      volume, mix, heat, food, size, time and cost of copies
       desk clock REQUEST.json        the plan of a day that is left earliest
       desk packs REQUEST.json        the cheapest packs that cover a need
       desk pace REQUEST.json         how fast a paste goes, by touch
       desk calendar REQUEST.json     the due moments of a plan as calendar files
       desk homography REQUEST.json   the map from one plane to another from pairs of points
       desk sheet JOB.zip [us]        the sheets of an export as one page of HTML, to print
       desk kit JOB.zip               what is to be packed for the job in an export, as CSV
       desk log JOB.zip               what happened on the job in an export, as CSV
       desk export JOB.zip [keep]     the export anew, in today's shape, without what its photos
                                      tell of place, time and device; with it, if it is kept
A file named - is read from the standard input. A file holds one request or a list of them.
The JSON Schemas of requests and answers are in tests/desk/.";

/// One request in, one answer out; the error is a sentence that names the field. Files that a
/// request names are looked for from the folder.
type Verb = fn(&Field<'_>, &Path) -> Result<Value, String>;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let (verb, file): (Verb, &str) = match words[..] {
        ["survey", file] => (survey::answer, file),
        ["lens", file] => (lens::answer, file),
        ["coating", file] => (|request, _| coating::answer(request), file),
        ["casting", file] => (|request, _| casting::answer(request), file),
        ["clock", file] => (|request, _| clock::answer(request), file),
        ["packs", file] => (|request, _| packs::answer(request), file),
        ["pace", file] => (|request, _| pace::answer(request), file),
        ["calendar", file] => (|request, _| calendar::answer(request), file),
        ["stereo", file] => (stereo::answer, file),
        ["relief", file] => (relief::answer, file),
        ["homography", file] => (|request, _| homography::answer(request), file),
        ["sheet", file] => return record(Wanted::Sheet(System::Metric), file),
        ["sheet", file, "us"] => return record(Wanted::Sheet(System::UsCustomary), file),
        ["kit", file] => return record(Wanted::Kit, file),
        ["log", file] => return record(Wanted::Log, file),
        ["export", file] => return record(Wanted::Export(Traces::Removed), file),
        ["export", file, "keep"] => return record(Wanted::Export(Traces::Kept), file),
        ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            return ExitCode::SUCCESS;
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match read(file) {
        // The standard input has no folder: paths then start where the program was called.
        Ok(text) => answer(
            verb,
            &text,
            Path::new(file).parent().unwrap_or(Path::new("")),
        ),
        Err(sentence) => refuse(&sentence),
    }
}

fn record(wanted: Wanted, file: &str) -> ExitCode {
    match record::write(wanted, file) {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            // The standard output is for what was asked for, which is not JSON.
            eprintln!("{sentence}");
            ExitCode::from(2)
        }
    }
}

fn read(file: &str) -> Result<String, String> {
    let mut bytes = Vec::new();
    if file == "-" {
        std::io::stdin()
            .read_to_end(&mut bytes)
            .map_err(|e| format!("The standard input can't be read: {e}."))?;
    } else {
        bytes = std::fs::read(file).map_err(|e| format!("The file {file} can't be read: {e}."))?;
    }
    let text = String::from_utf8(bytes)
        .map_err(|_| format!("The file {file} isn't text in UTF-8, so it can't be JSON."))?;
    // Some editors begin a file with a mark of its byte order.
    Ok(text.strip_prefix('\u{feff}').unwrap_or(&text).to_owned())
}

fn answer(verb: Verb, text: &str, folder: &Path) -> ExitCode {
    let whole: Box<RawValue> = match serde_json::from_str(text) {
        Ok(whole) => whole,
        Err(e) => {
            return refuse(&format!(
                "This isn't JSON: {e}. Numbers must be ordinary ones (no NaN or Infinity)."
            ));
        }
    };
    let one = |request: &Field<'_>| {
        verb(request, folder).unwrap_or_else(|sentence| json!({ "error": sentence }))
    };
    let root = Field::root(&whole);
    let answer = if whole.get().starts_with('[') {
        match root.list() {
            // Each request of the list is a root of its own: its fields are named from there.
            Ok(requests) => requests.iter().map(|r| one(&r.as_root())).collect(),
            Err(sentence) => return refuse(&sentence),
        }
    } else {
        one(&root)
    };
    println!("{answer:#}");
    ExitCode::SUCCESS
}

fn refuse(sentence: &str) -> ExitCode {
    println!("{:#}", json!({ "error": sentence }));
    ExitCode::from(2)
}
