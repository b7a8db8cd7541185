//! How far the reference, and the edge that is traced, stand before the wall: what stands nearer
//! to the camera looks larger.

use super::bench::Bench;
use super::marks::Marks;
use crate::app::parts::field::Field;
use crate::quantity::{Millimetres, parse, show};
use leptos::prelude::*;

/// Whose height is asked for.
pub struct Whose {
    id: &'static str,
    /// What stands there, at the beginning of a sentence.
    name: &'static str,
    /// Where that is: on the ground, before it and behind it.
    stands: [&'static str; 3],
    label: &'static str,
    get: fn(&Marks) -> Millimetres,
    set: fn(&mut Marks, Millimetres),
}

const BY_WALL: [&str; 3] = ["on the wall", "before the wall", "behind the wall"];
const BY_TABLE: [&str; 3] = ["on the table", "over the table", "under the table"];

/// The reference's.
pub const REFERENCE: Whose = Whose {
    id: "reference-height",
    name: "The reference lies",
    stands: BY_WALL,
    label: "It lies before the wall by (behind it: with a minus)",
    get: |marks| marks.reference_height,
    set: |marks, height| marks.reference_height = height,
};

/// The traced edge's.
pub const OUTLINE: Whose = Whose {
    id: "outline-height",
    name: "The traced edge lies",
    stands: BY_WALL,
    label: "The edge that you trace stands out from the wall by",
    get: |marks| marks.outline_height,
    set: |marks, height| marks.outline_height = height,
};

/// The reference's beside a gauge.
pub const REFERENCE_LIES: Whose = Whose {
    stands: BY_TABLE,
    label: "It lies over the table by",
    ..REFERENCE
};

/// The gauge's edge.
pub const GAUGE: Whose = Whose {
    name: "The tapped edge lies",
    stands: BY_TABLE,
    label: "The pins lie over the table by (a line on a sheet: 0)",
    ..OUTLINE
};

/// Beyond this no ornament stands out from its wall.
const MOST: Millimetres = Millimetres(1000.0);

/// The height as a sentence that opens to the field in which it is typed.
pub fn field(bench: Bench, whose: &'static Whose) -> AnyView {
    let system = move || bench.desk.settings.get().system;
    let height = Memo::new(move |_| bench.marks.with(whose.get));
    let sentence = move || {
        let Millimetres(mm) = height.get();
        let apart = show::length(Millimetres(mm.abs()), system());
        let [on, before, behind] = whose.stands;
        match mm {
            0.0 => format!("{} {on}", whose.name),
            _ if mm > 0.0 => format!("{} {apart} {before}", whose.name),
            _ => format!("{} {apart} {behind}", whose.name),
        }
    };
    let value = Signal::derive(move || show::length(height.get(), system()));
    let read = move |text: &str| {
        let system = bench.desk.settings.get_untracked().system;
        let typed = parse::signed_length(text, system).map_err(|e| e.to_string())?;
        if typed.0.abs() > MOST.0 {
            return Err("More than a metre (39 in) before the wall is too far to measure on it: type the height above the ground of the ornament.".into());
        }
        bench.change("Height typed", |marks| (whose.set)(marks, typed));
        Ok(())
    };
    view! {
        <details class="height">
            <summary>{sentence}</summary>
            <Field id=whose.id label=whose.label value read />
        </details>
    }
    .into_any()
}
