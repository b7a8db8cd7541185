//! Heights from two to five photos: planes are swept over the wall and compared.
//!
//! The way of the data: `wall` finds places of the wall around the piece in all photos, and
//! [`bundle`] all cameras from them and the reference; `slices` sweeps planes and compares the
//! photos on each (`census`), `paths` makes neighbours agree; where texture is faint the same is
//! done without light and shade, and `choice` takes the surface that fine texture speaks for; then
//! the surface (`surface`) is swept `again`, each photo only where it can see it (`visible`).
//! Heights are in true millimetres before the wall.

mod again;
mod census;
mod choice;
mod kept;
mod paths;
mod photo;
mod slices;
mod spread;
mod stereo;
mod surface;
mod visible;
mod wall;

use crate::quantity::show;
use crate::say;
use crate::words::{tr, verbatim};
pub use kept::remembered;
pub use stereo::disparity;

use super::near::{bounds, from_rings};
use super::{Cover, Detail, Draw, Frame, HeightMap, Heights};
use crate::quantity::{Estimate, Millimetres};
use crate::survey::{
    Camera, Evidence, GreyView, Mm, Px, SurveyError, Wall, WallProblem, bundle, contains, fit_wall,
};
use again::Again;
use paths::Penalty;
use photo::{Eye, Reduced, Window};
use std::ops::Range;
use std::slice;

/// One photo of the piece, with what is known of its camera.
pub struct SweepPhoto<'a> {
    /// Its brightness, upright and in full size.
    pub grey: GreyView<'a>,
    /// The same reference in each.
    pub problem: WallProblem,
}

/// What is asked.
pub struct SweepProblem<'a> {
    /// Two to five photos.
    pub photos: Vec<SweepPhoto<'a>>,
    /// Which photo the outline was traced in.
    pub outline_of: usize,
    /// The outline where the piece meets the wall, in that photo's pixels.
    pub outline_px: Vec<Px>,
    /// How far the reference's plane stands before the wall: a card is 0.76 mm thick.
    pub reference: Estimate<Millimetres>,
    /// No part of the piece stands higher.
    pub max_height: Millimetres,
    /// From place to place of the map.
    pub step: Millimetres,
    /// How much may be swept: places times heights. The memory is three bytes for each.
    pub most: usize,
}

impl SweepProblem<'_> {
    fn check(&self) -> Result<(), SurveyError> {
        let refuse = |field: &str, sentence: &str| Err(SurveyError::at(field, sentence));
        if !(2..=MOST_PHOTOS).contains(&self.photos.len()) {
            return refuse(
                "photos",
                tr("Heights are swept from two to five photos. Choose those."),
            );
        }
        if self.outline_of >= self.photos.len() {
            return refuse(
                "outline_of",
                tr("There is no such photo: they are counted from 0."),
            );
        }
        if self.outline_px.len() < 3 {
            return refuse(
                "outline_px",
                tr("Trace the outline first: the heights lie inside it."),
            );
        }
        if !(self.max_height.0 >= 1.0 && self.max_height.0 <= 400.0) {
            return refuse(
                "max_height_mm",
                tr("The greatest height has to be between 1 and 400 mm."),
            );
        }
        if !(self.step.0 >= 0.1 && self.step.0 <= 50.0) {
            return refuse(
                "grid_mm",
                tr("The map's steps have to be between 0.1 and 50 mm."),
            );
        }
        Ok(())
    }
}

/// What was found.
pub struct Swept {
    /// The wall as the outline's photo sees it, with all photos counted.
    pub wall: Wall,
    /// The outline on the wall.
    pub outline: Vec<Mm>,
    /// The cameras of all photos, before the wall.
    cameras: Vec<Camera>,
    /// The heights, and others that may as well be true. Its steps may be a half or a third of
    /// those that were asked for: as far as the photos show more.
    pub heights: Heights,
    /// How many of the map's steps make one that was asked for.
    pub parts: usize,
    /// The share of the piece whose height was seen, not filled in.
    pub confident: f64,
    /// What the user should know.
    pub notes: Vec<String>,
}

/// A photo in the size of the grid, and how it sees it.
struct Seen {
    photo: Reduced,
    /// The same with all its grain, and without the fall of light.
    sharp: Reduced,
    eye: Eye,
}

impl Swept {
    /// The place on the wall behind what photo `of` shows in a pixel, if it stands so high.
    pub fn place(&self, of: usize, px: Px, height: Millimetres) -> Option<Mm> {
        self.cameras.get(of)?.unsee_before(px, height.0)
    }

