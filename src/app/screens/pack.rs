//! The Pack page of a piece.

use crate::app::state::use_desk;
use crate::job::{JobId, PieceId};
use leptos::prelude::*;

/// The Pack page of a piece.
#[component]
pub fn Pack(job: JobId, piece: PieceId) -> impl IntoView {
    let piece = use_desk().piece(&job, &piece);
    view! { <p>{move || piece.get().map(|p| p.name)}</p> }
}
