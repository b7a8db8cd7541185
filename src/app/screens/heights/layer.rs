//! What lies over the photo: heights, their spread or the skin in colours, or a shaded relief.

use super::Table;
use super::pull::pull;
use crate::app::parts::shown::Shown;
use crate::job::Flat;
use crate::quantity::{Degrees, Millimetres, show};
use crate::relief::{Frame, SCALE, drafts, painted, sampled, shaded};
use crate::words::{mark, tr};
use leptos::prelude::*;

/// Which picture is shown.
#[derive(Clone, Copy, PartialEq)]
pub enum Look {
    Photo,
    Heights,
    Shaded,
    Spread,
    Skin,
    Draft,
}

impl Look {
    /// All with their keys and words.
    pub const ALL: [(Self, &'static str, &'static str); 6] = [
        (Self::Photo, "photo", mark("Photo")),
        (Self::Heights, "heights", mark("Heights")),
        (Self::Shaded, "shaded", mark("Shaded")),
        (Self::Spread, "spread", mark("Spread")),
        (Self::Skin, "skin", mark("Skin")),
        (Self::Draft, "draft", mark("Draft")),
    ];
}

/// Values on a grid, and what its colours reach from and to.
#[derive(Clone, PartialEq)]
pub struct Layer {
    frame: Frame,
    values: Vec<f32>,
    low: f64,
    high: f64,
    grey: bool,
}

/// The chosen layer; none over the photo alone, or while nothing is known.
pub fn layer(table: Table, flat: &Flat) -> Option<Layer> {
    let look = table.look.get();
    if look == Look::Photo {
        return None;
    }
    if look == Look::Skin {
        let skin = table.skin.get()?;
        return Some(Layer::of(skin.frame, skin.thickness.clone(), None));
    }
    let found = table.heights()?;
    let map = &found.sounded.heights.map;
    Some(match look {
        Look::Heights => Layer::of(map.frame(), map.heights().to_vec(), Some(0.0)),
        Look::Spread => Layer::of(map.frame(), map.spreads().collect(), Some(0.0)),
        Look::Draft => {
            let pull = pull(&table.pull.get(), flat);
            let values = drafts(map, &table.cover(map)?, pull);
            Layer {
                low: values.iter().copied().fold(0.0, f32::min).into(),
                high: 90.0,
                frame: map.frame(),
                values,
                grey: false,
            }
        }
        _ => Layer {
            frame: map.frame(),
            values: shaded(map, flat.frame.right, flat.frame.down),
            low: 0.0,
            high: 1.0,
            grey: true,
        },
    })
}

impl Layer {
    /// From `low`, or from the least value, to the greatest.
    fn of(frame: Frame, values: Vec<f32>, low: Option<f64>) -> Self {
        let known = || values.iter().filter(|v| !v.is_nan()).map(|v| f64::from(*v));
        let least = known().fold(f64::INFINITY, f64::min);
        let high = known().fold(0.0, f64::max);
        Self {
            low: low.unwrap_or(least.min(high)),
            high,
            grey: false,
            frame,
            values,
        }
    }

    /// The pixels of a picture of this size over the photo laid flat.
    pub fn pixels(&self, flat: &Flat, size: [u32; 2]) -> Vec<u8> {
        let scale = f64::from(flat.frame.width) / f64::from(size[0]);
        let size = size.map(|n| n as usize);
        let place = |at: [f64; 2]| flat.frame.to_wall(at.map(|x| (x + 0.5) * scale - 0.5));
        let values = sampled(self.frame, &self.values, size, place);
        painted(&values, self.low, self.high, self.grey)
    }
}

/// What the colours mean.
pub fn legend(table: Table, layer: &Layer) -> AnyView {
    if layer.grey {
        return view! { <p id="legend" class="hint">{tr("Lit from the upper left, as a drawing is.")}</p> }
            .into_any();
    }
    let system = table.bench.system();
    let what = match table.look.get() {
        Look::Spread => tr("One standard deviation of the height"),
        Look::Skin => tr("Thickness of the skin after all coats"),
        Look::Draft => tr("Draft along the pull: at 0 and below it grips what is stiff"),
        _ => tr("Height over the wall"),
    };
    let last = (SCALE.len() - 1) as f64;
    let stops = SCALE.iter().enumerate().map(|(n, [r, g, b])| {
        let offset = n as f64 / last;
        view! { <stop offset=offset stop-color=format!("rgb({r} {g} {b})") /> }
    });
    let draft = table.look.get() == Look::Draft;
    let word = |value: f64| match draft {
        true => show::angle(Degrees(value)),
        false => show::length(Millimetres((value * 10.0).round() / 10.0), system),
    };
    view! {
        <figure id="legend" class="legend">
            <figcaption>{what}</figcaption>
            <svg viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
                <defs>
                    <linearGradient id="legend-colours">{stops.shown()}</linearGradient>
                </defs>
                <rect width="100" height="8" fill="url(#legend-colours)" />
            </svg>
            <p class="ends">
                <span>{word(layer.low)}</span>
                <span>{word((layer.low + layer.high) / 2.0)}</span>
                <span>{word(layer.high)}</span>
            </p>
        </figure>
    }
    .into_any()
}