    /// The likely heights where `to_photo` puts the places of a wall in the outline's photo: the
    /// same wall as another survey measured it, with the outline as it lies there.
    pub fn laid(
        &self,
        outline: &[Mm],
        to_photo: impl Fn(Mm) -> Option<Px>,
    ) -> Result<HeightMap, SurveyError> {
        let map = &self.heights.map;
        let frame = Frame::fitted(outline, map.step())?;
        let cover = Cover::of_rings(frame, outline, &[]);
        let found = |at: usize| {
            let here = cover.inside()[at].then(|| frame.place_of(at))?;
            map.beside(self.wall.to_wall(to_photo(here)?)?)
        };
        let (heights, sds) = (0..frame.len())
            .map(|at| found(at).unwrap_or((f32::NAN, f32::NAN)))
            .unzip();
        HeightMap::of(frame, heights, sds, map.sd())
    }
}

/// A swept map shows nothing finer than its patches of some millimetres (a study of our own on the
/// rendered figures of tests/outside/check_relief.py; made up beyond these).
pub const DETAIL: Detail = Detail {
    share: 0.06,
    sd: 0.1,
    top: Millimetres(1.0),
};

/// What a sweep does one after the other, and the share of its whole time that has passed after
/// each (tests/render/tests/photos/sweep_speed.rs).
pub const STAGES: [(&str, f64); 11] = [
    (verbatim("places of the wall found again"), 0.20),
    ("cameras", 0.30),
    (verbatim("photos in the map's size"), 0.35),
    (verbatim("first sweep: photos laid and compared"), 0.50),
    (verbatim("first sweep: neighbours agree"), 0.60),
    (verbatim("first sweep: surface"), 0.65),
    (verbatim("the same without shade"), 0.70),
    (verbatim("second sweep"), 0.75),
    (verbatim("third sweep"), 0.85),
    (verbatim("fourth sweep"), 0.95),
    (verbatim("plausible maps"), 1.0),
];

/// Photos beyond these tell little more.
pub const MOST_PHOTOS: usize = 5;
/// From height to height of the first sweep, in millimetres.
const APART: f32 = 0.8;
/// The first sweep starts a little behind the wall, so that the wall is no end of the range.
const BEHIND: usize = 3;
/// Steps kept about the piece, so that patches at its edge are whole.
const MARGIN: f64 = 6.0;
/// A step is no finer than so many pixels: between pixels there is nothing more to see.
const PIXELS_A_STEP: f64 = 1.1;
/// Penalties of the first sweep, for costs of 0 to 48: found on figures and closed forms
/// (tests/outside/check_relief.py), where half or twice as much changes little.
const FIRST: Penalty = Penalty { step: 3, jump: 45 };
/// Penalties of the second, for costs of 0 to 80.
const SECOND: Penalty = Penalty { step: 2, jump: 30 };
/// The further sweeps about the surface: 2.4 and 1.2 mm to either side, then finer patches.
const AGAIN: [Again; 3] = [
    Again {
        apart: 0.4,
        labels: 13,
        half: 3,
    },
    Again {
        apart: 0.2,
        labels: 13,
        half: 3,
    },
    Again {
        apart: 0.2,
        labels: 13,
        half: 2,
    },
];
/// A correlation below this is no match.
const LEAST_ALIKE: f32 = 0.6;
/// With less of the surface matched there is no map: plaster that shows 1 % of texture has 0.4, and
/// its map is wrong by a tenth and more.
const LEAST_CONFIDENT: f64 = 0.45;
/// What changes over more than so many pixels is light, and no texture.
const DETAIL_REACH: usize = 18;
/// Places that were filled in hardly move their neighbours.
const FILLED_WEIGHT: f32 = 0.05;
/// A place counts when so much about it was matched too: single matches on an even surface are
/// chance.
const SUPPORT: f32 = 0.4;
/// About it means so many places to either side.
const SUPPORT_REACH: usize = 3;
/// Parts of the surface smaller than this that stand alone are mistakes, in square millimetres.
const ISLAND_MM2: f64 = 30.0;
/// Neighbouring places further apart than this are on two parts of the surface, in millimetres.
const CLIFF: f32 = 1.6;

