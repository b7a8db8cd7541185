//! Moments that the user waits for.

use crate::quantity::show;
use crate::quantity::{Estimate, Minutes};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Duration, Utc};

/// What becomes due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DueKind {
    /// A batch has been mixed long enough in its container.
    Mixed,
    /// A batch has stood long enough to hold on the wall.
    Stood,
    /// The mixed paste sets: what is not on by then is thrown away.
    WorkingEnds,
    /// The last coat may take the next one: touch it.
    Recoat,
    /// The card's latest time for the next coat.
    RecoatLatest,
    /// The skin may come off.
    Demould,
    /// The dab of a patch test has had its time.
    Patch,
    /// A copy has set and can come out of the mould.
    Copy,
}

impl DueKind {
    /// What is due, in a few words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mixed => tr("mixed long enough"),
            Self::Stood => tr("thick enough"),
            Self::WorkingEnds => tr("working time ends"),
            Self::Recoat => tr("touch test"),
            Self::RecoatLatest => tr("latest time for the next coat"),
            Self::Demould => tr("peel the skin"),
            Self::Patch => tr("look at the patch"),
            Self::Copy => tr("take the copy out"),
        }
    }
}

/// When something is due: a range of clock times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Due {
    /// What.
    pub kind: DueKind,
    /// The time from which it runs.
    pub from: DateTime<Utc>,
    /// The lower end of the 95 % range.
    pub earliest: DateTime<Utc>,
    /// The most likely time.
    pub likely: DateTime<Utc>,
    /// What the countdown runs to: the careful end of the two, which is the earliest for a
    /// working time and the likely time for a wait.
    pub at: DateTime<Utc>,
}

impl Due {
    /// A span from `from` on, with its range.
    pub fn after(kind: DueKind, from: DateTime<Utc>, span: &Estimate<Minutes>) -> Self {
        let earliest = later(from, span.low95);
        let likely = later(from, span.value);
        let at = match kind {
            DueKind::WorkingEnds | DueKind::RecoatLatest => earliest,
            DueKind::Mixed
            | DueKind::Stood
            | DueKind::Recoat
            | DueKind::Demould
            | DueKind::Patch
            | DueKind::Copy => likely,
        };
        Self {
            kind,
            from,
            earliest,
            likely,
            at,
        }
    }

    /// Time left until it is due; negative once it is over.
    pub fn left(&self, now: DateTime<Utc>) -> Duration {
        self.at - now
    }

    /// How long ago it was due, in words, or none within the first minute; `None` while it still
    /// lies ahead.
    pub fn late_by(&self, now: DateTime<Utc>) -> Option<Option<String>> {
        let late = (now - self.at).num_seconds() as f64 / 60.0;
        let span = || show::duration(Minutes(late.floor()));
        (late >= 0.0).then(|| (late >= 1.0).then(span))
    }

    /// The same as a few words.
    pub fn overdue(&self, now: DateTime<Utc>) -> Option<String> {
        self.late_by(now).map(|late| match late {
            None => tr("due now").into(),
            Some(late) => say!("was due {late} ago", late),
        })
    }
}

/// A time of the clock, or the last one there is: a record from elsewhere may hold any time.
fn later(from: DateTime<Utc>, span: Minutes) -> DateTime<Utc> {
    from.checked_add_signed(span_of(span))
        .unwrap_or(DateTime::<Utc>::MAX_UTC)
}

/// The minutes from one moment to another; negative if the other comes first.
pub(crate) fn minutes_between(from: DateTime<Utc>, to: DateTime<Utc>) -> Minutes {
    Minutes((to - from).num_milliseconds() as f64 / 60_000.0)
}

/// A span of the clock.
pub(crate) fn span_of(span: Minutes) -> Duration {
    Duration::milliseconds((span.0 * 60_000.0).round() as i64)
}
