//! How high a piece stands over the wall, place by place: pins with heights on the picture laid
//! flat, and what follows from them.
//!
//! Ids: `no-heights`, `heights-picture`, `look-photo`, `look-heights`, `look-shaded`, `look-spread`,
//! `look-skin`, `legend`, `finger-pin`, `finger-section`, `finger-overhang`, `pin-form`, `how-probe`,
//! `how-skewer`, `how-calliper`, `pin-height`, `pin-remove`, `pins`, `pin-1` ..., `next-probe`,
//! `edge-meets`, `edge-stands`, `edge-unknown`, `edge-height`, `height-numbers`, `evidence`,
//! `height-section`, `skin-said`, `overhang-said`, `overhang-remove`, `profile-along`,
//! `profile-photo-1` ..., `profile-turn`, `profile-clear`, `profile-wrong`,
//! `profile-height`, `profile-add`, `profile-keep`, `profiles`, `heights-to-plan`; `from-photos`,
//! `swept-0` ..., `sweep-highest`, `sweep`, `sweep-progress`, `sweep-stop`, `sweep-error`,
//! `swept-said`, `swept-remove`, `to-more-photos`; `pull`, `pull-straight`, `pull-up` ...,
//! `draft-said`, `show-draft`, `look-draft`.

mod layer;
mod numbers;
mod photos;
mod picture;
mod pins;
mod profiles;
mod pull;
mod section;
mod skin;

use crate::app::parts::bench::Bench;
use crate::app::parts::missing::missing;
use crate::app::parts::toast::Toasts;
use crate::app::route::Page;
use crate::coating::{SkinMap, skin_map};
use crate::job::{Flat, JobId, Modelled, PieceId};
use crate::phone::darkroom;
use crate::relief::{Cover, HeightMap, Reading, ReliefRecord};
use crate::survey::Mm;
use crate::words::tr;
use layer::Look;
use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// As many pixels as a phone shows of it.
const MOST_PX: u32 = 512 * 512;

/// What a finger on the picture does.
#[derive(Clone, Copy, PartialEq)]
pub enum Finger {
    Pin,
    Section,
    Overhang,
}

/// The place that is chosen: a pin's, or where a new one shall stand.
#[derive(Clone, Copy, PartialEq)]
pub struct Chosen {
    pub at: Mm,
    pub pin: Option<usize>,
}

type Found = Option<Result<Option<Arc<Modelled>>, String>>;

/// What the parts of the page share. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Table {
    pub bench: Bench,
    /// The photo laid flat, or what is missing for it.
    pub flat: Memo<Option<Result<Flat, String>>>,
    pub record: Memo<ReliefRecord>,
    pub found: Memo<Found>,
    pub skin: Memo<Option<Arc<SkinMap>>>,
    pub look: RwSignal<Look>,
    pub finger: RwSignal<Finger>,
    pub chosen: RwSignal<Option<Chosen>>,
    /// The section's line, once one was drawn.
    pub line: RwSignal<Option<[Mm; 2]>>,
    /// The word for the way it is pulled off.
    pub pull: RwSignal<String>,
}