/// Finds the heights.
pub fn sweep(
    problem: &SweepProblem<'_>,
    progress: &mut dyn FnMut(f64),
) -> Result<Swept, SurveyError> {
    problem.check()?;
    let base = problem.outline_of;
    let problems: Vec<WallProblem> = problem.photos.iter().map(|p| p.problem.clone()).collect();
    let mut known = Vec::new();
    for (i, photo) in problem.photos.iter().enumerate() {
        let wall = fit_wall(&photo.problem).map_err(|e| e.under(&format!("photos[{i}]")))?;
        let camera = wall.camera().clone();
        let poses = vec![camera.clone(), camera.mirrored()];
        known.push(wall::Known {
            grey: photo.grey,
            poses,
            marks: photo.problem.evidence.iter().filter_map(mark).collect(),
        });
    }
    let rough = outline(&known[base].poses[0], &problem.outline_px)?;
    let tracks = {
        let (low, high) = bounds(&rough);
        let size = (high[0] - low[0]).max(high[1] - low[1]);
        let about = (0.6 * size).max(60.0);
        let dilated = 3.0 + 0.25 * problem.max_height.0;
        let piece =
            |mm: Mm| contains(&rough, mm) || from_rings(mm, slice::from_ref(&rough)) < dilated;
        let reach = [low.map(|c| c - about), high.map(|c| c + about)];
        let around = wall::Around {
            reach,
            piece: &piece,
        };
        wall::tracks(&known, base, &around)
    };
    let mut stages = STAGES.iter().map(|(_, done)| *done);
    let mut next = move || stages.next().unwrap_or(1.0);
    progress(next());
    let found = bundle(&problems, &tracks, problem.reference)?;
    let wall = found.wall(base, &problems[base])?;
    let outline = outline(&found.cameras[base], &problem.outline_px)?;
    progress(next());
    let (low, high) = bounds(&outline);
    let parts = parts(problem, &found.cameras, low, high);
    let step = problem.step.0 / parts as f64;
    let first = [0, 1].map(|k| ((low[k] / problem.step.0).floor() - MARGIN) * problem.step.0);
    let side =
        |k: usize| ((high[k] - first[k] + MARGIN * problem.step.0) / step).ceil() as usize + 1;
    let frame = Frame {
        origin: first,
        step: Millimetres(step),
        columns: side(0),
        rows: side(1),
    };
    frame.check()?;
    if frame.len() * labels(problem.max_height) > problem.most {
        return Err(SurveyError::at(
            "grid_mm",
            tr(
                "The piece is too large for so fine a map. Take larger steps, or a lower greatest height.",
            ),
        ));
    }
    let sweeper = Sweeper {
        inside: Cover::of_rings(frame, &outline, &[]).inside().to_vec(),
        seen: seen(problem, &found.cameras, &frame, low, high),
        frame,
        base,
    };
    progress(next());
    let surface = sweeper.first(problem.max_height, &mut || progress(next()));
    let chosen = choice::chosen(&sweeper, surface, |fine| {
        fine.first(problem.max_height, &mut || ())
    });
    let mut surface = chosen.surface;
    progress(next());
    for again in &AGAIN {
        surface = sweeper.again(surface, again);
        progress(next());
    }
    let count = sweeper.inside.iter().filter(|w| **w).count();
    let sure = surface.trust.iter().filter(|t| **t > 0.0).count();
    let confident = sure as f64 / count.max(1) as f64;
    if confident < LEAST_CONFIDENT {
        return Err(SurveyError::at(
            "photos",
            say!(
                "The photos show too little on this surface: only {confident} % of it could be matched. \
                 Take them again with the light from one side (raking light), or dust the surface \
                 with chalk where it allows that, or read heights with a probe.",
                confident = show::fixed(100.0 * confident, 0)
            ),
        ));
    }
    let mut heights = surface.heights;
    surface::cut_spikes(&mut heights, &surface.trust, &sweeper.inside, &frame);
    for (height, inside) in heights.iter_mut().zip(&sweeper.inside) {
        *height = if *inside {
            height.clamp(0.0, 1000.0)
        } else {
            f32::NAN
        };
    }
    let sds = spread::own(&heights, &surface.trust, &sweeper.inside, &frame);
    let doubt = spread::doubted(&heights, chosen.doubt);
    let likely = spread::Likely {
        heights: &heights,
        sds: &sds,
        doubt: &doubt,
    };
    let draws = spread::draws(&found, base, &problem.outline_px, &frame, &likely);
    let sds = spread::whole(&heights, &sds, &draws);
    let mut notes = found.notes.clone();
    if tracks.is_empty() {
        notes.push(
            tr("The wall around the piece could not be matched between the photos, so the reference \
             alone tells where they were taken: heights may be several millimetres off. Take the \
             photos again with more of the wall around the piece in each.")
                .into(),
        );
    }
    progress(next());
    Ok(Swept {
        wall,
        outline,
        cameras: found.cameras.clone(),
        heights: Heights {
            map: HeightMap::of(frame, heights, sds, 0.0)?,
            draws,
            sparse: 1,
        },
        parts,
        confident,
        notes,
    })
}

