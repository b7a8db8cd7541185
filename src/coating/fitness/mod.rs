//! Whether a surface is fit for the paste, said before anything is packed: what may stop the cure,
//! what it may do to the surface, what has to go between the two, and how the skin comes off.
//!
//! Each check says on whose word. Nothing here is a licence: the paste's sheet, a test in a hidden
//! place, and the surface's owner and conservator come first.

mod cure;
mod release;
mod shape;
mod surface;

use crate::words::tr;
pub use release::Release;

use super::card::MaterialCard;
use super::caution::Finish;
use super::patch::{PatchResult, PatchTest};
use super::relief::{Posture, Relief};
use super::source::Source;
use super::substrate::Substrate;
use crate::quantity::Millimetres;

/// Whose word is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whom {
    /// A conservator.
    Conservator,
    /// Whoever answers for the piece.
    Owner,
    /// Whoever made the paste.
    Maker,
}

/// What a check comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing to mind.
    Fine,
    /// Can be done, with this in mind.
    Care,
    /// A patch test decides.
    TestFirst,
    /// Not as it is now: something has to be changed first.
    NotAsItIs,
    /// Someone else decides.
    NotWithout(Whom),
}

impl Verdict {
    /// A few words for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Fine => tr("fine"),
            Self::Care => tr("take care"),
            Self::TestFirst => tr("test first"),
            Self::NotAsItIs => tr("not as it is"),
            Self::NotWithout(Whom::Conservator) => tr("not without a conservator"),
            Self::NotWithout(Whom::Owner) => tr("not without its owner or conservator"),
            Self::NotWithout(Whom::Maker) => tr("not without the paste's maker"),
        }
    }
}

/// One check.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Its stable name.
    pub key: &'static str,
    /// What it comes to.
    pub verdict: Verdict,
    /// What it is about, a sentence.
    pub what: String,
    /// Why.
    pub reason: String,
    /// On whose word.
    pub source: Source,
    /// What to do; empty where there is nothing to do.
    pub advice: String,
}

impl Check {
    fn new(
        key: &'static str,
        verdict: Verdict,
        what: &str,
        reason: &str,
        source: Source,
        advice: &str,
    ) -> Self {
        Self {
            key,
            verdict,
            what: what.to_string(),
            reason: reason.to_string(),
            source,
            advice: advice.to_string(),
        }
    }
}

/// The piece as the paste meets it.
#[derive(Clone, Copy, Debug)]
pub struct Ground<'a> {
    /// The paste.
    pub card: &'a MaterialCard,
    /// What the piece is made of.
    pub substrate: Substrate,
    /// How its surface is finished.
    pub finish: Finish,
    /// How it stands.
    pub posture: Posture,
    /// How it stands out, if that is known.
    pub relief: Option<Relief>,
    /// Width of the border strip.
    pub border: Millimetres,
    /// Old, listed, valuable, or something rests on it.
    pub heritage: bool,
    /// Somewhere it closes behind its own forms.
    pub undercut: bool,
    /// The patch test, if one was started.
    pub patch: Option<&'a PatchTest>,
}

impl Ground<'_> {
    /// The patch test of the paste in hand; a test of another paste doesn't count.
    fn test(&self) -> Option<&PatchTest> {
        self.patch.filter(|test| test.paste == self.card.id)
    }

    /// What that test left.
    fn result(&self) -> Option<PatchResult> {
        self.test()?.result
    }

    /// Whether the surface drinks, so that it wants a sealer under the release.
    fn porous(&self) -> bool {
        !self.substrate.silicone()
            && match self.finish {
                Finish::BarePorous | Finish::Loose => true,
                Finish::Unknown => self.substrate.porous(),
                Finish::BareDense | Finish::Painted | Finish::Varnished | Finish::Gilded => false,
            }
    }

    /// Whether the stiff shell would be locked on it in one part.
    pub(super) fn shell_in_parts(&self) -> bool {
        shape::turns_back(self)
    }

    /// All checks, in the order in which a craftsperson would ask.
    pub fn checks(&self) -> Vec<Check> {
        let mut all = Vec::new();
        all.extend(surface::owner(self));
        all.extend(surface::finish(self));
        all.push(cure::cure(self));
        all.extend(surface::stain(self));
        all.extend(cure::patch(self));
        all.push(Release::of(self).check());
        all.extend(shape::undercut(self));
        all.extend(shape::thin_parts(self));
        all.extend(shape::border(self));
        all.extend(shape::fixing(self));
        all
    }
}

/// A guide that was not read itself.
fn guide() -> Source {
    Source::Published(tr("a maker's guide, read second-hand").to_string())
}

/// What silicone leaves in a surface.
fn residues() -> Source {
    Source::Published(
        tr("Maish and Risser, Journal of the American Institute for Conservation 41 (2), 2002")
            .to_string(),
    )
}
