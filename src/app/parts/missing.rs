//! What a page says while something it needs is not there yet.

use leptos::prelude::*;

/// A sentence on what is missing, and the way to the page that gives it.
pub fn missing(
    id: &'static str,
    what: &'static str,
    why: String,
    way: Option<(String, &'static str)>,
) -> AnyView {
    let way = way.map(|(address, word)| {
        view! {
            <p>
                <a class="button" href=address>
                    {word}
                </a>
            </p>
        }
    });
    view! {
        <div id=id class="wait" role="status">
            <p>
                <strong>{what}</strong>
                " "
                {why}
            </p>
            {way}
        </div>
    }
    .into_any()
}
