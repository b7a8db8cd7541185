//! The photos of a piece: which of them is on the bench, one more, another in its place.

use super::bench::Bench;
use super::choose::Choose;
use super::panel::heights_page;
use crate::app::parts::shown::keyed;
use crate::job::{Piece, Shows};
use crate::quantity::Millimetres;
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// What a photo that comes in is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum For {
    /// It takes the place of the one on the bench, or is the first.
    Place,
    /// It shows the same piece once more.
    More,
    /// It shows a section of it.
    Section,
}

/// A length to the millimetre, as a section's is known.
pub fn length(length: Millimetres, system: System) -> String {
    show::length(Millimetres(length.0.round()), system)
}

/// The list of the photos, and the ways to others.
#[component]
pub fn Photos(bench: Bench) -> impl IntoView {
    let count = Memo::new(move |_| {
        bench
            .piece
            .with(|p| p.as_ref().map_or(0, |p| p.shots.len()))
    });
    let several = move || count.get() > 1;
    let comparable = Memo::new(move |_| {
        let shown = |p: &Piece| p.shots.len() - p.sections().count();
        bench.piece.with(|p| p.as_ref().map_or(0, shown) > 1)
    });
    let coming = RwSignal::new(None::<For>);
    let one = move |index: usize| {
        let found = Memo::new(move |_| {
            let system = bench.desk.settings.get().system;
            bench.piece.with(|p| {
                let piece = p.as_ref()?;
                if piece.shot(index).shows == Shows::Section {
                    return Some(match piece.section_of(index) {
                        Ok(found) => say!(
                            "a section, {length} long",
                            length = length(found.length(), system)
                        ),
                        Err(_) => tr("a section, not measured yet").into(),
                    });
                }
                let area = piece.footprint_of(index).ok()?.area;
                Some(show::area_range(&area, system))
            })
        });
        let words = move || {
            let found = found.get().unwrap_or_else(|| tr("not measured yet").into());
            say!("Photo {index}: {found}", index = index + 1, found)
        };
        view! {
            <li class="row">
                <button
                    id=format!("photo-{index}")
                    aria-pressed=move || (bench.at.get() == index).to_string()
                    on:click=move |_| bench.at.set(index)
                >
                    {words}
                </button>
                <button
                    id=format!("photo-{index}-remove")
                    class="remove"
                    on:click=move |_| bench.remove_photo(index)
                >
                    {tr("Remove")}
                </button>
            </li>
        }
        .into_any()
    };
    let together = move || {
        let area = bench
            .piece
            .with(|p| Some(p.as_ref()?.footprint().ok()?.area))?;
        let system = bench.desk.settings.get().system;
        Some(say!(
            "All together: {area}",
            area = show::area_range(&area, system)
        ))
    };
    let choice = move |what: For, id: &'static str, word: &'static str| {
        view! {
            <button
                id=id
                aria-expanded=move || (coming.get() == Some(what)).to_string()
                on:click=move |_| coming.update(|c| *c = (*c != Some(what)).then_some(what))
            >
                {word}
            </button>
        }
        .into_any()
    };
    let choose = move || {
        let what = coming.get()?;
        let how = (what == For::Section).then(|| {
            view! {
                <p class="hint">
                    {tr("Press a contour gauge on the piece and lay it on a table, or draw round its edge on a sheet. Lay the card beside the edge, as high as the edge lies, and take the photo square on from above.")}
                </p>
            }
        });
        Some(view! { {how} <Choose bench what first=false /> }.into_any())
    };
    view! {
        <section class="photos" aria-label=tr("Photos of this piece")>
            <ul class="list" hidden=move || !several()>
                {keyed(move || (0..count.get()).collect(), one)}
            </ul>
            <p id="photos-together" hidden=move || !comparable.get()>
                {together}
            </p>
            <p hidden=move || !comparable.get()>
                <a id="photos-to-heights" class="button" href=move || heights_page(bench)>
                    {tr("Compare them for heights")}
                </a>
                <span class="hint">{tr(" For that another photo needs no outline, only its reference.")}</span>
            </p>
            <div class="row fill">
                {choice(For::More, "photo-more", tr("One more photo"))}
                {choice(For::Place, "photo-replace", tr("Replace this one"))}
                {choice(For::Section, "photo-section", tr("Photo of a section"))}
            </div>
            {choose}
        </section>
    }
}
