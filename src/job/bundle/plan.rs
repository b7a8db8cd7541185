//! What an import will do, shown before it does it.

use super::Bundle;
use super::traces::nameless;
use crate::job::{Job, JobId};
use crate::words::tr;
use chrono::{DateTime, Utc};

/// What will become of one job in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is new here.
    Add,
    /// It takes the place of an older one.
    Change,
    /// It is here already, the same.
    Same,
    /// The one here is newer and stays.
    Older,
}

impl Verdict {
    /// Whether the job is taken from the file.
    pub fn takes(self) -> bool {
        matches!(self, Self::Add | Self::Change)
    }
}

/// One job in the file.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportEntry {
    /// The job.
    pub id: JobId,
    /// Its name.
    pub name: String,
    /// What will become of it.
    pub verdict: Verdict,
    /// When the one in the file was last changed.
    pub changed: DateTime<Utc>,
    /// When the one here was last changed; `None` if there is none.
    pub changed_here: Option<DateTime<Utc>>,
}

impl ImportEntry {
    /// What will happen to it, as a sentence.
    pub fn sentence(&self) -> &'static str {
        match self.verdict {
            Verdict::Add => tr("Will be added."),
            // Both were changed since they were one: neither is simply the newer.
            Verdict::Change if self.changed_here > Some(self.changed) => tr(
                "Will take the place of the one on this phone, which has fewer changes but later \
                 ones; you can undo that.",
            ),
            Verdict::Older if self.changed_here < Some(self.changed) => tr(
                "Left out: the one on this phone has more changes, though the one in the file was \
                 changed later.",
            ),
            Verdict::Change => {
                tr("Will take the place of the older one on this phone; you can undo that.")
            }
            Verdict::Same => tr("Is on this phone already: nothing to do."),
            Verdict::Older => tr("Left out: the one on this phone is newer."),
        }
    }
}

/// What an import will do.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportPlan {
    /// Each job of the file, in its order.
    pub entries: Vec<ImportEntry>,
}

impl ImportPlan {
    /// Compares the jobs of a file with those on this phone.
    pub fn of(bundle: &Bundle, here: &[Job]) -> Self {
        let entries = bundle.jobs.iter().map(|job| {
            let old = here.iter().find(|old| old.id == job.id);
            ImportEntry {
                id: job.id.clone(),
                name: job.name.clone(),
                verdict: old.map_or(Verdict::Add, |old| compare(job, old)),
                changed: job.changed,
                changed_here: old.map(|old| old.changed),
            }
        });
        Self {
            entries: entries.collect(),
        }
    }

    /// The jobs to store, as they are in the file.
    pub fn take<'a>(&self, bundle: &'a Bundle) -> Vec<&'a Job> {
        let jobs = bundle.jobs.iter().zip(&self.entries);
        jobs.filter(|(_, entry)| entry.verdict.takes())
            .map(|(job, _)| job)
            .collect()
    }

    /// How many are added, changed and left out.
    pub fn counts(&self) -> (usize, usize, usize) {
        let count = |verdict| self.entries.iter().filter(|e| e.verdict == verdict).count();
        let (added, changed) = (count(Verdict::Add), count(Verdict::Change));
        (added, changed, self.entries.len() - added - changed)
    }
}

/// The one with more changes is the newer; of two with as many, the one changed later.
fn compare(new: &Job, old: &Job) -> Verdict {
    // A file from which the cameras' names were taken says the same as the job it was made from.
    if new.says_the_same(old) || new.says_the_same(&nameless(old)) {
        Verdict::Same
    } else if (new.rev, new.changed) > (old.rev, old.changed) {
        Verdict::Change
    } else {
        Verdict::Older
    }
}
