//! How far the reference, and the edge that is traced, stand before the wall: what stands nearer
//! to the camera looks larger.

use super::bench::Bench;
use super::marks::Marks;
use crate::app::parts::field::Field;
use crate::quantity::{Millimetres, parse, show};
use crate::words::{fill, mark, tr};
use leptos::prelude::*;

/// Whose height is asked for.
pub struct Whose {
    id: &'static str,
    /// Where it is: on the ground, before it and behind it.
    stands: [&'static str; 3],
    label: &'static str,
    get: fn(&Marks) -> Millimetres,
    set: fn(&mut Marks, Millimetres),
}

/// The reference's.
pub const REFERENCE: Whose = Whose {
    id: "reference-height",
    stands: [
        mark("The reference lies on the wall"),
        mark("The reference lies {apart} before the wall"),
        mark("The reference lies {apart} behind the wall"),
    ],
    label: mark("It lies before the wall by (behind it: with a minus)"),
    get: |marks| marks.reference_height,
    set: |marks, height| marks.reference_height = height,
};

/// The traced edge's.
pub const OUTLINE: Whose = Whose {
    id: "outline-height",
    stands: [
        mark("The traced edge lies on the wall"),
        mark("The traced edge lies {apart} before the wall"),
        mark("The traced edge lies {apart} behind the wall"),
    ],
    label: mark("The edge that you trace stands out from the wall by"),
    get: |marks| marks.outline_height,
    set: |marks, height| marks.outline_height = height,
};

/// The reference's beside a gauge.
pub const REFERENCE_LIES: Whose = Whose {
    stands: [
        mark("The reference lies on the table"),
        mark("The reference lies {apart} over the table"),
        mark("The reference lies {apart} under the table"),
    ],
    label: mark("It lies over the table by"),
    ..REFERENCE
};

/// The gauge's edge.
pub const GAUGE: Whose = Whose {
    stands: [
        mark("The tapped edge lies on the table"),
        mark("The tapped edge lies {apart} over the table"),
        mark("The tapped edge lies {apart} under the table"),
    ],
    label: mark("The pins lie over the table by (a line on a sheet: 0)"),
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
        let text = match mm {
            0.0 => on,
            _ if mm > 0.0 => before,
            _ => behind,
        };
        fill(tr(text), &[("apart", &apart)])
    };
    let value = Signal::derive(move || show::length(height.get(), system()));
    let read = move |text: &str| {
        let system = bench.desk.settings.get_untracked().system;
        let typed = parse::signed_length(text, system).map_err(|e| e.to_string())?;
        if typed.0.abs() > MOST.0 {
            return Err(tr("More than a metre (39 in) before the wall is too far to measure on it: type the height above the ground of the ornament.").into());
        }
        bench.change(tr("Height typed"), |marks| (whose.set)(marks, typed));
        Ok(())
    };
    view! {
        <details class="height">
            <summary>{sentence}</summary>
            <Field id=whose.id label=tr(whose.label) keyboard="text" value read />
        </details>
    }
    .into_any()
}
