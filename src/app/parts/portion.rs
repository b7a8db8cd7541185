//! So much of part A and so much of part B, told apart by letter and shape, never by colour.

use crate::coating::{Batch, MaterialCard};
use crate::quantity::Grams;
use crate::quantity::show::{self, System};
use crate::say;
use leptos::prelude::*;

/// The letter of a part on its shape: a round A, a square B.
pub fn part_letter(letter: char) -> AnyView {
    let shape = if letter == 'A' {
        "letter round"
    } else {
        "letter"
    };
    view! { <span class=shape>{letter.to_string()}</span> }.into_any()
}

/// One batch as the scale shows it.
pub fn portion(batch: &Batch, step: Grams, system: System) -> AnyView {
    view! {
        <span class="portion">
            {part_letter('A')} " " {show::weighing(batch.a, step, system)}
        </span>
        " "
        <span class="portion">
            {part_letter('B')} " " {show::weighing(batch.b, step, system)}
        </span>
    }
    .into_any()
}

/// One batch in measuring cups, where the card knows the density of both parts.
pub fn by_volume(card: &MaterialCard, batch: &Batch, system: System) -> Option<String> {
    let [a, b] = card.volumes(batch.a, batch.b)?;
    Some(say!(
        "Measured instead of weighed: A {a}, B {b}.",
        a = show::volume(a, system),
        b = show::volume(b, system)
    ))
}
