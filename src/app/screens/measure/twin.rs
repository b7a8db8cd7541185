//! The photo before, on which a place that both photos show is tapped a second time.

use super::bench::Bench;
use super::hand::Act;
use super::kind::Kind;
use super::photo::GRASP;
use super::stage::Stage;
use super::view::{Place, View};
use crate::app::parts::shown::Shown;
use crate::job::PhotoRef;
use crate::phone::photo::PhotoUrl;
use crate::survey::Reference;
use crate::words::tr;
use leptos::prelude::*;

/// Whether a place was tapped whose twin is still to be shown.
pub fn is_wanted(bench: Bench) -> bool {
    bench
        .marks
        .with(|m| m.pending.is_some() && m.kind() == Kind::Shared)
}

/// The photo before, to be tapped.
#[component]
pub fn Twin(bench: Bench) -> impl IntoView {
    let photo = bench.piece.get_untracked().and_then(|piece| {
        let before = piece.before(bench.at.get_untracked())?;
        piece.shot(before).photo.clone()
    });
    match photo {
        Some(photo) => stage(bench, photo),
        None => ().into_any(),
    }
}

fn stage(bench: Bench, photo: PhotoRef) -> AnyView {
    let size = [f64::from(photo.width), f64::from(photo.height)];
    let view = RwSignal::new(View::whole(size, [0.0, 0.0]));
    let finger = RwSignal::new(None::<Place>);
    let url = RwSignal::new(None::<String>);
    let held = StoredValue::new_local(None::<PhotoUrl>);
    leptos::task::spawn_local(async move {
        match PhotoUrl::of(&photo.id).await {
            Ok(found) => {
                url.try_set(Some(found.as_str().to_owned()));
                held.try_set_value(Some(found));
            }
            Err(why) => bench.desk.warn(why.to_string()),
        }
    });
    let shift = move || view.get().in_css();
    let ties = move || {
        let view = view.get();
        let places = bench.marks.with(|m| match &m.reference {
            Some(Reference::Ties { ties }) => ties.iter().map(|tie| tie.there).collect(),
            _ => Vec::new(),
        });
        let one = |(i, at): (usize, Place)| {
            let [x, y] = view.to_stage(at);
            view! {
                <text x=format!("{x:.1}") y=format!("{y:.1}")>
                    {format!("{}", i + 1)}
                </text>
            }
        };
        places.into_iter().enumerate().map(one).shown()
    };
    // A tap marks at once; what is marked wrong is undone, or taken out.
    let act = move |act: Act| {
        if let Act::Tap { at } | Act::Hold { at } = act {
            let view = view.get_untracked();
            let there = view.on_picture(view.to_photo(at));
            bench.change(tr("Place shared"), |m| m.tie(there));
        }
    };
    view! {
        <div class="over twin">
            <Stage
                id="twin-stage"
                label=tr("The photo before. Tap the same place here.")
                size=Signal::stored(size)
                view
                finger
                grip=|_: Place| false
                double_reach=Signal::stored(GRASP)
                act
                enter=|| {}
            >
                <img
                    id="twin"
                    class="picture"
                    alt=tr("The photo before this one")
                    draggable="false"
                    src=url
                    style:width=format!("{}px", size[0])
                    style:height=format!("{}px", size[1])
                    style:transform=shift
                />
                <svg class="overlay" aria-hidden="true">
                    <g class="ink distances">{ties}</g>
                </svg>
            </Stage>
        </div>
    }
    .into_any()
}
