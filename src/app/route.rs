//! Addresses inside the app: all behind the `#`, so that any static host and sub-path serves
//! every one of them.
//!
//! ```text
//! #/                                    the jobs
//! #/settings
//! #/lens                                this phone's lens cards
//! #/moulds                              the finished moulds
//! #/backup                              jobs into a file
//! #/handed                              a file that another app handed over
//! #/job/ID                              one job
//! #/job/ID/day                          the day on site
//! #/job/ID/sheet                        its sheet to print
//! #/job/ID/piece/ID                     what a piece is
//! #/job/ID/piece/ID/measure             and its five pages: measure, plan, pack, coat, cast
//! #/job/ID/piece/ID/heights             how high it stands, place by place
//! ```

use crate::job::{JobId, PieceId};
use crate::words::tr;
use std::fmt;

/// The five pages of a piece, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// Photo and reference become the footprint.
    Measure,
    /// The footprint becomes coats.
    Plan,
    /// What to bring.
    Pack,
    /// The coats as they happen.
    Coat,
    /// Copies from the finished mould.
    Cast,
}

impl Page {
    /// All pages in the order of the work.
    pub const ALL: [Self; 5] = [
        Self::Measure,
        Self::Plan,
        Self::Pack,
        Self::Coat,
        Self::Cast,
    ];

    /// The page's name as people read it: a plain verb.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measure => tr("Measure"),
            Self::Plan => tr("Plan"),
            Self::Pack => tr("Pack"),
            Self::Coat => tr("Coat"),
            Self::Cast => tr("Cast"),
        }
    }

    /// The page's name as it stands in an address.
    pub fn path(self) -> &'static str {
        match self {
            Self::Measure => "measure",
            Self::Plan => "plan",
            Self::Pack => "pack",
            Self::Coat => "coat",
            Self::Cast => "cast",
        }
    }
}

/// One place in the app.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Route {
    /// The list of jobs.
    Jobs,
    /// The settings.
    Settings,
    /// This phone's lens cards.
    Lens,
    /// The finished moulds of all jobs.
    Moulds,
    /// Jobs into a file.
    Backup,
    /// A file that another app handed over.
    Handed,
    /// One job.
    Job(JobId),
    /// The day on site.
    Day(JobId),
    /// A job's sheet to print.
    Sheet(JobId),
    /// What a piece is: its name, material, finish and place.
    Details(JobId, PieceId),
    /// One of a piece's five pages.
    Piece(JobId, PieceId, Page),
    /// How high a piece stands, place by place.
    Heights(JobId, PieceId),
}

impl Route {
    /// Reads the part of an address from the `#` on; `None` where it leads nowhere.
    pub fn read(hash: &str) -> Option<Self> {
        let path = hash.trim_start_matches('#').trim_matches('/');
        let parts: Vec<&str> = path.split('/').collect();
        let route = match parts.as_slice() {
            [""] => Self::Jobs,
            ["settings"] => Self::Settings,
            ["lens"] => Self::Lens,
            ["moulds"] => Self::Moulds,
            ["backup"] => Self::Backup,
            ["handed"] => Self::Handed,
            ["job", job] => Self::Job(JobId::new(job)),
            ["job", job, "day"] => Self::Day(JobId::new(job)),
            ["job", job, "sheet"] => Self::Sheet(JobId::new(job)),
            ["job", job, "piece", piece] => Self::Details(JobId::new(job), PieceId::new(piece)),
            ["job", job, "piece", piece, "heights"] => {
                Self::Heights(JobId::new(job), PieceId::new(piece))
            }
            ["job", job, "piece", piece, page] => Self::Piece(
                JobId::new(job),
                PieceId::new(piece),
                Page::ALL.into_iter().find(|p| p.path() == *page)?,
            ),
            _ => return None,
        };
        Some(route)
    }

    /// The job this place belongs to.
    pub fn job(&self) -> Option<&JobId> {
        match self {
            Self::Jobs
            | Self::Settings
            | Self::Lens
            | Self::Moulds
            | Self::Backup
            | Self::Handed => None,
            Self::Job(job)
            | Self::Day(job)
            | Self::Sheet(job)
            | Self::Details(job, _)
            | Self::Heights(job, _)
            | Self::Piece(job, _, _) => Some(job),
        }
    }

    /// Where the back button of the header leads.
    pub fn up(&self) -> Option<Self> {
        match self {
            Self::Jobs => None,
            Self::Settings | Self::Moulds | Self::Backup | Self::Handed | Self::Job(_) => {
                Some(Self::Jobs)
            }
            Self::Lens => Some(Self::Settings),
            Self::Heights(job, piece) => Some(Self::Piece(job.clone(), piece.clone(), Page::Plan)),
            Self::Day(job) | Self::Sheet(job) | Self::Details(job, _) | Self::Piece(job, _, _) => {
                Some(Self::Job(job.clone()))
            }
        }
    }
}

/// The address, from the `#` on.
impl fmt::Display for Route {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Jobs => f.write_str("#/"),
            Self::Settings => f.write_str("#/settings"),
            Self::Lens => f.write_str("#/lens"),
            Self::Moulds => f.write_str("#/moulds"),
            Self::Backup => f.write_str("#/backup"),
            Self::Handed => f.write_str("#/handed"),
            Self::Job(job) => write!(f, "#/job/{job}"),
            Self::Day(job) => write!(f, "#/job/{job}/day"),
            Self::Sheet(job) => write!(f, "#/job/{job}/sheet"),
            Self::Details(job, piece) => write!(f, "#/job/{job}/piece/{piece}"),
            Self::Heights(job, piece) => write!(f, "#/job/{job}/piece/{piece}/heights"),
            Self::Piece(job, piece, page) => {
                write!(f, "#/job/{job}/piece/{piece}/{}", page.path())
            }
        }
    }
}

/// One place of each kind.
#[cfg(test)]
pub(super) fn every() -> Vec<Route> {
    let (job, piece) = (JobId::new("k3p9"), PieceId::new("a-1"));
    let mut places = vec![
        Route::Jobs,
        Route::Settings,
        Route::Lens,
        Route::Moulds,
        Route::Backup,
        Route::Handed,
        Route::Job(job.clone()),
        Route::Day(job.clone()),
        Route::Sheet(job.clone()),
        Route::Details(job.clone(), piece.clone()),
        Route::Heights(job.clone(), piece.clone()),
    ];
    places.extend(Page::ALL.map(|page| Route::Piece(job.clone(), piece.clone(), page)));
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_is_found_again_by_its_address() {
        for place in every() {
            assert_eq!(Route::read(&place.to_string()), Some(place));
        }
    }

    #[test]
    fn an_empty_hash_is_the_list_of_jobs_and_nonsense_leads_nowhere() {
        assert_eq!(Route::read(""), Some(Route::Jobs));
        assert_eq!(Route::read("#"), Some(Route::Jobs));
        assert_eq!(Route::read("#/job/a/piece/b/paint"), None);
        assert_eq!(Route::read("#/nowhere"), None);
    }

    #[test]
    fn back_leads_from_a_page_to_its_job_and_from_there_to_all_jobs() {
        let page = Route::Piece(JobId::new("j"), PieceId::new("p"), Page::Coat);
        let up = page.up().unwrap();
        assert_eq!(up, Route::Job(JobId::new("j")));
        assert_eq!(up.up(), Some(Route::Jobs));
    }
}
