//! What the user can say now: one big target, the touch test, and the way back.

use super::{Stand, of};
use crate::app::parts::bench::Bench;
use crate::app::parts::drawings::{Drawn, TOUCH};
use crate::app::parts::shown::Shown;
use crate::clock::{Action, Feel, Moment, Step, Tap};
use crate::phone;
use chrono::{DateTime, Duration, Utc};
use leptos::prelude::*;

/// A second tap within this time of the last meets a button that has just changed under the
/// finger, so it is ignored.
pub const TAP_GUARD: Duration = Duration::milliseconds(400);

/// Stores taps, each with the time of the tap itself. The screen follows once it is stored.
#[derive(Clone, Copy)]
pub struct Tapper {
    bench: Bench,
    last: StoredValue<Option<DateTime<Utc>>>,
}

impl Tapper {
    /// Takes taps for a piece.
    pub fn new(bench: Bench) -> Self {
        Self {
            bench,
            last: StoredValue::new(None),
        }
    }

    fn tap(self, tap: Tap) {
        let at = phone::now();
        if !self.free(at) {
            return;
        }
        phone::alert::prepare();
        self.bench.change(&tap.said(), move |piece| {
            piece.coat_log.push(Moment { at, tap });
        });
    }

    fn undo(self) {
        if self.free(phone::now()) {
            self.bench.change("Last tap taken back", |piece| {
                piece.coat_log.pop();
            });
        }
    }

    fn free(self, at: DateTime<Utc>) -> bool {
        let free = self
            .last
            .get_value()
            .is_none_or(|last| at - last >= TAP_GUARD || at < last);
        if free {
            self.last.set_value(Some(at));
        }
        free
    }
}

/// What is seldom tapped: a lost batch, a shortcut, the way back.
#[component]
pub fn Others(bench: Bench, tapper: Tapper, progress: Stand) -> impl IntoView {
    let others = of(progress, |p| p.others.clone());
    let started = Memo::new(move |_| bench.read(|piece| !piece.coat_log.is_empty()));
    let also = move || {
        let buttons = others.get().into_iter().enumerate().map(|(i, action)| {
            let Action { tap, label } = action;
            view! {
                <button id=format!("coat-other-{}", i + 1) on:click=move |_| tapper.tap(tap)>
                    {label}
                </button>
            }
        });
        buttons.shown()
    };
    let undo = move || {
        started.get().then(|| {
            view! {
                <button id="undo-tap" on:click=move |_| tapper.undo()>
                    "Take back the last tap"
                </button>
            }
        })
    };
    view! { <div class="row fill also">{also} {undo}</div> }
}

/// What the thumb lies on: the one big target, or the touch test.
#[component]
pub fn Thumb(tapper: Tapper, progress: Stand) -> impl IntoView {
    let main = of(progress, |p| p.main.clone());
    let touch = of(progress, |p| p.touch);
    let big = move || {
        main.get().map(|Action { tap, label }| {
            view! {
                <button id="coat-main" class="main big" on:click=move |_| tapper.tap(tap)>
                    {label}
                </button>
            }
        })
    };
    let waiting = of(progress, |p| matches!(p.step, Step::Wait { .. }));
    let test = move || {
        touch
            .get()
            .map(|coat| touch_test(tapper, coat, waiting.get()))
    };
    view! { {test} {big} }
}

/// The three answers; `early` ones need the question, which the page otherwise asks already.
fn touch_test(tapper: Tapper, coat: u32, early: bool) -> AnyView {
    let feels = [
        (Feel::Wet, "touch-wet", "Wet", "comes off on the fingertip"),
        (
            Feel::Tacky,
            "touch-tacky",
            "Tacky",
            "sticks, leaves nothing",
        ),
        (Feel::Firm, "touch-firm", "Firm", "does not stick any more"),
    ];
    let buttons = feels.map(|(feel, id, word, means)| {
        let tap = move |_| tapper.tap(Tap::Touch { coat, feel });
        view! {
            <button id=id class="big" on:click=tap>
                <span>{word} <small>{means}</small></span>
            </button>
        }
    });
    let question = early.then(|| {
        view! {
            <p class="row">
                <Drawn what=&TOUCH />
                "Touched it already? With a gloved fingertip it was:"
            </p>
        }
    });
    view! {
        <section class="touch">
            {question}
            <div class="three">{buttons.into_iter().shown()}</div>
        </section>
    }
    .into_any()
}
