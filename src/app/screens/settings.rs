//! Units, colours, and what this phone can and cannot do.

use crate::app::settings::Theme;
use crate::app::state::use_desk;
use leptos::prelude::*;

/// Units and colours.
#[component]
pub fn SettingsPage() -> impl IntoView {
    let desk = use_desk();
    let themes = Theme::ALL.map(|theme| {
        let choose = move |_| desk.settings.update(|s| s.theme = theme);
        view! { <button on:click=choose>{theme.name()}</button> }
    });
    view! { <div class="row">{themes.into_iter().collect_view()}</div> }
}
