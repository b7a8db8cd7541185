//! The ring: drawn loosely round the ornament, it becomes the ornament's outline.
//!
//! The ring tells the wall (outside) from what may be ornament (inside). Both are described by
//! colour and texture (`mixture`) and parted by the cut of least cost (`flow`), in turns, as in
//! Y. Boykov and M.-P. Jolly, "Interactive graph cuts for optimal boundary & region segmentation
//! of objects in N-D images", ICCV 2001, and GrabCut (see `mixture`). The first cuts are made on
//! coarse `cells`; a `band` about the edge they found is then cut on finer ones, down to the
//! photo's pixels; the `contour` of the result is smooth and has few points. What the cut gets
//! wrong a `stroke` sets right.
//!
//! Memory: about 200 bytes a coarse cell (at most [`MOST_CELLS`] of them), as much a pixel of the
//! band, and 5 bytes a pixel of the photo about the ring.

mod band;
mod cells;
mod contour;
mod flow;
mod lasso;
mod mixture;
mod stroke;

use crate::words::tr;
pub use stroke::Stroke;

use super::{Px, RgbaView, SurveyError};
use cells::Grid;
use flow::Flow;
use mixture::{Look, Mixture};
use serde::{Deserialize, Serialize};

/// Coarse cells about the ring, at most: a cut of so many takes a few hundredths of a second.
const MOST_CELLS: f64 = 20_000.0;
/// Cuts until ornament and wall are told apart: more of them let the ornament's description drift
/// towards the wall's.
const ROUNDS: usize = 3;
/// The farthest a point left out of the outline may lie from it, in pixels.
const TOLERANCE_PX: f64 = 0.7;

/// A ring and what was found in it.
pub struct Ring {
    grid: Grid,
    looks: Vec<Look>,
    /// How much the drawing speaks for ornament at each cell.
    leaning: Vec<f32>,
    strokes: Vec<Stroke>,
    /// For each cell, whether the last stroke over it says ornament.
    told: Vec<Option<bool>>,
    models: Models,
    /// The costs that the net holds now.
    costs: Vec<i32>,
    flow: Flow,
}

/// What ornament and wall look like.
struct Models {
    ornament: Mixture,
    wall: Mixture,
}

/// The outline that a ring became, in pixels of the photo.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RingOutline {
    /// The ornament's edge, clockwise as seen.
    pub outline: Vec<Px>,
    /// Openings in it through which the wall shows.
    pub holes: Vec<Vec<Px>>,
}

impl Ring {
    /// Looks for the ornament in a ring drawn round it, in pixels of the photo.
    pub fn draw(photo: &RgbaView<'_>, ring: &[Px]) -> Result<Self, SurveyError> {
        let crop = lasso::crop(photo, ring)?;
        let pixels = f64::from(crop.width) * f64::from(crop.height);
        let side = (pixels / MOST_CELLS).sqrt().ceil().max(1.0) as u32;
        let grid = Grid::new(crop, side);
        let depth = lasso::depth(&grid, ring);
        let deepest = depth.iter().copied().fold(0.0, f32::max);
        if deepest < 3.0 {
            return Err(SurveyError::at(
                "ring_px",
                tr("The ring goes round next to nothing. Draw it all the way round the ornament."),
            ));
        }
        let looks = grid.looks(photo);
        let pick = |wanted: &dyn Fn(f32) -> bool| -> Vec<Look> {
            let with_depth = looks.iter().zip(&depth);
            with_depth
                .filter(|(_, d)| wanted(**d))
                .map(|(look, _)| *look)
                .collect()
        };
        let wall = pick(&|d| d < 0.0);
        if wall.len() < LEAST_WALL {
            return Err(SurveyError::at(
                "ring_px",
                tr(
                    "The ring takes in the whole photo, so that no wall is left to compare with. \
                 Draw it closer to the ornament.",
                ),
            ));
        }
        let models = Models::first(&pick(&|d| d > CORE * deepest), &wall);
        let ties = band::ties(&looks, |cell, slot| grid.neighbour(cell, slot), COARSE_TIE);
        let mut ring = Self {
            leaning: depth.iter().map(|d| leaning(d / deepest)).collect(),
            strokes: Vec::new(),
            told: vec![None; grid.count()],
            models,
            costs: vec![0; grid.count()],
            flow: Flow::new(ties.neighbours, ties.room),
            grid,
            looks,
        };
        ring.cut();
        for _ in 1..ROUNDS {
            ring.learn()?;
            ring.cut();
        }
        Ok(ring)
    }

    /// Takes a stroke into account: what it passes over is ornament, or is not.
    pub fn stroke(&mut self, stroke: Stroke) -> Result<(), SurveyError> {
        stroke.check()?;
        let side = f64::from(self.grid.side);
        let reach = stroke.radius_px + side / 2.0;
        for cell in 0..self.grid.count() {
            let away = stroke.distance(self.grid.middle(cell));
            if away <= reach {
                self.told[cell] = Some(stroke.ornament);
            } else if away <= reach * STROKE_REACH {
                // Near a stroke the drawing of the ring was wrong.
                self.leaning[cell] = if stroke.ornament {
                    self.leaning[cell].max(0.0)
                } else {
                    self.leaning[cell].min(0.0)
                };
            }
        }
        self.strokes.push(stroke);
        self.cut();
        self.learn()?;
        self.cut();
        Ok(())
    }

