//! The messages at the foot of the screen.

use crate::app::state::{Toast, use_desk};
use crate::phone::update;
use leptos::prelude::*;

/// All messages that stand now: what happened, with a button that takes it back, or what went
/// wrong.
#[component]
pub fn Toasts() -> impl IntoView {
    let desk = use_desk();
    let one = move |toast: Toast| {
        let Toast {
            number,
            text,
            wrong,
            undo,
        } = toast;
        let undo = undo.map(|change| {
            let take_back = move |_| {
                desk.take_back(change);
                desk.close(number);
            };
            view! { <button id="toast-undo" on:click=take_back>"Undo"</button> }
        });
        let role = if wrong { "alert" } else { "status" };
        let close = if wrong {
            format!("wrong-close-{number}")
        } else {
            "toast-close".into()
        };
        view! {
            <div class="toast" class:wrong=wrong role=role>
                <p>{text}</p>
                {undo}
                <button id=close on:click=move |_| desk.close(number)>
                    "Close"
                </button>
            </div>
        }
    };
    // Offered between the coats only: a reload must not come between cup and wall.
    let offered = move || desk.new_version.get() && !desk.hands_on.get();
    let new_version = move || {
        offered().then(|| {
            view! {
                <div class="toast" role="status">
                    <p>"A new version of Peelcast is ready. Your jobs stay as they are."</p>
                    <button id="use-new-version" on:click=move |_| update::take_over()>
                        "Use it now"
                    </button>
                    <button id="later" on:click=move |_| desk.new_version.set(false)>
                        "Later"
                    </button>
                </div>
            }
        })
    };
    view! {
        <div id="toasts" class="toasts" aria-live="polite">
            {new_version}
            <For each=move || desk.toasts.get() key=|toast| toast.number children=one />
        </div>
    }
}
