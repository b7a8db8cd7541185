//! What may keep the paste from curing, and what a patch test said.

use super::{Check, Ground, Verdict, Whom, guide};
use crate::coating::card::Cure;
use crate::coating::patch::PatchResult;
use crate::coating::source::Source;
use crate::coating::substrate::Substrate;
use crate::words::tr;

const KEY: &str = "cure";

/// Whether the paste will cure on it: the patch test's word, and without one the substrate's.
pub(super) fn cure(ground: &Ground<'_>) -> Check {
    let sealed = ground.test().is_some_and(|test| test.sealed);
    match (ground.result(), sealed) {
        (Some(PatchResult::Cured | PatchResult::Stained), false) => Check::new(
            KEY,
            Verdict::Fine,
            tr("The paste cures on this surface."),
            tr("Your patch cured."),
            Source::YourChoice,
            "",
        ),
        (Some(PatchResult::Cured | PatchResult::Stained), true) => Check::new(
            KEY,
            Verdict::Fine,
            tr("The paste cures over the sealer."),
            tr("Your sealed patch cured. A bare one may not, so seal all of it."),
            Source::YourChoice,
            "",
        ),
        (Some(PatchResult::Sticky), false) => Check::new(
            KEY,
            Verdict::NotAsItIs,
            tr("The paste does not cure on this surface as it is."),
            tr(
                "Your patch stayed sticky: something in the surface stops it. Or the mix was off, or it needs longer in the cold.",
            ),
            guide(),
            tr(
                "Wipe it off, seal a hidden place, and test again over the sealer. Coat nothing until a patch cures.",
            ),
        ),
        (Some(PatchResult::Sticky), true) => Check::new(
            KEY,
            Verdict::NotWithout(Whom::Maker),
            tr("The paste does not cure here, not even over the sealer."),
            tr("Your sealed patch stayed sticky."),
            Source::YourChoice,
            tr(
                "Leave the piece, or ask the paste's maker for a sealer or a paste that cures on it.",
            ),
        ),
        (None, _) => by_substrate(ground.substrate, ground.card.cure),
    }
}

/// What is known of a substrate under a paste of that cure, before anyone tried.
fn by_substrate(substrate: Substrate, cure: Cure) -> Check {
    use Substrate::*;
    let test = tr("Let a patch test tell. If it stays sticky, seal the surface or leave it.");
    let check = |verdict, what, reason, source, advice| {
        Check::new(KEY, verdict, what, reason, source, advice)
    };
    match (substrate, cure) {
        (Unknown, _) => check(
            Verdict::TestFirst,
            tr("It is not known what the piece is made of."),
            tr("Sulphur clays, latex, tin-cured rubber, amines, some woods and fresh resin prints can stop a silicone from curing."),
            guide(),
            tr("Say what it is made of on the piece's own page, or let a patch test tell."),
        ),
        (SiliconeAddition, Cure::Addition) | (SiliconeCondensation, Cure::Condensation) => check(
            Verdict::Fine,
            tr("Piece and paste are of the same cure."),
            tr("Silicones of one cure do cure on each other."),
            guide(),
            "",
        ),
        (SiliconeAddition, Cure::Condensation) | (SiliconeCondensation, Cure::Addition) => check(
            Verdict::NotAsItIs,
            tr("This paste does not cure on a silicone of the other cure."),
            tr("Addition-cure and condensation-cure silicones do not cure on each other."),
            guide(),
            tr("Take a paste of the same cure, or seal it and test over the sealer."),
        ),
        (SiliconeAddition | SiliconeCondensation, Cure::Unknown) => check(
            Verdict::TestFirst,
            tr("The card does not say how the paste cures."),
            tr("Addition-cure and condensation-cure silicones do not cure on each other."),
            guide(),
            tr("Look at the paste's sheet: platinum is addition, tin is condensation. Then test."),
        ),
        (Stone | Metal | Glazed, _) => check(
            Verdict::Fine,
            tr("Nothing in it is known to stop the cure."),
            tr("Bare, it is not among what is said to stop a silicone."),
            guide(),
            "",
        ),
        (Gypsum | Brick, Cure::Condensation) => check(
            Verdict::Fine,
            tr("Nothing in it is known to stop the cure."),
            tr("What sulphur it may hold stops addition cure, not condensation cure."),
            Source::FromMemory,
            "",
        ),
        (Gypsum | Brick, Cure::Addition | Cure::Unknown) => check(
            Verdict::Care,
            tr("Some plasters and ceramics stop an addition-cure paste."),
            tr("They can hold sulphur."),
            Source::Published(
                tr("Blanpain, Driesmans and Benrubi, Silicone as a Moulding Material for Loss Compensation")
                    .to_string(),
            ),
            test,
        ),
        (Wood | Clay | Rubber | ResinPrint, Cure::Condensation) => check(
            Verdict::Care,
            tr("A condensation-cure paste mostly cures on this."),
            tr("What stops addition cure rarely stops condensation cure, which wants moist air instead."),
            Source::FromMemory,
            test,
        ),
        (Wood, _) => check(
            Verdict::TestFirst,
            tr("Some woods stop the cure."),
            tr("What they hold spoils an addition cure; which woods, no one has listed."),
            guide(),
            test,
        ),
        (Clay, _) => check(
            Verdict::TestFirst,
            tr("Clay with sulphur stops the cure."),
            tr("Many modelling clays hold sulphur, and a little is enough."),
            guide(),
            tr("Let a patch test tell. If it stays sticky, seal the clay and test again."),
        ),
        (Rubber, _) => check(
            Verdict::TestFirst,
            tr("Latex and rubber stop the cure."),
            tr("Natural rubber and what cured it spoil an addition cure."),
            guide(),
            test,
        ),
        (ResinPrint, _) => check(
            Verdict::TestFirst,
            tr("A fresh print stops the cure."),
            tr("Resin in it that has not cured spoils an addition cure."),
            guide(),
            tr("Wash the print, cure it in full light by its own sheet, and test. If it stays sticky, seal it."),
        ),
    }
}

/// Whether a patch test is still wanted; its answer is told by the other checks.
pub(super) fn patch(ground: &Ground<'_>) -> Option<Check> {
    let what = match (ground.patch, ground.test()) {
        (_, Some(test)) if test.result.is_some() => return None,
        (_, Some(_)) => tr("The patch test has no answer yet."),
        (Some(_), None) => tr("The patch test was of another paste."),
        (None, None) => tr("No patch test yet."),
    };
    Some(Check::new(
        "patch",
        Verdict::Care,
        what,
        tr(
            "A dab that is still gummy when its time is over tells that the surface stops the cure.",
        ),
        guide(),
        tr(
            "You can do without one. Then whether it cures, lets go and leaves no stain shows only on the piece.",
        ),
    ))
}
