//! One job. Ids: `pieces`, `add-piece`.

use crate::app::route::{Page, Route};
use crate::app::state::use_desk;
use crate::job::{JobId, Piece, PieceId};
use crate::phone;
use leptos::prelude::*;

/// One job.
#[component]
pub fn JobPage(job: JobId) -> impl IntoView {
    let desk = use_desk();
    let record = desk.job(&job);
    let id = StoredValue::new(job);
    let add = move |_| {
        let piece = Piece {
            id: PieceId::new(&phone::new_id()),
            ..Piece::default()
        };
        let place = Route::Details(id.get_value(), piece.id.clone());
        desk.update(&id.get_value(), "Piece added", move |job| {
            job.pieces.push(piece);
        });
        desk.go(&place);
    };
    let pieces = move || record.get().map(|job| job.pieces).unwrap_or_default();
    view! {
        <ul id="pieces" class="list">
            <For
                each=pieces
                key=|piece| (piece.id.clone(), piece.name.clone())
                children=move |piece| {
                    let place = Route::Piece(id.get_value(), piece.id.clone(), Page::Measure);
                    view! {
                        <li>
                            <a href=place.to_string()>{piece.name}</a>
                        </li>
                    }
                }
            />
        </ul>
        <div class="bar">
            <button id="add-piece" class="main" on:click=add>
                "Add a piece"
            </button>
        </div>
    }
}
