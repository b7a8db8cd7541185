//! The Coat page of a piece.

use crate::app::state::use_desk;
use crate::job::{JobId, PieceId};
use leptos::prelude::*;

/// The Coat page of a piece.
#[component]
pub fn Coat(job: JobId, piece: PieceId) -> impl IntoView {
    let piece = use_desk().piece(&job, &piece);
    view! { <p>{move || piece.get().map(|p| p.name)}</p> }
}
