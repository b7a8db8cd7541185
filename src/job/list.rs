//! The list of jobs: what a line says of each, and which lines someone looks for.
//!
//! Lines are kept beside the records, so that hundreds of jobs are listed and searched before one
//! record is read.

use super::{Job, JobId, Piece, Stage, sample};
use crate::words::{mark, tr};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the list says of a job.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Line {
    /// The job.
    pub id: JobId,
    /// The revision that the line was made of.
    pub rev: u64,
    /// The job's name, or what stands in for it.
    pub name: String,
    /// Where the ornament is.
    pub place: String,
    /// The sample.
    pub made_up: bool,
    /// Whether leave to mould was written down.
    pub permitted: bool,
    /// Each piece's name and how far it has come.
    pub pieces: Vec<(String, Stage)>,
    /// How far the job has come, in words, a line for each piece.
    pub standing: Vec<String>,
    /// Whether a plan is still to be worked out to say how far it has come.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub awaits_plan: bool,
    /// What it is found by, in small letters without accents.
    words: String,
}

/// Which jobs are listed, by how far they have come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Which {
    /// All of them.
    #[default]
    All,
    /// With a piece that is not measured yet, or without any.
    ToMeasure,
    /// With a piece that is measured and not packed for.
    ToPlan,
    /// With a piece that is packed for or being coated.
    ToCoat,
    /// With a finished mould.
    Moulded,
    /// Without leave to mould.
    NotPermitted,
}

impl Which {
    /// All with their keys and words.
    pub const ALL: [(Self, &'static str, &'static str); 6] = [
        (Self::All, "all", mark("All jobs")),
        (Self::ToMeasure, "measure", mark("To be measured")),
        (Self::ToPlan, "plan", mark("To be planned and packed")),
        (Self::ToCoat, "coat", mark("To be coated")),
        (Self::Moulded, "moulded", mark("With a finished mould")),
        (Self::NotPermitted, "permission", mark("Without permission")),
    ];

    fn has(self, line: &Line) -> bool {
        let any = |is: &dyn Fn(Stage) -> bool| line.pieces.iter().any(|(_, stage)| is(*stage));
        match self {
            Self::All => true,
            Self::ToMeasure => line.pieces.is_empty() || any(&|stage| stage == Stage::Measure),
            Self::ToPlan => any(&|stage| matches!(stage, Stage::Plan | Stage::Pack)),
            Self::ToCoat => any(&|stage| stage == Stage::Coat),
            Self::Moulded => any(&|stage| stage == Stage::Cast),
            Self::NotPermitted => !line.permitted,
        }
    }
}

impl Line {
    /// The line of a job.
    pub fn of(job: &Job) -> Self {
        Self::at(job, Piece::stage)
    }

    /// The same at once: of a piece that only its plan could tell to be packed, it says that this
    /// is being done.
    pub fn without_plan(job: &Job) -> Self {
        let told = |piece: &Piece| piece.stage_told().unwrap_or(Stage::Pack);
        Self {
            awaits_plan: job.pieces.iter().any(|piece| piece.stage_told().is_none()),
            ..Self::at(job, told)
        }
    }

    /// The line of the sample as it comes, whose stage need not be worked out.
    pub fn of_new_sample(job: &Job) -> Self {
        Self::at(job, |_| sample::STAGE)
    }

    fn at(job: &Job, stage: impl Fn(&Piece) -> Stage) -> Self {
        let pieces: Vec<(String, Stage)> = job
            .pieces
            .iter()
            .map(|piece| (piece.title().to_owned(), stage(piece)))
            .collect();
        let says = |(piece, (name, stage)): (&Piece, &(String, Stage))| {
            let standing = piece.standing(*stage);
            match job.pieces.len() {
                1 => standing.to_owned(),
                _ => format!("{name}: {standing}"),
            }
        };
        let standing = match pieces.as_slice() {
            [] => vec![tr("No pieces yet").to_owned()],
            all => job.pieces.iter().zip(all).map(says).collect(),
        };
        let day = job.date.map(|day| day.to_string()).unwrap_or_default();
        let mut told = vec![job.title(), &job.place, &job.contact, &job.note, &day];
        for piece in &job.pieces {
            told.extend([piece.title(), &piece.material, &piece.card.name]);
            told.extend(piece.medium.as_ref().map(|medium| medium.name.as_str()));
        }
        let words: Vec<String> = told.into_iter().map(plain).collect();
        Self {
            id: job.id.clone(),
            rev: job.rev,
            name: job.title().to_owned(),
            place: job.place.clone(),
            made_up: job.made_up,
            permitted: job.permission.granted,
            pieces,
            standing,
            awaits_plan: false,
            words: words.join("\n"),
        }
    }

