//! A section through the piece along a line, to scale, with its range.

use super::Table;
use crate::job::Flat;
use crate::quantity::{Millimetres, Z95, show};
use crate::relief::HeightMap;
use crate::say;
use crate::survey::Mm;
use leptos::prelude::*;
use std::fmt::Write;

/// The sheet that it is drawn on, in its own units, and the room below the wall.
const WIDTH: f64 = 340.0;
const FOOT: f64 = 34.0;
const MARGIN: f64 = 8.0;
/// Places along the line.
const PLACES: usize = 120;

/// The line as it was drawn, or across the highest point, in pixels of the frame; none while
/// neither is there.
pub fn line(table: Table, flat: &Flat) -> Option<[[f64; 2]; 2]> {
    if let Some(ends) = table.line.get() {
        return Some(ends.map(|end| flat.frame.to_frame(end)));
    }
    let found = table.heights()?;
    let [_, y] = flat.frame.to_frame(found.measures.highest_at);
    let along = flat.rings.iter().flatten().map(|at| at[0]);
    let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    });
    Some([[low, y], [high, y]])
}

/// The section; nothing while no heights are known.
pub fn section(table: Table, flat: Flat) -> AnyView {
    let drawn = move || {
        let found = table.heights()?;
        let ends = line(table, &flat)?.map(|end| flat.frame.to_wall(end));
        Some(drawing(table, &found.sounded.heights.map, ends))
    };
    drawn.into_any()
}

fn drawing(table: Table, map: &HeightMap, [from, to]: [Mm; 2]) -> AnyView {
    let long = (to[0] - from[0]).hypot(to[1] - from[1]).max(1e-6);
    let at = |n: usize| {
        let share = n as f64 / (PLACES - 1) as f64;
        let place = [0, 1].map(|k| from[k] + share * (to[k] - from[k]));
        // Beside the piece is the wall.
        let (height, sd) = map.over(place).map_or((0.0, 0.0), |(h, sd)| (h.0, sd));
        (share * long, height, sd)
    };
    let all: Vec<_> = (0..PLACES).map(at).collect();
    let scale = (WIDTH - 2.0 * MARGIN) / long;
    let top = all
        .iter()
        .map(|(_, h, sd)| h + Z95 * sd)
        .fold(0.0, f64::max);
    let wall = MARGIN + top * scale;
    let way = |height: &dyn Fn(f64, f64) -> f64, back: bool| {
        let mut d = String::new();
        let mut add = |(along, h, sd): &(f64, f64, f64)| {
            let (x, y) = (
                MARGIN + along * scale,
                wall - height(*h, *sd).max(0.0) * scale,
            );
            // Writing to a string cannot fail.
            let _ = write!(d, "L{x:.1} {y:.1}");
        };
        match back {
            false => all.iter().for_each(&mut add),
            true => all.iter().rev().for_each(&mut add),
        }
        d
    };
    let band = way(&|h, sd| h + Z95 * sd, false) + &way(&|h, sd| h - Z95 * sd, true);
    let line = way(&|h, _| h, false);
    let stone = format!("M{MARGIN} {wall}{line}L{:.1} {wall}z", WIDTH - MARGIN);
    let system = table.bench.system();
    let bar = show::round_length(long / 4.0, system);
    let highest = all.iter().map(|(_, h, _)| *h).fold(0.0, f64::max);
    let length = |mm: f64| show::length(Millimetres(mm), system);
    let words = say!(
        "Section over {length}, highest {highest}. The pale band is the range.",
        length = length(long.round()),
        highest = length((highest * 10.0).round() / 10.0)
    );
    let tall = wall + FOOT;
    view! {
        <figure id="height-section" class="picture">
            <svg
                class="drawing height-section"
                viewBox=format!("0 0 {WIDTH} {tall:.1}")
                role="img"
                aria-label=words.clone()
            >
                <path class="tone" d=stone />
                <path class="band" d=format!("M{}z", &band[1..]) />
                <path d=format!("M{}", &line[1..]) />
                <path d=format!("M{MARGIN} {wall:.1}H{:.1}", WIDTH - MARGIN) />
                <path d=format!(
                    "M{MARGIN} {:.1}v6h{:.1}v-6",
                    wall + 10.0,
                    bar * scale,
                ) />
                <text x=MARGIN + bar * scale + 8.0 y=wall + 21.0 font-size="16">
                    {length(bar)}
                </text>
            </svg>
            <figcaption class="hint">{words}</figcaption>
        </figure>
    }
    .into_any()
}