    /// The outline of the largest piece found, to the pixel of the photo in which the ring was
    /// drawn.
    pub fn outline(&self, photo: &RgbaView<'_>) -> Result<RingOutline, SurveyError> {
        let mut grid = self.grid;
        let mut mask: Vec<bool> = (0..grid.count()).map(|c| self.flow.is_source(c)).collect();
        while grid.side > 1 {
            let fine = Grid::new(grid.crop, finer(grid.side));
            mask = band::refined(self, photo, &grid, &mask, &fine);
            grid = fine;
        }
        let ornament: Vec<Px> = self
            .strokes
            .iter()
            .filter(|stroke| stroke.ornament)
            .flat_map(|stroke| stroke.path.iter().copied())
            .collect();
        let (outline, holes) =
            contour::outline(&grid, &mask, TOLERANCE_PX, &ornament).ok_or_else(nothing_found)?;
        Ok(RingOutline { outline, holes })
    }

    fn cut(&mut self) {
        for (cell, look) in self.looks.iter().enumerate() {
            let cost = match self.told[cell] {
                Some(true) => SURE,
                Some(false) => -SURE,
                None => units(COARSE_LOOK * self.models.for_ornament(look) + self.leaning[cell]),
            };
            self.flow.favour(cell, cost - self.costs[cell]);
            self.costs[cell] = cost;
        }
        self.flow.cut();
    }

    /// Describes ornament and wall anew by what the last cut took for each.
    fn learn(&mut self) -> Result<(), SurveyError> {
        let (mut ornament, mut wall) = (Vec::new(), Vec::new());
        for (cell, look) in self.looks.iter().enumerate() {
            if self.flow.is_source(cell) {
                ornament.push(*look);
            } else {
                wall.push(*look);
            }
        }
        if ornament.is_empty() || wall.is_empty() {
            return Err(nothing_found());
        }
        self.models = Models {
            ornament: self.models.ornament.again(&ornament),
            wall: self.models.wall.again(&wall),
        };
        Ok(())
    }
}

impl Models {
    /// From what lies deep in the ring and what lies outside. The former still holds wall, in
    /// openings and beside the ornament; the cuts that follow sort it out, as in GrabCut. To leave
    /// out what looks like the wall would leave a patch of an ornament amid things of its colours.
    fn first(core: &[Look], outside: &[Look]) -> Self {
        Self {
            ornament: Mixture::first(core),
            wall: Mixture::first(outside),
        }
    }

    /// How much a look speaks for ornament, as the logarithm of the odds.
    fn for_ornament(&self, look: &Look) -> f32 {
        (self.wall.cost(look) - self.ornament.cost(look)).clamp(-MOST_FOR_LOOK, MOST_FOR_LOOK)
    }
}

/// Costs are counted in whole hundredths.
const UNIT: f32 = 100.0;
/// A cost that no other outweighs.
const SURE: i32 = 10_000_000;
/// Weight of a cell's look: its neighbours look alike, so it counts for less than a cell.
const COARSE_LOOK: f32 = 0.7;
/// No single look may speak louder, as the logarithm of the odds.
const MOST_FOR_LOOK: f32 = 12.0;
/// What it costs to part two like coarse cells.
const COARSE_TIE: f32 = 8.0;
/// Wall cells in sight, at least.
const LEAST_WALL: usize = 200;
/// From this share of the greatest depth inwards the ring holds ornament, to begin with.
const CORE: f32 = 0.15;
/// How many times its width from a stroke the ring's drawing loses its say.
const STROKE_REACH: f64 = 3.0;
/// What the drawing says of a place well inside, where most is ornament: of two cuts that cost
/// nearly the same it takes the fuller. Half as much again fills openings.
const MOSTLY: f32 = 0.2;

fn units(cost: f32) -> i32 {
    (cost * UNIT) as i32
}

/// What the drawing says of a place, as the logarithm of the odds for ornament; `depth` is the
/// share of the greatest depth, below zero outside. A ring drawn loosely may cut off a little of
/// the ornament, and runs over wall just inside.
fn leaning(depth: f32) -> f32 {
    match depth {
        d if d < -0.12 => -1000.0,
        d if d < 0.0 => -4.0,
        d => (10.0 * d - 1.0).min(MOSTLY),
    }
}

/// The side of the next finer cells: down to a pixel in a few steps, for a cut across a wide band
/// of fine cells takes long.
fn finer(side: u32) -> u32 {
    if side > 4 {
        f64::from(side).sqrt().round() as u32
    } else {
        1
    }
}

fn nothing_found() -> SurveyError {
    SurveyError::at(
        "ring_px",
        tr(
            "No edge was found in the ring. Draw it closer to the ornament, mark some of the ornament \
         with a stroke, or set points by hand.",
        ),
    )
}
