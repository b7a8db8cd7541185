//! The screens.

use leptos::prelude::*;

/// Starts the app.
pub fn start() {
    mount_to_body(|| view! { <p>"Peelcast"</p> });
}
