//! The cautions that hold for a piece whatever its numbers are.

use super::card::FoodStatement;
use super::caution::{Caution, Finish, Topic};
use super::input::PlanInput;
use super::relief::Posture;
use super::source::Source;
use crate::words::tr;

/// All of them, of a piece; what its surface says by itself stands in the fitness checks.
pub(super) fn of(input: &PlanInput) -> Vec<Caution> {
    let mut all = Vec::new();
    if !input.heritage {
        all.push(Caution::new(
            Topic::Heritage,
            tr("On old, listed or valuable work a mould can stain, pull off or leave oil behind for good."),
            tr("If it is that, or bears a load, say so on the piece's own page: its conservator or owner decides."),
            Source::Published(
                tr("Maish and Risser, Journal of the American Institute for Conservation 41 (2), 2002")
                    .to_string(),
            ),
        ));
    }
    all.extend(lead_paint(input.finish));
    all.push(permission());
    all.extend(height(input.posture));
    all.extend([
        Caution::new(
            Topic::Skin,
            tr("Latex gloves stop the cure where they touch. The paste is not for moulding from skin, hair or a living body."),
            tr("Wear nitrile or vinyl gloves, and read the hazard section of the paste's sheet."),
            Source::Published(tr("a maker's guide, read second-hand").to_string()),
        ),
        Caution::new(
            Topic::Air,
            tr("Release sprays and some sealers carry solvent."),
            tr("Open windows, keep flames away, and follow the sheet."),
            Source::CommonPractice,
        ),
        food(input.card.food),
    ]);
    all
}

/// That what is moulded is someone's; before anything else is done.
pub fn permission() -> Caution {
    Caution::new(
        Topic::Permission,
        tr("Moulding what is not yours needs the owner's permission, and a work of art may be under copyright whoever owns it."),
        tr("Get it in writing before you start, and note it in the job. This is no legal advice."),
        Source::Published(tr("UK Copyright, Designs and Patents Act 1988, s. 62 (covers pictures, not casts); other countries differ").to_string()),
    )
}

/// What old paint may hold; before the surface is touched.
pub fn lead_paint(finish: Finish) -> Option<Caution> {
    let (text, advice) = match finish {
        Finish::Painted => (
            tr("Paint from before 1978 (elsewhere later) may hold lead."),
            tr(
                "Have it tested first. If it is lead, follow the local rules for disturbing lead paint, or leave it.",
            ),
        ),
        Finish::Loose => (
            tr("What flakes may be old paint, and old paint may hold lead."),
            tr(
                "Don't brush, sand or wipe it dry. Have it tested first, and follow the local rules for lead paint.",
            ),
        ),
        Finish::Unknown => (
            tr("If it turns out to be painted, the paint may hold lead."),
            tr("Find out what the finish is before you brush anything on."),
        ),
        _ => return None,
    };
    let source = Source::Published(tr("US EPA, 40 CFR 745.83").to_string());
    Some(Caution::new(Topic::LeadPaint, text, advice, source))
}

fn height(posture: Posture) -> Vec<Caution> {
    let mut all = Vec::new();
    if posture != Posture::Flat {
        all.push(Caution::new(
            Topic::Height,
            tr("Three coats take hours; that is no work for a ladder."),
            tr("Plan a tower or a platform for anything out of reach, and follow your local rules for work at height."),
            Source::Published(tr("UK HSE: ladders for low-risk work of short duration only").to_string()),
        ));
    }
    if posture == Posture::Overhead {
        all.push(Caution::new(
            Topic::Height,
            tr("Overhead, paste and loose ornament fall towards your eyes."),
            tr("Wear goggles, and keep people from underneath."),
            Source::CommonPractice,
        ));
    }
    all
}

fn food(statement: FoodStatement) -> Caution {
    match statement {
        FoodStatement::DeclaredByMaker => Caution::new(
            Topic::Food,
            tr("The card says that the maker declares the cured paste fit for food."),
            tr(
                "Keep the declaration, follow its cure and washing, and never use this mould for anything else.",
            ),
            Source::YourSheet,
        ),
        FoodStatement::NotDeclared | FoodStatement::NotForFood => Caution::new(
            Topic::Food,
            tr("This mould is not for food: the card has no maker's declaration."),
            tr(
                "Cast food only in a paste whose maker declares it, in a mould that never held anything else.",
            ),
            Source::Published(tr("Regulation (EC) 1935/2004, articles 3 and 15").to_string()),
        ),
    }
}
