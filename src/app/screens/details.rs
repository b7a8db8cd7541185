//! What a piece is: its name, material, finish and place. Ids: `piece-name`.

use crate::app::state::use_desk;
use crate::job::{JobId, PieceId};
use leptos::prelude::*;

/// What a piece is.
#[component]
pub fn Details(job: JobId, piece: PieceId) -> impl IntoView {
    let desk = use_desk();
    let record = desk.piece(&job, &piece);
    let rename = move |event| {
        let name = event_target_value(&event);
        desk.update_piece(&job, &piece, "Name changed", move |piece| piece.name = name);
    };
    view! {
        <div class="field">
            <label for="piece-name">"Name"</label>
            <input
                id="piece-name"
                type="text"
                prop:value=move || record.get().map(|p| p.name)
                on:change=rename
            />
        </div>
    }
}
