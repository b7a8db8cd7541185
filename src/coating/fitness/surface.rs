//! What the paste can do to the surface.

use super::{Check, Ground, Verdict, Whom, guide, residues};
use crate::coating::caution::Finish;
use crate::coating::patch::PatchResult;
use crate::coating::source::Source;
use crate::words::tr;

/// A piece that is not the moulder's to decide on.
pub(super) fn owner(ground: &Ground<'_>) -> Option<Check> {
    ground.heritage.then(|| {
        Check::new(
            "heritage",
            Verdict::NotWithout(Whom::Owner),
            tr("Old, listed or valuable work, or what something rests on, is not yours to risk."),
            tr("A mould can stain, pull off or leave oil behind for good, and load on old work can break it."),
            residues(),
            tr("Leave the decision to its conservator or owner, and have it in writing before you start."),
        )
    })
}

/// What may come off with the skin.
pub(super) fn finish(ground: &Ground<'_>) -> Option<Check> {
    let clean = ground.result() == Some(PatchResult::Cured);
    let check = |verdict, what, reason, source, advice| {
        Some(Check::new("finish", verdict, what, reason, source, advice))
    };
    match ground.finish {
        Finish::BarePorous | Finish::BareDense => None,
        Finish::Painted | Finish::Varnished if clean => check(
            Verdict::Fine,
            tr("Its finish stays on."),
            tr("Your patch took nothing off."),
            Source::YourChoice,
            "",
        ),
        Finish::Painted => check(
            Verdict::TestFirst,
            tr("Paint can come off with the skin."),
            tr(
                "How firmly it holds shows only on the spot, and paint that has not dried through can stop the cure.",
            ),
            guide(),
            tr("Test in a hidden place. Where paint lifts, leave the piece or ask its owner."),
        ),
        Finish::Varnished => check(
            Verdict::TestFirst,
            tr("Varnish and wax can lift with the skin or go dull."),
            tr("Release and the paste's oil go into them."),
            Source::CommonPractice,
            tr("Test in a hidden place. On old work ask a conservator first."),
        ),
        Finish::Gilded => check(
            Verdict::NotWithout(Whom::Conservator),
            tr("Gilding and bronzing lift with the skin."),
            tr("Leaf and bronze powder hold by a film that gives way before the skin does."),
            Source::CommonPractice,
            tr("Don't mould it without a conservator's word and a test in a hidden place."),
        ),
        Finish::Loose => check(
            Verdict::NotWithout(Whom::Conservator),
            tr("A loose surface comes away with the skin."),
            tr("Whatever holds less than the skin pulls goes with it."),
            Source::CommonPractice,
            tr("Don't mould it. Let a conservator consolidate it first."),
        ),
        Finish::Unknown => check(
            Verdict::Care,
            tr("It is not known how the surface is finished."),
            tr("It is taken as bare; paint, gilding and what is loose come off with the skin."),
            Source::CommonPractice,
            tr("Look closely, and say how it is finished on the piece's own page."),
        ),
    }
}

/// Oil that stays in the surface.
pub(super) fn stain(ground: &Ground<'_>) -> Option<Check> {
    let check = |verdict, what, reason, source, advice| {
        Some(Check::new("stain", verdict, what, reason, source, advice))
    };
    match ground.result() {
        Some(PatchResult::Stained) => check(
            Verdict::NotWithout(Whom::Owner),
            tr("The paste marks this surface."),
            tr(
                "Your patch left a stain or took something off; silicone oil may not come out again.",
            ),
            residues(),
            tr(
                "Show the owner the patch. Only with their word, and after a patch over sealer and release came off clean, go on.",
            ),
        ),
        Some(PatchResult::Cured) if ground.porous() => check(
            Verdict::Fine,
            tr("The paste leaves no stain."),
            tr(
                "Your patch left none. Oil can still show after days, so look again before you coat.",
            ),
            Source::YourChoice,
            "",
        ),
        _ if ground.porous() => check(
            Verdict::TestFirst,
            tr("A porous surface drinks silicone oil and can stay dark."),
            tr("Without a barrier the oil goes in, and it may never come out."),
            residues(),
            tr(
                "Seal and release a hidden place, and test there. If it darkens, do without the mould.",
            ),
        ),
        _ => None,
    }
}