    /// The line of the sample before the sample itself is on the phone: a first start lists it
    /// without working out how far it has come.
    pub fn of_sample() -> Self {
        let [name, place, piece] = sample::NAMES.map(tr);
        let stage = sample::STAGE;
        Self {
            id: JobId::new(sample::SAMPLE_JOB),
            name: name.to_owned(),
            place: place.to_owned(),
            made_up: true,
            permitted: true,
            pieces: vec![(piece.to_owned(), stage)],
            standing: vec![begun(stage).to_owned()],
            ..Self::default()
        }
    }

    /// Whether every word of what was typed is part of what it is found by.
    pub fn is_sought(&self, typed: &str, which: Which) -> bool {
        which.has(self)
            && plain(typed)
                .split_whitespace()
                .all(|word| self.words.contains(word))
    }
}

impl Piece {
    /// How far a piece at this stage has come, in words that need no clock.
    pub fn standing(&self, stage: Stage) -> &'static str {
        match stage {
            Stage::Measure if self.shot(0).photo.is_none() => tr("No photo yet"),
            Stage::Coat if self.coat_log.is_empty() => tr("Packed, ready to coat"),
            stage => begun(stage),
        }
    }
}

/// What a piece is at that has begun this stage.
fn begun(stage: Stage) -> &'static str {
    match stage {
        Stage::Measure => tr("Photo taken, not measured yet"),
        Stage::Plan => tr("Measured"),
        Stage::Pack => tr("Planned, being packed"),
        Stage::Coat => tr("Being coated"),
        Stage::Cast => tr("Peeled, ready to cast"),
    }
}

/// Brings the lines up to date with the jobs, in their order. The `changed` job's plan is worked
/// out; other lines that are not known yet await theirs.
pub fn bring_up_to_date(lines: &mut Vec<Line>, jobs: &[Job], changed: Option<&JobId>) {
    let mut known: BTreeMap<JobId, Line> = std::mem::take(lines)
        .into_iter()
        .map(|line| (line.id.clone(), line))
        .collect();
    let line = |job: &Job| {
        let known = known.remove(&job.id).filter(|line| line.rev == job.rev);
        known.unwrap_or_else(|| match changed == Some(&job.id) {
            true => Line::of(job),
            false => Line::without_plan(job),
        })
    };
    lines.extend(jobs.iter().map(line));
}

