//! What each page is for, in a line, with what comes next in the job.

use super::route::{Page, Route};
use crate::words::mark;

/// The line of a place, not yet in the language that is set: its user asks `tr`.
pub fn purpose(place: &Route) -> &'static str {
    match place {
        Route::Jobs => JOBS,
        Route::Settings => {
            mark("Units, colours, language, and what this phone keeps. It counts for all jobs.")
        }
        Route::Lens => mark(
            "Every lens bends its picture a little. Measure yours once, and photos measure more surely.",
        ),
        Route::Moulds => {
            mark("Where each mould is kept and what it has cast. Next: cast from one.")
        }
        Route::Backup => mark("Jobs and their photos into one file, to keep away from this phone."),
        Route::Handed => mark("A photo or a job file from another app. Choose where it belongs."),
        Route::Job(_) => {
            mark("One place and its pieces. Tap a piece to go on where its work stands.")
        }
        Route::Day(_) => {
            mark("When each coat of each piece goes on, and when you can leave. Next: to the wall.")
        }
        Route::Sheet(_) => {
            mark("The job on paper, a page of A4 or Letter for each piece. Next: print it.")
        }
        Route::Details(..) => {
            mark("What the piece is: its checks and times follow from it. Next: measure it.")
        }
        Route::Heights(..) => {
            mark("How high it stands, place by place: the plan gets surer by it. Next: plan.")
        }
        Route::Piece(_, _, Page::Measure) => MEASURE,
        Route::Piece(_, _, Page::Plan) => {
            mark("How much paste to bring, in which coats and batches. Next: pack the bag.")
        }
        Route::Piece(_, _, Page::Pack) => {
            mark("Whether the surface is fit, and what goes into the bag. Next: coat.")
        }
        Route::Piece(_, _, Page::Coat) => {
            mark("Each step at the wall, with its time. Next, once it is peeled: cast.")
        }
        Route::Piece(_, _, Page::Cast) => {
            mark("How much to mix for the copies, and whether the mould stands it. Next: pour.")
        }
    }
}

/// The line of the list of jobs, which is loaded before the others.
pub const JOBS: &str =
    mark("A job is one place with ornament to copy. Open one to go on, or begin a new one.");

/// The line of the Measure page, which has its own place for it.
pub const MEASURE: &str = mark("From one photo to the size of the piece. Next: plan its coats.");

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::route::every;
    use std::collections::BTreeSet;

    #[test]
    fn each_place_has_a_short_line_of_its_own() {
        let places = every();
        let lines: BTreeSet<&str> = places.iter().map(purpose).collect();
        assert_eq!(lines.len(), places.len());
        for line in lines {
            assert!(line.chars().count() <= 100, "long: {line}");
        }
    }

    #[test]
    fn the_first_paint_says_what_the_list_says() {
        assert!(include_str!("../../public/index.html").contains(JOBS));
        let german = include_str!("../words/de.po");
        let asked = format!("msgid {JOBS:?}\nmsgstr ");
        let answer = german.split_once(&asked).map(|(_, rest)| rest);
        let answer = answer.and_then(|rest| rest.lines().next());
        let answer = answer.expect("its German");
        assert!(include_str!("../../public/boot.js").contains(answer));
    }
}
