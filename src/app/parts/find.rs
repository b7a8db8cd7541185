//! Finding some of many jobs: what is looked for, its fields, and how many were found.
//!
//! Ids: `find-jobs`, `which-jobs`, `jobs-found`.

use super::form::picked;
use super::shown::Shown;
use crate::app::state::Desk;
use crate::job::{JobId, Line, Which};
use crate::phone::window;
use crate::say;
use crate::words::tr;
use leptos::ev;
use leptos::prelude::*;

/// With fewer jobs one look finds what a search would.
const MANY: usize = 8;
/// So many lines are drawn at first, and with each look beyond them.
const A_SCREENFUL: usize = 40;
/// More lines are drawn when the end of the drawn ones is so near, in CSS pixels.
const NEAR: f64 = 1200.0;

/// What is looked for.
#[derive(Clone, Copy)]
pub struct Find {
    lines: RwSignal<Vec<Line>>,
    typed: RwSignal<String>,
    which: RwSignal<Which>,
    /// The jobs that are found, newest first.
    pub found: Memo<Vec<JobId>>,
    /// How many of them are drawn.
    most: RwSignal<usize>,
    /// Whether one look finds less than a search.
    many: Memo<bool>,
}

impl Find {
    /// Looks for all of them at first.
    pub fn new(desk: Desk) -> Self {
        let (typed, which) = (RwSignal::new(String::new()), RwSignal::new(Which::All));
        let lines = desk.lines;
        let found = Memo::new(move |_| {
            let (typed, which) = (typed.get(), which.get());
            let ids = |lines: &Vec<Line>| {
                let newest_first = lines.iter().rev();
                let sought = newest_first.filter(|line| line.is_sought(&typed, which));
                sought.map(|line| line.id.clone()).collect()
            };
            lines.with(ids)
        });
        let most = RwSignal::new(A_SCREENFUL);
        let find = Self {
            lines,
            typed,
            which,
            found,
            most,
            many: Memo::new(move |_| lines.with(|lines| lines.len() >= MANY)),
        };
        let scrolled = window_event_listener(ev::scroll, move |_| {
            if find.has_more() && window::below() < NEAR {
                find.draw_more();
            }
        });
        on_cleanup(move || scrolled.remove());
        find
    }

    /// The found jobs that are drawn: hundreds at once would keep the page waiting.
    pub fn drawn(self) -> Vec<JobId> {
        let most = self.most.get();
        self.found
            .with(|found| found.iter().take(most).cloned().collect())
    }

    /// Whether there are so many that one searches.
    pub fn many(self) -> bool {
        self.many.get()
    }

    fn has_more(self) -> bool {
        let most = self.most.get();
        self.found.with(|found| found.len() > most)
    }

    fn draw_more(self) {
        self.most.update(|most| *most += A_SCREENFUL);
    }

    /// A job's line, followed as it changes.
    pub fn line(self, id: JobId) -> Memo<Option<Line>> {
        Memo::new(move |_| {
            self.lines
                .with(|lines| lines.iter().find(|line| line.id == id).cloned())
        })
    }

    /// The fields, once there are many jobs.
    pub fn fields(self) -> AnyView {
        (move || self.many().then(|| self.all_fields())).into_any()
    }

    fn all_fields(self) -> AnyView {
        let filter = move |event: web_sys::Event| {
            let key = picked(&event, "");
            let which = Which::ALL.into_iter().find(|(_, known, _)| *known == key);
            self.which
                .set(which.map_or(Which::All, |(which, ..)| which));
        };
        let options = Which::ALL.into_iter().map(|(which, key, word)| {
            let selected = move || self.which.get() == which;
            view! {
                <option value=key prop:selected=selected>
                    {tr(word)}
                </option>
            }
        });
        let count = move || {
            let (found, all) = (self.found.with(Vec::len), self.lines.with(Vec::len));
            match found {
                found if found == all => say!("{all} jobs", all),
                0 => tr("No job is like that. Type less, or look among all jobs.").to_owned(),
                found => say!("{found} of {all} jobs", found, all),
            }
        };
        view! {
            <div>
                <div class="pair">
                    <div class="field">
                        <label for="find-jobs">{tr("Find a job")}</label>
                        <input
                            id="find-jobs"
                            type="search"
                            autocomplete="off"
                            prop:value=self.typed
                            on:input=move |event| self.typed.set(event_target_value(&event))
                        />
                    </div>
                    <div class="field">
                        <label for="which-jobs">{tr("Which")}</label>
                        <select id="which-jobs" on:change=filter>
                            {options.shown()}
                        </select>
                    </div>
                </div>
                <p id="jobs-found" class="soft" aria-live="polite">
                    {count}
                </p>
            </div>
        }
        .into_any()
    }

    /// The way to the lines that are not drawn yet, for who does not scroll.
    pub fn more(self) -> AnyView {
        view! {
            <button
                id="more-jobs"
                class="wide"
                hidden=move || !self.has_more()
                on:click=move |_| self.draw_more()
            >
                {tr("Show more jobs")}
            </button>
        }
        .into_any()
    }
}
