//! How the moments that are waited for came about.

use super::due::{Due, DueKind, minutes_between};
use super::rule;
use super::tempo::Tempo;
use crate::coating::{Explanation, explain, practice};
use crate::quantity::Amount;
use crate::words::tr;

/// Why a moment of the work on the wall is when it is: its span, from the tap that it counts from.
/// `None` for what a casting medium's own card says.
pub fn why_due(due: &Due, tempo: &Tempo) -> Option<Explanation> {
    let span = Amount::Duration(minutes_between(due.from, due.likely));
    let earliest = Amount::Duration(minutes_between(due.from, due.earliest));
    let said = |inputs, formula: &str, source| {
        explain(tr("From the tap on"), span.clone(), inputs, formula, source)
    };
    let card = tempo.card();
    let marks = &card.marks;
    let (age, mark) = match due.kind {
        DueKind::Mixed => {
            return Some(said(
                vec![(tr("Mixing in each container"), span.clone())],
                tr(
                    "Paste is mixed for that long in each of its two containers, counted from the tap.",
                ),
                practice::MIX_PER_CONTAINER.source,
            ));
        }
        DueKind::Stood => {
            return Some(said(
                vec![(tr("Standing to thicken"), span.clone())],
                tr(
                    "A coat that would run stands until it is thick enough to hold, as the plan has it from your dabs or the card, counted from the tap.",
                ),
                practice::THICKENING.source,
            ));
        }
        DueKind::Copy => return None,
        DueKind::WorkingEnds => (card.working, &marks.working),
        DueKind::Recoat => (card.recoat_from, &marks.recoat),
        DueKind::RecoatLatest => (card.recoat_until?, &marks.recoat),
        DueKind::Demould | DueKind::Patch => (card.demould, &marks.demould),
    };
    let (law, rate) = rate_of(tempo);
    let mut inputs = vec![
        (tr("On the sheet"), Amount::Duration(age)),
        (tr("at"), Amount::Temperature(card.reference)),
        (
            tr("On site"),
            Amount::Temperature(tempo.temperature_at(due.from)),
        ),
        (law, rate),
    ];
    let mut formula = tr("The sheet’s time over the rate at the temperature of the site, reading by reading, counted from the tap.").to_owned();
    let mut add = |sentence| {
        formula += " ";
        formula += sentence;
    };
    match due.kind {
        DueKind::WorkingEnds | DueKind::RecoatLatest => {
            add(tr(
                "The countdown runs to the careful end of the range, the earliest.",
            ));
        }
        DueKind::Recoat | DueKind::Demould => {
            let times = (tempo.times() * 100.0).round() / 100.0;
            inputs.push((
                tr("Times as fast as the card, by touch"),
                Amount::Number(times),
            ));
            inputs.push((
                tr("Of that, after a touch that came too early"),
                Amount::Share(rule::WAIT_AGAIN.value),
            ));
            add(tr(
                "It is divided by how fast touches showed the paste to go; after a touch that came too early, a part of it is waited again.",
            ));
        }
        _ => (),
    }
    inputs.push((tr("At the earliest"), earliest));
    Some(said(inputs, &formula, mark.clone()))
}

/// What tells how much faster warm paste goes.
fn rate_of(tempo: &Tempo) -> (&'static str, Amount) {
    let card = tempo.card();
    match card.activation {
        Some(energy) => (tr("Activation energy, kJ/mol"), Amount::Number(energy.0)),
        None => (
            tr("Times as fast ten degrees Celsius warmer"),
            Amount::Number(card.q10),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coating::starter_cards;
    use crate::quantity::{Celsius, Minutes};
    use chrono::{DateTime, TimeDelta};

    #[test]
    fn each_moment_on_the_wall_has_its_inputs_and_its_span() {
        let card = &starter_cards()[0];
        let from = DateTime::UNIX_EPOCH + TimeDelta::days(20_000);
        let warm = vec![(from - TimeDelta::hours(1), card.reference + Celsius(5.0))];
        let tempo = Tempo::of(card, card.reference, warm);
        for (kind, age) in [
            (DueKind::WorkingEnds, card.working),
            (DueKind::Recoat, card.recoat_from),
            (DueKind::Demould, card.demould),
            (DueKind::Patch, card.demould),
        ] {
            let due = Due::after(kind, from, &tempo.span(from, age));
            let why = why_due(&due, &tempo).unwrap();
            let span = minutes_between(due.from, due.likely);
            assert_eq!(why.result, Amount::Duration(span));
            assert!(span < age && span > Minutes(0.0), "warmer is sooner");
            assert_eq!(why.inputs[0].1, Amount::Duration(age));
            assert_eq!(
                why.inputs[2].1,
                Amount::Temperature(card.reference + Celsius(5.0))
            );
        }
    }
}
