//! What the phone should call out, and when.

use super::due::{Due, DueKind};
use super::progress::Progress;
use crate::words::tr;
use chrono::{DateTime, Utc};

/// One call: made once, at its time.
#[derive(Clone, Debug, PartialEq)]
pub struct Alert {
    /// The same for the same call, however often it is asked for.
    pub id: String,
    /// When.
    pub at: DateTime<Utc>,
    /// A title that explains itself.
    pub title: String,
    /// What to do.
    pub body: String,
}

/// The calls that a coating still needs. `piece` names it, in the id and in words.
pub fn alerts(progress: &Progress, piece: (&str, &str)) -> Vec<Alert> {
    let call = |due| alert(due, piece);
    progress.timers.iter().map(call).collect()
}

/// The call of one moment.
pub fn alert(due: &Due, (id, name): (&str, &str)) -> Alert {
    let body = match due.kind {
        DueKind::Mixed => tr("Look for streaks, scrape the sides, and go on."),
        DueKind::Stood => tr("Try a dab on the wall: if it holds, put the batch on."),
        DueKind::WorkingEnds => tr("What is not on by now is thrown away."),
        DueKind::Recoat => tr("Touch the last coat: tacky means the next one can go on."),
        DueKind::RecoatLatest => tr("The next coat should be on by now; see the paste's sheet."),
        DueKind::Demould => tr("The skin can come off."),
        DueKind::Copy => tr("It has had the time that its card gives; feel whether it is firm."),
        DueKind::Patch => tr("Is it firm all through, and the surface as it was?"),
    };
    Alert {
        id: format!("{id}/{:?}/{}", due.kind, due.from.timestamp_millis()),
        at: due.at,
        title: format!("{name}: {}", due.kind.name()),
        body: body.into(),
    }
}
