//! How the numbers of a height map came about.

use super::Modelled;
use crate::coating::{Explanation, Source, explain};
use crate::quantity::{Amount, Degrees, show};
use crate::relief::{Draft, ReliefRecord};
use crate::say;
use crate::words::tr;

impl Modelled {
    /// Surface, its share of the footprint, volume and highest point, in this order.
    pub fn why(&self, record: &ReliefRecord) -> [Explanation; 4] {
        let m = &self.measures;
        let map = &self.sounded.heights.map;
        let rests = || {
            let count = |n: usize| Amount::Count(u32::try_from(n).unwrap_or(u32::MAX));
            let swept = record.swept_from.as_ref().map_or(0, |from| from.photos);
            let seen = record.swept_from.as_ref().map_or(0.0, |from| from.matched);
            let all = [
                (tr("Heights read"), record.readings.len()),
                (tr("Sections drawn"), record.profiles.len()),
                (tr("Photos compared"), swept),
                (
                    tr("Places of the map"),
                    map.frame().columns * map.frame().rows,
                ),
                (
                    tr("Plausible maps beside it"),
                    self.sounded.heights.draws.len(),
                ),
            ];
            let some = all.into_iter().filter(|(_, n)| *n > 0);
            let mut some: Vec<_> = some.map(|(what, n)| (what, count(n))).collect();
            if swept > 0 {
                some.push((tr("Seen in them, of the surface"), Amount::Share(seen)));
            }
            some
        };
        let with = |first: Vec<(&'static str, Amount)>| {
            let all = first.into_iter().chain(rests());
            all.collect::<Vec<_>>()
        };
        let computed = |text: &str| Source::Computed(text.to_owned());
        [
            explain(
                tr("Surface"),
                Amount::AreaRange(m.surface),
                with(vec![(tr("Footprint"), Amount::AreaRange(m.footprint))]),
                tr(
                    "Triangles are laid through the heights of the map and down to the wall around them; their areas are added up. The range is how far the plausible maps lie from the likely one.",
                ),
                computed(tr("the triangulated height map")),
            ),
            explain(
                tr("Surface to footprint"),
                Amount::Text(say!(
                    "{ratio} ({low95} to {high95})",
                    ratio = show::number(m.ratio.value.0, 2),
                    low95 = show::number(m.ratio.low95.0, 2),
                    high95 = show::number(m.ratio.high95.0, 2)
                )),
                vec![
                    (tr("Surface"), Amount::AreaRange(m.surface)),
                    (tr("Footprint"), Amount::AreaRange(m.footprint)),
                ],
                tr("The surface over the footprint; never less than one."),
                computed(tr("the triangulated height map")),
            ),
            explain(
                tr("Volume over the wall"),
                Amount::VolumeRange(m.volume),
                with(vec![(tr("Footprint"), Amount::AreaRange(m.footprint))]),
                tr(
                    "The heights of the map over the wall, each times the part of the footprint that it stands for, added up. The range is how far the plausible maps lie from the likely one.",
                ),
                computed(tr("the sum over the height map")),
            ),
            explain(
                tr("Highest point"),
                Amount::LengthRange(m.highest),
                with(Vec::new()),
                tr(
                    "The greatest height of the map inside the outline. The section and the colours of the picture are read off the same map.",
                ),
                computed(tr("the height map")),
            ),
        ]
    }

    /// What the next reading is worth, where one is proposed.
    pub fn next_why(&self) -> Option<Explanation> {
        let probe = self.sounded.next?;
        Some(explain(
            tr("Taken off the volume’s spread"),
            Amount::Share(probe.gain),
            vec![(
                tr("Volume over the wall"),
                Amount::VolumeRange(self.measures.volume),
            )],
            tr(
                "Each place of the map is tried: what is not known there moves with the volume over all plausible maps, and a reading takes that part of the volume’s spread away. The place that takes most is proposed.",
            ),
            Source::Computed(tr("regression over the plausible maps").to_owned()),
        ))
    }
}

/// Why so much of the surface grips on the way it is pulled off; `least` is the draft asked for.
pub fn draft_why(found: &Draft, least: Degrees) -> Explanation {
    explain(
        tr("Too steep this way"),
        Amount::Area(found.steep),
        vec![
            (tr("Surface"), Amount::Area(found.surface)),
            (tr("Share of it"), Amount::Share(found.share)),
            (tr("Least draft"), Amount::Text(show::angle(least))),
            (tr("Behind the pull"), Amount::Area(found.behind)),
        ],
        tr(
            "The map’s triangles whose faces lean less than the least draft out of the way of the pull, added up; and those that face away from it.",
        ),
        Source::CommonPractice,
    )
}
