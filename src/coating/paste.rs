//! What has to be brought of one paste, for one piece or for several.

use super::card::MaterialCard;
use super::explain::{Explanation, explain};
use super::input::PlanInput;
use super::packs::{PackChoice, PackError, Shelf, choose_packs};
use super::plan::Plan;
use super::source::Source;
use crate::quantity::{Amount, Grams, show};
use crate::words::tr;

/// So much of one paste.
#[derive(Clone, Debug, PartialEq)]
pub struct Paste<'a> {
    /// Its card.
    pub card: &'a MaterialCard,
    /// Part A.
    pub a: Grams,
    /// Part B.
    pub b: Grams,
    /// Which of the pieces it is for, counted from 0.
    pub pieces: Vec<usize>,
}

impl Paste<'_> {
    /// Why these packs are chosen for it, and what stays of them.
    pub fn why(&self, choice: &PackChoice) -> Explanation {
        let bought = choice.bought();
        let mut inputs = vec![
            (
                tr("To be there, in the card’s ratio"),
                Amount::Mass(self.in_ratio()),
            ),
            (tr("Bought, in whole sets"), Amount::Mass(bought)),
            (tr("From your shelf"), Amount::Mass(choice.mass - bought)),
        ];
        inputs.extend(
            choice
                .cost
                .map(|cost| (tr("To pay"), Amount::Text(show::number(cost, 2)))),
        );
        explain(
            tr("Left over of the packs"),
            Amount::Mass(choice.left_over),
            inputs,
            tr(
                "Of all whole packs that are enough for both parts, those are taken that cost least; of these, those that leave least over, and of these the fewest. What stands on the shelf costs nothing. Without all prices, least is bought.",
            ),
            Source::Computed(tr("an exact search over whole packs").to_string()),
        )
    }
}

impl<'a> Paste<'a> {
    /// What one piece has to have.
    pub fn of(plan: &Plan, card: &'a MaterialCard) -> Self {
        Self {
            card,
            a: plan.bring_a,
            b: plan.bring_b,
            pieces: vec![0],
        }
    }

    /// What several pieces have to have, a paste each by the id of its card, in the order of the
    /// pieces.
    ///
    /// It is the sum of what each piece would bring. So it holds every piece's batches as they
    /// are weighed, and it is enough with the confidence asked for: where the pieces' needs are
    /// off together, since one hand brushes one paste, the sum of what each needs at a confidence
    /// is what all need at it; where they are off each by itself, the sum spreads less than that,
    /// and some spare is left. How much of it is which nobody knows, so none is taken off.
    pub fn of_all(pieces: &[(&Plan, &'a PlanInput)]) -> Vec<Self> {
        let mut all: Vec<Self> = Vec::new();
        for (at, (plan, input)) in pieces.iter().enumerate() {
            match all.iter_mut().find(|paste| paste.card.id == input.card.id) {
                Some(paste) => {
                    paste.a += plan.bring_a;
                    paste.b += plan.bring_b;
                    paste.pieces.push(at);
                }
                None => all.push(Self {
                    pieces: vec![at],
                    ..Self::of(plan, &input.card)
                }),
            }
        }
        all
    }

    /// What has to be there in the card's ratio, so that both parts are covered.
    fn in_ratio(&self) -> Grams {
        let [a, b] = self.card.shares();
        let (by_a, by_b) = (self.a / a, self.b / b);
        if by_a > by_b { by_a } else { by_b }
    }

    /// The sets to buy for it, rounded up once, and what to take from the shelf if there is one.
    pub fn packs(&self, shelf: Option<Shelf<'_>>) -> Result<PackChoice, PackError> {
        choose_packs(self.in_ratio(), &self.card.packs, shelf)
    }
}