impl Table {
    fn new(bench: Bench) -> Self {
        // Only what was measured moves the picture.
        let measured =
            Memo::new(move |_| bench.read(|piece| (piece.shots.clone(), piece.wall_angle().0)));
        let flat = Memo::new(move |_| {
            measured.track();
            bench.piece.with_untracked(|piece| {
                let piece = piece.as_ref()?;
                let laid = || {
                    let found = piece.footprint()?;
                    let flat = Flat::of(piece.shot(0), &piece.wall(0)?, &found, MOST_PX);
                    flat.ok_or_else(|| tr("Take or choose a photo first.").to_owned())
                };
                Some(laid())
            })
        });
        let found = Memo::new_with_compare(
            move |_| bench.piece.with(|piece| Some(piece.as_ref()?.heights())),
            |old: Option<&Found>, new: Option<&Found>| match (old, new) {
                (Some(Some(Ok(Some(old)))), Some(Some(Ok(Some(new))))) => !Arc::ptr_eq(old, new),
                (old, new) => old != new,
            },
        );
        // The skin takes as long as the heights: those are shown first.
        let shown = RwSignal::new(0_u32);
        Effect::new(move |_| {
            bench.piece.track();
            let next = move || {
                shown.try_update(|n| *n = n.wrapping_add(1));
            };
            set_timeout(next, Duration::ZERO);
        });
        let (input, plan) = bench.planned();
        let skin = Memo::new(move |_| {
            shown.track();
            let known = found.with_untracked(|found| matches!(found, Some(Ok(Some(_)))));
            let skin = || {
                input.with_untracked(|input| {
                    plan.with_untracked(|plan| match (input, plan) {
                        (Some(Ok(input)), Some(Ok(plan))) => skin_map(input, plan).map(Arc::new),
                        _ => None,
                    })
                })
            };
            known.then(skin).flatten()
        });
        Self {
            bench,
            flat,
            record: Memo::new(move |_| bench.read(|piece| piece.relief_record.clone())),
            found,
            skin,
            look: RwSignal::new(Look::Photo),
            finger: RwSignal::new(Finger::Pin),
            chosen: RwSignal::new(None),
            line: RwSignal::new(None),
            pull: RwSignal::new("straight".to_owned()),
        }
    }

    /// The heights, once there are any.
    pub fn heights(self) -> Option<Arc<Modelled>> {
        self.found.with(|found| match found {
            Some(Ok(Some(found))) => Some(found.clone()),
            _ => None,
        })
    }

    /// The places of a map that the piece covers.
    pub fn cover(self, map: &HeightMap) -> Option<Cover> {
        let on = self.bench.read(|piece| piece.footprint().ok())?;
        let cover = Cover::of_rings(map.frame(), &on.outline_mm, &on.holes_mm);
        Some(cover)
    }

    /// The chosen place and its reading, if it has one; nothing for a pin that is gone.
    pub fn current(self) -> Option<(Chosen, Option<Reading>)> {
        let chosen = self.chosen.get()?;
        match chosen.pin {
            None => Some((chosen, None)),
            Some(pin) => self.record.with(|record| {
                let reading = *record.readings.get(pin)?;
                let at = reading.at;
                Some((Chosen { at, ..chosen }, Some(reading)))
            }),
        }
    }
}

/// The Heights page of a piece.
#[component]
pub fn Heights(job: JobId, piece: PieceId) -> impl IntoView {
    on_cleanup(darkroom::close);
    let bench = Bench::new(job, piece);
    let table = Table::new(bench);
    move || {
        table.flat.with(|flat| match flat.as_ref()? {
            Err(why) => Some(missing(
                "no-heights",
                tr("The picture laid flat is not there yet."),
                why.clone(),
                Some((bench.address(Page::Measure), tr("Measure the piece"))),
            )),
            Ok(flat) => Some(whole(table, flat.clone())),
        })
    }
}

fn whole(table: Table, flat: Flat) -> AnyView {
    let wrong = move || {
        table.found.with(|found| match found {
            Some(Err(why)) => Some(view! { <p class="error" role="alert">{why.clone()}</p> }),
            _ => None,
        })
    };
    // Over the picture news would take taps that mean a pin.
    let news = table.bench.desk.places_news;
    news.set(true);
    on_cleanup(move || news.set(false));
    view! {
        {picture::picture(table, flat.clone())}
        <div class="news">
            <Toasts />
        </div>
        {picture::choices(table)}
        {pins::form(table)}
        {wrong}
        {pins::next(table)}
        {photos::photos(table)}
        {numbers::numbers(table)}
        {section::section(table, flat.clone())}
        {skin::said(table)}
        {pins::list(table)}
        {pins::edge(table)}
        {profiles::profiles(table)}
        {pull::section(table, flat)}
        {picture::overhangs(table)}
        <div class="bar">
            <a id="heights-to-plan" class="button main" href=table.bench.address(Page::Plan)>
                {tr("Plan the coats")}
            </a>
        </div>
    }
    .into_any()
}
