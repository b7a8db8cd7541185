//! What the user can say now: one big target, the touch test, and the way back.

use super::countdown::clockwork;
use super::{Stand, of};
use crate::app::parts::bench::Bench;
use crate::app::parts::drawings::{Drawn, TOUCH};
use crate::app::parts::shown::Shown;
use crate::clock::{Action, Feel, Moment, Step, Tap};
use crate::phone;
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Duration, Utc};
use leptos::prelude::*;

/// A second tap within this time of the last meets a button that has just changed under the
/// finger, so it is ignored.
pub const TAP_GUARD: Duration = Duration::milliseconds(400);

/// How long the last tap is taken back by a large button, in seconds.
const FRESH: i64 = 10;

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
        if !self.free() {
            return;
        }
        let at = self.bench.time();
        phone::alert::prepare();
        self.bench.change(&tap.said(), move |piece| {
            piece.coat_log.push(Moment { at, tap });
        });
    }

    fn undo(self) {
        if self.free() {
            self.bench.change(tr("Last tap taken back"), |piece| {
                piece.coat_log.pop();
            });
        }
    }

    /// How many seconds the last tap is still fresh: taken back by a large button.
    fn fresh(self) -> Option<i64> {
        let now = self.bench.desk.now.get();
        let last = self
            .bench
            .read(|piece| piece.coat_log.last().map(|tap| tap.at))?;
        let left = FRESH - (now - last).num_seconds();
        (1..=FRESH).contains(&left).then_some(left)
    }

    fn free(self) -> bool {
        let at = phone::now();
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
    let old = Memo::new(move |_| {
        let begun = bench.read(|piece| !piece.coat_log.is_empty());
        begun && tapper.fresh().is_none()
    });
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
        old.get().then(|| {
            view! {
                <button id="undo-tap" on:click=move |_| tapper.undo()>
                    {tr("Take back the last tap")}
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
    let hold = of(progress, |p| p.hold);
    let stands = of(progress, |p| matches!(p.step, Step::Stand { .. }));
    let touch = of(progress, |p| p.touch);
    let now = tapper.bench.desk.now;
    let big = move || {
        main.get().map(|Action { tap, label }| {
            let held = move || hold.get().is_some();
            let words = move || match hold.get() {
                Some(until) => {
                    let word = if stands.get() {
                        tr("Let it stand")
                    } else {
                        tr("Mix on")
                    };
                    format!("{word}: {}", clockwork(until - now.get()))
                }
                None => label.clone(),
            };
            let press = move |_| {
                if hold.get_untracked().is_none() {
                    tapper.tap(tap);
                }
            };
            view! {
                <button
                    id="coat-main"
                    class="main big"
                    class:held=held
                    aria-disabled=move || held().then_some("true")
                    on:click=press
                >
                    {words}
                </button>
            }
        })
    };
    // For ten seconds the way back is as easy to hit as the way on.
    let left = Memo::new(move |_| tapper.fresh());
    let fresh = Memo::new(move |_| left.get().is_some());
    let undo = move || {
        let words = move || {
            let left = left.get().unwrap_or_default();
            say!("Take back the last tap ({left} s)", left)
        };
        fresh.get().then(|| {
            view! {
                <button id="undo-tap" class="undo" on:click=move |_| tapper.undo()>
                    {words}
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
    view! { {undo} {test} {big} }
}

/// The three answers; `early` ones need the question, which the page otherwise asks already.
fn touch_test(tapper: Tapper, coat: u32, early: bool) -> AnyView {
    let feels = [
        (
            Feel::Wet,
            "touch-wet",
            tr("Wet"),
            tr("comes off on the fingertip"),
        ),
        (
            Feel::Tacky,
            "touch-tacky",
            tr("Tacky"),
            tr("sticks, leaves nothing"),
        ),
        (
            Feel::Firm,
            "touch-firm",
            tr("Firm"),
            tr("does not stick any more"),
        ),
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
                {tr("Touched it already? With a gloved fingertip it was:")}
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