/// Small letters, and those of the Latin alphabet without accents: nobody types these to search.
fn plain(text: impl AsRef<str>) -> String {
    let letter = |c: char| match c {
        'à'..='å' => 'a',
        'ç' => 'c',
        'è'..='ë' => 'e',
        'ì'..='ï' => 'i',
        'ñ' => 'n',
        'ò'..='ö' | 'ø' => 'o',
        'ù'..='ü' => 'u',
        'ý' | 'ÿ' => 'y',
        other => other,
    };
    let small = text.as_ref().chars().flat_map(char::to_lowercase);
    small.map(letter).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Permission, sample_job};
    use chrono::DateTime;

    fn job(id: &str, name: &str, pieces: Vec<Piece>) -> Job {
        Job {
            id: JobId::new(id),
            rev: 1,
            name: name.into(),
            pieces,
            ..Job::default()
        }
    }

    #[test]
    fn every_word_counts_and_case_and_accents_do_not() {
        let piece = Piece {
            name: "Rosette über der Tür".into(),
            material: "Lime plaster".into(),
            ..Piece::default()
        };
        let mut found = job("a", "Café Éclair", vec![piece]);
        found.contact = "Mrs Example, 020 1234".into();
        let line = Line::of(&found);
        for typed in [
            "",
            " cafe ",
            "ROSETTE lime",
            "uber tur cafe",
            "1234 example",
        ] {
            assert!(line.is_sought(typed, Which::All), "{typed}");
        }
        for typed in ["rosette oak", "zinc"] {
            assert!(!line.is_sought(typed, Which::All), "{typed}");
        }
    }

    #[test]
    fn a_filter_looks_at_how_far_the_pieces_have_come() {
        let sample = sample_job(DateTime::UNIX_EPOCH);
        let at = |job: &Job| {
            let line = Line::of(job);
            let found = Which::ALL.map(|(which, ..)| which.has(&line));
            found.map(u8::from)
        };
        assert_eq!(at(&job("a", "New", vec![])), [1, 1, 0, 0, 0, 1]);
        let blank = job("b", "Blank", vec![Piece::default()]);
        assert_eq!(at(&blank), [1, 1, 0, 0, 0, 1]);
        let mut both = job(
            "c",
            "Both",
            vec![Piece::default(), sample.pieces[0].clone()],
        );
        both.permission = Permission {
            granted: true,
            ..Permission::default()
        };
        let line = Line::of(&both);
        assert!(line.standing[0].ends_with(": No photo yet"), "{line:?}");
        assert_eq!(at(&both)[5], 0);
        assert!(at(&both)[2..5].contains(&1));
    }

    #[test]
    fn the_sample_is_listed_as_it_will_be_once_it_is_there() {
        let sample = sample_job(DateTime::UNIX_EPOCH);
        let there = Line::of(&sample);
        assert_eq!(Line::of_new_sample(&sample), there);
        let listed = Line {
            rev: 0,
            words: String::new(),
            ..there
        };
        assert_eq!(Line::of_sample(), listed);
    }

    #[test]
    fn only_changed_jobs_are_looked_at_anew() {
        let (one, two) = (job("a", "One", vec![]), job("b", "Two", vec![]));
        let mut kept = Line::of(&one);
        kept.name = "One as it was kept".into();
        let gone = Line::of(&job("c", "Gone", vec![]));
        let mut found = vec![gone, kept.clone()];
        bring_up_to_date(&mut found, &[two.clone(), one.clone()], None);
        assert_eq!(found, [Line::of(&two), kept]);
        let changed = Job { rev: 2, ..one };
        bring_up_to_date(
            &mut found,
            std::slice::from_ref(&changed),
            Some(&changed.id),
        );
        assert_eq!(found, [Line::of(&changed)]);
    }

    #[test]
    fn only_the_changed_job_is_planned_and_the_others_are_found_by_name_meanwhile() {
        let packed = |id: &str| {
            let mut piece = sample_job(DateTime::UNIX_EPOCH).pieces.remove(0);
            let bag = piece.kit().expect("the sample has a bag");
            piece.ticked = bag.into_iter().map(|item| item.key).collect();
            job(id, id, vec![piece])
        };
        let jobs = [packed("first"), packed("second"), job("third", "", vec![])];
        let mut found = vec![];
        bring_up_to_date(&mut found, &jobs, Some(&jobs[1].id));
        assert_eq!(found[1], Line::of(&jobs[1]));
        assert_eq!(found[1].pieces[0].1, Stage::Coat);
        assert_eq!(found[0].pieces[0].1, Stage::Pack);
        assert!(found[0].is_sought("first", Which::All));
        let awaits: Vec<bool> = found.iter().map(|line| line.awaits_plan).collect();
        assert_eq!(awaits, [true, false, false]);
        // They go on waiting where they are kept, and where another job changes.
        let kept = serde_json::to_string(&found).expect("text");
        let mut kept: Vec<Line> = serde_json::from_str(&kept).expect("lines");
        bring_up_to_date(&mut kept, &jobs, None);
        assert_eq!(kept, found);
    }
}