/// How many heights the first sweep looks at.
pub fn labels(max_height: Millimetres) -> usize {
    ((max_height.0 as f32 / APART).ceil() as usize + BEHIND + 3).max(8)
}

/// What is swept: the photos, and where.
struct Sweeper {
    frame: Frame,
    inside: Vec<bool>,
    seen: Vec<Seen>,
    /// The photo in which the outline was traced.
    base: usize,
}

/// A surface as far as it was found.
struct Surface {
    /// Millimetres before the wall; 0 off the piece.
    heights: Vec<f32>,
    /// How alike the photos are there, up to 1; 0 where the height was filled in.
    trust: Vec<f32>,
}

impl Sweeper {
    /// The surface from planes.
    fn first(&self, max_height: Millimetres, done: &mut dyn FnMut()) -> Surface {
        let labels = labels(max_height);
        let from = -(BEHIND as f32) * APART;
        let (frame, inside) = (&self.frame, &self.inside);
        let volume = slices::swept(&self.seen, frame, inside, from, APART, labels);
        done();
        let even = slices::even(&self.seen[self.base], frame);
        let found = paths::agree(&volume, FIRST, Some(&even));
        drop(volume);
        done();
        let height = |(label, inside): (&f32, &bool)| match inside {
            true => from + APART * label,
            false => 0.0,
        };
        let heights: Vec<f32> = found.iter().zip(inside).map(height).collect();
        let mut heights = surface::median(&heights, inside, frame, 2);
        let good = self.mainland(&heights);
        surface::fill(&mut heights, &good, inside, frame);
        let trust = vec![1.0; heights.len()];
        heights = surface::smoothed(&heights, &trust, inside, frame, 3, 1.5);
        done();
        Surface { heights, trust }
    }

    /// The surface from patches that lie on it.
    fn again(&self, surface: Surface, by: &Again) -> Surface {
        let Surface {
            mut heights,
            mut trust,
        } = surface;
        let (frame, inside) = (&self.frame, &self.inside);
        let visible: Vec<Vec<bool>> = self
            .seen
            .iter()
            .map(|of| visible::visible(&of.eye, frame, &heights))
            .collect();
        let volume = again::swept(&self.seen, frame, inside, &heights, &visible, by);
        let found = paths::agree(&volume, SECOND, None);
        let last = by.labels as f32 - 1.0;
        for place in (0..heights.len()).filter(|p| inside[*p]) {
            let label = found[place];
            let cost = volume.cost(place, label.round() as usize);
            let alike = 1.0 - 2.0 * f32::from(cost) / again::MOST;
            heights[place] += (label - last / 2.0) * by.apart;
            // At the ends of the range the surface may lie beyond.
            let sure = alike > LEAST_ALIKE && label > 0.5 && label < last - 0.5;
            trust[place] = if sure { alike } else { 0.0 };
        }
        for (trust, good) in trust.iter_mut().zip(self.mainland(&heights)) {
            *trust = if good { *trust } else { 0.0 };
        }
        surface::alone(&mut trust, inside, frame, SUPPORT_REACH, SUPPORT);
        let known: Vec<bool> = trust.iter().map(|t| *t > 0.0).collect();
        surface::fill(&mut heights, &known, inside, frame);
        heights = surface::median(&heights, inside, frame, 1);
        let weight = |(trust, inside): (&f32, &bool)| match inside {
            true => trust.max(FILLED_WEIGHT),
            false => 0.0,
        };
        let weights: Vec<f32> = trust.iter().zip(inside).map(weight).collect();
        let heights = surface::smoothed(&heights, &weights, inside, frame, 2, 0.8);
        Surface {
            heights,
            trust: trust
                .iter()
                .zip(inside)
                .map(|(t, i)| if *i { *t } else { 0.0 })
                .collect(),
        }
    }

    fn mainland(&self, heights: &[f32]) -> Vec<bool> {
        let least = (ISLAND_MM2 / (self.frame.step.0 * self.frame.step.0)) as usize;
        surface::mainland(heights, &self.inside, &self.frame, CLIFF, least)
    }
}

