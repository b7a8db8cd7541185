//! What of the jobs lies in a file away from this phone, and how long ago that was made.

use super::JobId;
use super::list::Line;
use crate::say;
use crate::words::tr;
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// After so long the jobs want a new backup (common practice, no source: what a week of work is
/// worth).
const OFTEN: TimeDelta = TimeDelta::days(7);

/// The exports that were made.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Backups {
    /// When the last one was made, in milliseconds since 1970.
    at: Option<i64>,
    /// The revision in which each job was last exported.
    revs: BTreeMap<JobId, u64>,
}

impl Backups {
    /// Notes that jobs, each in a revision, were exported.
    pub fn add(&mut self, jobs: impl IntoIterator<Item = (JobId, u64)>, now: DateTime<Utc>) {
        self.revs.extend(jobs);
        self.at = Some(now.timestamp_millis());
    }

    /// The jobs whose present state is in no export; the sample is made up and needs none.
    pub fn missing<'a>(&self, lines: &'a [Line]) -> impl Iterator<Item = &'a Line> {
        lines
            .iter()
            .filter(|line| !line.made_up && self.revs.get(&line.id) < Some(&line.rev))
    }

    fn age(&self, now: DateTime<Utc>) -> Option<TimeDelta> {
        let at = DateTime::from_timestamp_millis(self.at?)?;
        // A clock that was set back makes no backup of tomorrow.
        Some((now - at).max(TimeDelta::zero()))
    }

    /// How old the last one is and what it lacks, in a sentence or two.
    pub fn sentence(&self, lines: &[Line], now: DateTime<Utc>) -> String {
        let own = lines.iter().filter(|line| !line.made_up).count();
        let age = match self.age(now).map(|age| (age.num_days(), age.num_hours())) {
            None if own == 0 => return tr("There is no job of your own to back up yet.").into(),
            None => return tr("No backup was ever made on this phone.").into(),
            Some((0, 0)) => tr("The last backup was made within the hour.").to_owned(),
            Some((0, 1)) => tr("The last backup is an hour old.").to_owned(),
            Some((0, hours)) => say!("The last backup is {hours} hours old.", hours),
            Some((1, _)) => tr("The last backup is a day old.").to_owned(),
            Some((days, _)) => say!("The last backup is {days} days old.", days),
        };
        let lacks = match self.missing(lines).count() {
            0 => tr("All jobs are in it as they are now.").to_owned(),
            1 => tr("One job is in no backup as it is now.").to_owned(),
            many => say!("{many} jobs are in no backup as they are now.", many),
        };
        format!("{age} {lacks}")
    }

    /// Whether it is time for one: something is in none, and the last is a week old or never was.
    pub fn is_due(&self, lines: &[Line], now: DateTime<Utc>) -> bool {
        self.age(now).is_none_or(|age| age >= OFTEN) && self.missing(lines).next().is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(id: &str, rev: u64) -> Line {
        let id = JobId::new(id);
        let job = crate::job::Job {
            id,
            rev,
            ..Default::default()
        };
        Line::of(&job)
    }

    fn day(n: i64) -> DateTime<Utc> {
        DateTime::UNIX_EPOCH + TimeDelta::days(n)
    }

    #[test]
    fn a_backup_ages_and_lacks_what_changed_since() {
        let mut sample = line("sample", 4);
        sample.made_up = true;
        let mut backups = Backups::default();
        let says = |backups: &Backups, lines: &[Line], n| {
            (
                backups.sentence(lines, day(n)),
                backups.is_due(lines, day(n)),
            )
        };
        let (nothing, due) = says(&backups, std::slice::from_ref(&sample), 0);
        assert!(nothing.contains("no job of your own") && !due);
        let mut lines = vec![sample, line("a", 3), line("b", 1)];
        let (never, due) = says(&backups, &lines, 0);
        assert!(never.contains("ever made") && due);
        let kept = lines.iter().map(|line| (line.id.clone(), line.rev));
        backups.add(kept, day(1));
        let (fresh, due) = says(&backups, &lines, 1);
        assert!(fresh.contains("within the hour") && fresh.contains("All jobs") && !due);
        assert!(!says(&backups, &lines, 40).1, "nothing changed");
        lines[1].rev = 5;
        lines.push(line("c", 1));
        let (old, due) = says(&backups, &lines, 9);
        assert!(old.contains("8 days old") && old.contains("2 jobs are in no") && due);
        assert!(!says(&backups, &lines, 3).1, "a week has not passed");
        // The clock was set back.
        assert!(says(&backups, &lines, 0).0.contains("within the hour"));
        let text = serde_json::to_string(&backups).unwrap();
        assert_eq!(serde_json::from_str::<Backups>(&text).unwrap(), backups);
    }
}
