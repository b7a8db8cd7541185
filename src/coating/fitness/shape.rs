//! Whether the skin and its shell come off the form.

use super::{Check, Ground, Verdict};
use crate::coating::relief::{Posture, ReliefKind};
use crate::coating::source::{Marked, Source};
use crate::quantity::Millimetres;
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;

/// A border narrower than this hardly carries the shell's rim.
const NARROW: Marked<Millimetres> = Marked::made_up(Millimetres(20.0));

/// Whether its forms turn back behind themselves.
pub(super) fn turns_back(ground: &Ground<'_>) -> bool {
    let high =
        |relief: crate::coating::Relief| relief.kind == ReliefKind::High && relief.highest.0 > 0.0;
    ground.undercut || ground.relief.is_some_and(high)
}

/// Undercuts: what the skin leaves, and what the shell does not.
pub(super) fn undercut(ground: &Ground<'_>) -> Option<Check> {
    let check = |verdict, what, reason, advice| {
        Some(Check::new(
            "undercut",
            verdict,
            what,
            reason,
            Source::CommonPractice,
            advice,
        ))
    };
    if ground.undercut {
        return check(
            Verdict::Care,
            tr("A skin does not leave deep, closed undercuts."),
            tr(
                "A thin skin bends out of mild undercuts; where the form closes behind, it tears or breaks the piece, and the stiff shell is locked.",
            ),
            tr(
                "Fill them with thickened paste until the shell can lift straight off; build the shell in two pieces or more, and cut the skin along a split line. Where a form closes all round, fill it with something that comes out again, or don't mould it.",
            ),
        );
    }
    let relief = ground.relief?;
    if turns_back(ground) {
        return check(
            Verdict::Care,
            tr("Its forms turn back: the shell has to come off in pieces."),
            tr("The skin bends out of mild undercuts, but the shell over it is stiff."),
            tr(
                "Fill undercuts with thickened paste until the shell can lift straight off, or build it in two pieces. If one is deep, mark that on the piece's own page.",
            ),
        );
    }
    let (what, reason) = match relief.highest.0 > 0.0 {
        true => (
            tr("The skin leaves mild undercuts."),
            tr("A thin skin bends out of them, and the shell lifts straight off."),
        ),
        false => (tr("It has no undercuts."), tr("It is flat.")),
    };
    check(Verdict::Fine, what, reason, "")
}

/// What stands free and breaks.
pub(super) fn thin_parts(ground: &Ground<'_>) -> Option<Check> {
    (turns_back(ground) && ground.substrate.brittle()).then(|| {
        Check::new(
            "thin_parts",
            Verdict::Care,
            tr("Thin parts that stand free can break off with the skin."),
            tr("The skin pulls them before it bends, and brittle things don't give."),
            Source::CommonPractice,
            tr("Prop them from behind or leave them out, give them more paste than the rest, and peel slowly from where they are fast. Whether that may be risked is the owner's decision."),
        )
    })
}

/// A border too narrow to hold on to.
pub(super) fn border(ground: &Ground<'_>) -> Option<Check> {
    (ground.border < NARROW.value).then(|| {
        Check::new(
            "border",
            Verdict::Care,
            &say!(
                "The border of {in_metric} ({in_us}) is narrow.", in_metric = show::length(ground.border, System::Metric), in_us = show::length(ground.border, System::UsCustomary)
            ),
            tr("About an inch all round is usual: it carries the shell's rim, keeps the edge in shape and gives a place to start the peel."),
            Source::CommonPractice,
            tr("Make it wider on the Plan page if there is room beside the piece."),
        )
    })
}

/// What hangs overhead hangs by its own fixing.
pub(super) fn fixing(ground: &Ground<'_>) -> Option<Check> {
    (ground.posture == Posture::Overhead).then(|| {
        Check::new(
            "fixing",
            Verdict::Care,
            tr("Skin and shell hang on the ornament, and the peel pulls at it."),
            tr("Whether it is fast can't be seen from below."),
            Source::CommonPractice,
            tr("Let someone competent check that it is fast, and prop the shell until it is down. If it carries a load, leave the decision to its owner."),
        )
    })
}
