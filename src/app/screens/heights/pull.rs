//! How freely what is stiff comes off along the way it is pulled: the draft.

use super::Table;
use super::layer::Look;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::explain::explain;
use crate::job::{Flat, draft_why};
use crate::phone::window;
use crate::quantity::{Degrees, show};
use crate::relief::{Draft, Pull, draft};
use crate::say;
use crate::words::{mark, tr};
use leptos::prelude::*;

/// Less draft than this grips what is stiff (common practice, no source).
const LEAST: Degrees = Degrees(3.0);
/// How far a pull to one side leans, in degrees (made up).
const LEAN: f64 = 30.0;

/// Where the skin is pulled to, with the direction on the picture: right and down.
const WAYS: [(&str, &str, Option<[f64; 2]>); 5] = [
    ("straight", mark("Straight off"), None),
    ("up", mark("Upward"), Some([0.0, -1.0])),
    ("down", mark("Downward"), Some([0.0, 1.0])),
    ("left", mark("To the left"), Some([-1.0, 0.0])),
    ("right", mark("To the right"), Some([1.0, 0.0])),
];

/// The pull that a word means, on the wall that the picture shows.
pub fn pull(word: &str, flat: &Flat) -> Pull {
    let way = WAYS.iter().find(|way| way.0 == word);
    let Some([right, down]) = way.and_then(|way| way.2) else {
        return Pull::default();
    };
    let frame = &flat.frame;
    let [x, y] = [0, 1].map(|k| right * frame.right[k] + down * frame.down[k]);
    Pull {
        tilt: Degrees(LEAN),
        toward: Degrees(y.atan2(x).to_degrees()),
    }
}

/// The choice of the way, what grips on it, and a picture of it.
pub fn section(table: Table, flat: Flat) -> AnyView {
    let open = RwSignal::new(false);
    let flat = StoredValue::new(flat);
    let found = move || {
        if !open.get() {
            return None;
        }
        let heights = table.heights()?;
        let map = &heights.sounded.heights.map;
        let pull = flat.with_value(|flat| pull(&table.pull.get(), flat));
        let cover = table.cover(map)?;
        Some(told(table, &draft(map, &cover, pull, LEAST)))
    };
    let answers = WAYS
        .map(|(key, word, _)| Answer::new(key, tr(word)))
        .to_vec();
    let known = Memo::new(move |_| table.heights().is_some());
    view! {
        <details
            id="pull"
            hidden=move || !known.get()
            on:toggle=move |_| open.update(|open| *open = !*open)
        >
            <summary>{tr("How it comes off")}</summary>
            <div class="roomy-choice">
                <Choice
                    name="pull"
                    legend=tr("The shell, or a stiff cast, is pulled")
                    answers=Signal::stored(answers)
                    chosen=Signal::derive(move || table.pull.get())
                    choose=move |word| table.pull.set(word)
                />
            </div>
            {found}
            <button
                id="show-draft"
                on:click=move |_| {
                    table.look.set(Look::Draft);
                    window::focus("heights-picture");
                }
            >
                {tr("Show it on the picture")}
            </button>
        </details>
    }
    .into_any()
}

fn told(table: Table, found: &Draft) -> AnyView {
    let system = table.bench.system();
    let steep = say!(
        "{steep} of the surface ({share} %) has less than {least} of draft this way: a stiff shell or cast grips there.",
        steep = show::area(found.steep, system),
        share = show::number(found.share * 100.0, 0),
        least = show::angle(LEAST)
    );
    let behind = (found.behind.0 > 1.0).then(|| {
        say!(
            "{behind} lies behind the pull: the skin has to bend over it.",
            behind = show::area(found.behind, system)
        )
    });
    view! {
        <p id="draft-said" role="status">{steep} " " {behind}</p>
        {explain(&draft_why(found, LEAST), system)}
        <p class="source">
            {tr("A height map shows only what is seen from the front: mark what closes behind its own forms as an overhang. Three degrees: common practice, no source.")}
        </p>
    }
    .into_any()
}
