//! The switch between metric and US customary units, within reach on every page that has numbers.

use crate::app::state::Desk;
use crate::phone::window;
use crate::quantity::show::System;
use crate::words::{tr, verbatim};
use leptos::prelude::*;

/// The switch; `id` is its own. Everything shown follows at once.
pub fn switch(desk: Desk, id: &'static str) -> AnyView {
    let metric = Memo::new(move |_| desk.settings.with(|s| s.system == System::Metric));
    let turn = move |_| {
        // What is half typed counts in the units it was typed in: leaving its field reads it.
        window::focus(id);
        desk.settings.update(|settings| {
            settings.system = match settings.system {
                System::Metric => System::UsCustomary,
                System::UsCustomary => System::Metric,
            }
        });
    };
    let name = move || match metric.get() {
        true => tr("mm in: units are mm. Change to inches."),
        false => tr("mm in: units are inches. Change to mm."),
    };
    view! {
        <button id=id class="units" aria-label=name on:click=turn>
            <span class:now=metric>{verbatim("mm")}</span>
            " "
            <span class:now=move || !metric.get()>{verbatim("in")}</span>
        </button>
    }
    .into_any()
}
