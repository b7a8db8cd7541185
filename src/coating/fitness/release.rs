//! What goes between the surface and the paste. The bag follows the same answer.

use super::{Check, Ground, Verdict, guide};
use crate::coating::card::Cure;
use crate::coating::caution::Finish;
use crate::coating::patch::PatchResult;
use crate::coating::source::Source;
use crate::coating::substrate::Substrate;
use crate::words::tr;

/// What has to be put on before the first coat.
#[derive(Clone, Debug, PartialEq)]
pub struct Release {
    /// Why a sealer first; `None` if none is needed.
    pub sealer: Option<&'static str>,
    /// Why a release; `None` if none is needed.
    pub release: Option<&'static str>,
    /// On whose word.
    pub source: Source,
}

impl Release {
    /// What a piece needs.
    pub fn of(ground: &Ground<'_>) -> Self {
        let sealer = sealer(ground);
        let (release, source) = release(ground, sealer.is_some());
        Self {
            sealer,
            release,
            source,
        }
    }

    /// The same as a check.
    pub(super) fn check(self) -> Check {
        let (verdict, what, reason, advice) = match (self.sealer, self.release) {
            (Some(why), _) => (
                Verdict::Care,
                tr("Sealer first, then release."),
                why,
                tr(
                    "Seal it and let the sealer dry: half an hour at least, in damp air days. Then two thin coats of release.",
                ),
            ),
            (None, Some(why)) => (
                Verdict::Care,
                tr("Release, no sealer."),
                why,
                tr("Two thin coats over the piece and its border, each left to dry."),
            ),
            (None, None) => (
                Verdict::Fine,
                tr("No release needed."),
                tr(
                    "Cured silicone holds on little but silicone and glass, and this does not drink.",
                ),
                "",
            ),
        };
        Check::new("release", verdict, what, reason, self.source, advice)
    }
}

fn sealer(ground: &Ground<'_>) -> Option<&'static str> {
    let other_cure = matches!(
        (ground.substrate, ground.card.cure),
        (Substrate::SiliconeAddition, Cure::Condensation)
            | (Substrate::SiliconeCondensation, Cure::Addition)
    );
    match ground.result() {
        Some(PatchResult::Sticky) => {
            Some(tr("Your patch stayed sticky: a barrier has to part them."))
        }
        Some(PatchResult::Stained) => {
            Some(tr("Your patch left a stain: a barrier has to part them."))
        }
        _ if ground.test().is_some_and(|test| test.sealed) => Some(tr(
            "Your patch was tested over a sealer: the piece needs the same.",
        )),
        _ if ground.porous() => Some(tr(
            "It is, or may be, porous: bare, it drinks the paste's oil.",
        )),
        _ if other_cure => Some(tr(
            "Silicones of different cure have to be parted by a barrier.",
        )),
        _ => None,
    }
}

fn release(ground: &Ground<'_>, sealed: bool) -> (Option<&'static str>, Source) {
    let lets_go = matches!(
        ground.substrate,
        Substrate::Clay | Substrate::Rubber | Substrate::ResinPrint
    );
    if ground.substrate.silicone() {
        return (
            Some(tr(
                "Silicone bonds to silicone for good wherever release is missing.",
            )),
            guide(),
        );
    }
    match ground.finish {
        _ if sealed => (Some(tr("So that the skin comes off the sealer.")), guide()),
        Finish::BareDense | Finish::Unknown if lets_go => (None, Source::FromMemory),
        Finish::BareDense | Finish::Unknown => (
            Some(tr(
                "A dense surface needs no sealer, but release, so that the skin comes off.",
            )),
            guide(),
        ),
        _ => (
            Some(tr("So that the skin comes off and leaves the finish on.")),
            Source::CommonPractice,
        ),
    }
}