/// From the first to the last column of each row that is looked at when places to all sides of
/// those inside are, so many.
fn spans(inside: &[bool], grid: &Frame, about: usize) -> Vec<Range<usize>> {
    let of_row = |row: &[bool]| {
        let first = row.iter().position(|inside| *inside)?;
        let last = row.iter().rposition(|inside| *inside)?;
        Some(first.saturating_sub(about)..(last + about + 1).min(grid.columns))
    };
    let own: Vec<_> = inside.chunks_exact(grid.columns).map(of_row).collect();
    let near = |row: usize| {
        let rows = &own[row.saturating_sub(about)..(row + about + 1).min(own.len())];
        let both = |a: Range<usize>, b: &Range<usize>| a.start.min(b.start)..a.end.max(b.end);
        let mut rows = rows.iter().flatten();
        let first = rows.next().cloned().unwrap_or(0..0);
        rows.fold(first, both)
    };
    (0..own.len()).map(near).collect()
}

/// What the photos show of the piece, in the size of the grid.
fn seen(
    problem: &SweepProblem<'_>,
    cameras: &[Camera],
    frame: &Frame,
    low: Mm,
    high: Mm,
) -> Vec<Seen> {
    let both = problem.photos.iter().zip(cameras);
    both.map(|(photo, camera)| {
        let size = wall::pixel_on_wall(camera, [low, high]).map_or(1.0, |px| frame.step.0 / px);
        let side = ((0.8 * size).round() as usize).max(1);
        let window = window(&photo.grey, camera, frame, problem.max_height, side);
        let sharp = Reduced::of(&photo.grey, side, window);
        Seen {
            eye: sharp.eye(camera, frame.origin, frame.step.0),
            photo: sharp.softened(),
            sharp: sharp.detailed(DETAIL_REACH),
        }
    })
    .collect()
}

/// The part of a photo in which all that is swept is seen, and so much about it as is looked at
/// for squares of `side` pixels.
fn window(
    grey: &GreyView<'_>,
    camera: &Camera,
    frame: &Frame,
    max_height: Millimetres,
    side: usize,
) -> Window {
    let ends = [frame.origin, frame.place_of(frame.len() - 1)];
    let behind = -(BEHIND as f64) * f64::from(APART);
    let heights = [behind, max_height.0 + f64::from(APART) * 3.0];
    let corners = [0, 1, 2, 3].map(|n: usize| [ends[n & 1][0], ends[n >> 1][1]]);
    let seen = heights.map(|up| corners.map(|mm| camera.see_before(mm, up)));
    let sides = [grey.width, grey.height].map(|n| n as usize);
    let Some(seen) = seen
        .as_flattened()
        .iter()
        .copied()
        .collect::<Option<Vec<Px>>>()
    else {
        return sides.map(|side| 0..side);
    };
    let about = ((DETAIL_REACH + 3) * side) as f64;
    let (low, high) = bounds(&seen);
    [0, 1].map(|k| {
        let pixel = |at: f64| (at.max(0.0) as usize).min(sides[k]);
        pixel(low[k] - about)..pixel(high[k] + about)
    })
}

/// Into how many parts the map's steps are cut for the sweep: as far as the photos show more.
fn parts(problem: &SweepProblem<'_>, cameras: &[Camera], low: Mm, high: Mm) -> usize {
    let step = problem.step.0;
    let px = cameras
        .iter()
        .filter_map(|camera| wall::pixel_on_wall(camera, [low, high]));
    let px = px.fold(0.0, f64::max);
    let places =
        (high[0] - low[0] + 2.0 * MARGIN * step) * (high[1] - low[1] + 2.0 * MARGIN * step);
    let most = problem.most as f64 / labels(problem.max_height) as f64 * step * step;
    let fits = |n: &usize| {
        let n = *n as f64;
        step / n >= PIXELS_A_STEP * px && places * n * n <= most
    };
    [3, 2].into_iter().find(fits).unwrap_or(1)
}

fn mark(evidence: &Evidence) -> Option<(Mm, Px)> {
    match evidence {
        Evidence::Point { px, mm, .. } => Some((*mm, *px)),
        _ => None,
    }
}

fn outline(camera: &Camera, px: &[Px]) -> Result<Vec<Mm>, SurveyError> {
    let on_wall = px.iter().enumerate().map(|(i, px)| {
        camera.unsee(*px).ok_or_else(|| {
            SurveyError::at(
                format!("outline_px[{i}]"),
                tr("This point of the outline looks past the wall. Set it on the piece's edge."),
            )
        })
    });
    on_wall.collect()
}
