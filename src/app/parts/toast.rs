//! What the app has to say by itself, at the head of the screen, where it covers no button under
//! the thumb.
//!
//! Ids: `alarms`, whose messages are of the class `wrong`; `use-new-version` and `later`; `toasts`
//! with `toast-undo` and `toast-close`.

use crate::app::parts::shown::Shown;
use crate::app::state::{Toast, use_desk};
use crate::phone::update;
use crate::words::tr;
use leptos::prelude::*;

/// What happened, with a button that takes it back; lies over the page for a while. A page on
/// whose head nothing may lie shows it in a [place of its own](crate::app::state::Desk::places_news).
#[component]
pub fn Toasts() -> impl IntoView {
    let desk = use_desk();
    let one = move |toast: Toast| {
        let Toast {
            number, text, undo, ..
        } = toast;
        let undo = undo.map(|change| {
            let take_back = move |_| {
                desk.take_back(change);
                desk.close(number);
            };
            view! {
                <button id="toast-undo" on:click=take_back>
                    {tr("Undo")}
                </button>
            }
        });
        view! {
            <div class="toast" role="status">
                <p>{text}</p>
                {undo}
                <button id="toast-close" on:click=move |_| desk.close(number)>
                    {tr("Close")}
                </button>
            </div>
        }
        .into_any()
    };
    let news = move || with_wrong(desk.toasts.get(), false);
    view! {
        <div id="toasts" class="toasts" aria-live="polite">
            {move || news().into_iter().map(one).shown()}
        </div>
    }
}

/// The offer of a new version. It stands between the coats only: a reload must not come between
/// cup and wall.
#[component]
pub fn NewVersion() -> impl IntoView {
    let desk = use_desk();
    let offered = move || desk.new_version.get() && !desk.hands_on.get();
    move || {
        offered().then(|| {
            view! {
                <div class="toast offer" role="status">
                    <p>{tr("A new version of Peelcast is ready. Your jobs stay as they are.")}</p>
                    <button id="later" on:click=move |_| desk.new_version.set(false)>
                        {tr("Later")}
                    </button>
                    <button id="use-new-version" on:click=move |_| update::take_over()>
                        {tr("Use it now")}
                    </button>
                </div>
            }
        })
    }
}

/// What went wrong, until it is closed.
#[component]
pub fn Alarms() -> impl IntoView {
    let desk = use_desk();
    let one = move |toast: Toast| {
        let close = move |_| desk.close(toast.number);
        view! {
            <div class="toast wrong" role="alert">
                <p>{toast.text}</p>
                <button on:click=close>{tr("Close")}</button>
            </div>
        }
        .into_any()
    };
    let wrong = move || with_wrong(desk.toasts.get(), true);
    view! {
        <div id="alarms" class="alarms">
            {move || wrong().into_iter().map(one).shown()}
        </div>
    }
}

fn with_wrong(mut toasts: Vec<Toast>, wrong: bool) -> Vec<Toast> {
    toasts.retain(|toast| toast.wrong == wrong);
    toasts
}
