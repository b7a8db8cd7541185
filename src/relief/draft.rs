//! How the surface leans: slopes, bends, and how freely a skin comes off along a direction.

use super::HeightMap;
use super::cover::Cover;
use super::surface::{Bend, Grid};
use crate::quantity::{Degrees, SquareMillimetres};
use crate::survey::Mm;
use serde::{Deserialize, Serialize};

/// Slope and bend at every place of a map, row after row; not a number off the piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Fields {
    /// The angle between the surface and the wall, in degrees: 0 lies flat, 90 is a cliff.
    pub slope: Vec<f32>,
    /// The mean curvature in 1/mm, positive where the surface bulges outward: 1/R on a ball.
    pub mean_curvature: Vec<f32>,
}

/// Slope and bend by central differences, inside the cover.
pub fn fields(map: &HeightMap, cover: &Cover) -> Fields {
    let grid = Grid::of(map.heights(), 1.0, cover);
    let columns = map.frame().columns;
    let at = |index: usize| {
        let [x, y] = [index % columns, index / columns].map(|n| n as isize + 1);
        grid.bend(x, y)
    };
    let bends = (0..map.frame().len()).map(at);
    let both = bends.map(|bend| {
        bend.map_or((f32::NAN, f32::NAN), |bend| {
            let slope = (1.0 / bend.stretch()).acos().to_degrees();
            (slope as f32, bend.mean_curvature() as f32)
        })
    });
    let (slope, mean_curvature) = both.unzip();
    Fields {
        slope,
        mean_curvature,
    }
}

/// The direction in which the skin is pulled off.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Pull {
    /// How far it leans away from the wall's normal: 0 pulls straight off.
    pub tilt: Degrees,
    /// Where it leans to along the wall: 0 to the right, 90 down.
    pub toward: Degrees,
}

impl Pull {
    /// Of length one: right, down, off the wall.
    fn direction(&self) -> [f64; 3] {
        let (tilt, toward) = (self.tilt.0.to_radians(), self.toward.0.to_radians());
        [
            tilt.sin() * toward.cos(),
            tilt.sin() * toward.sin(),
            tilt.cos(),
        ]
    }
}

/// How freely the skin comes off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Draft {
    /// The developed surface.
    pub surface: SquareMillimetres,
    /// What of it has less draft than was asked for: steep along the pull, or behind it.
    pub steep: SquareMillimetres,
    /// The share of the surface that this is.
    pub share: f64,
    /// What of it lies behind the pull: the skin has to bend over it. A height map can't tell it
    /// along the wall's own normal, where it shows only what is seen from the front.
    pub behind: SquareMillimetres,
    /// Where it is steep, on the wall: the places of the map whose squares hold steep surface.
    pub places: Vec<Mm>,
}

/// The draft at every place of a map along a direction, in degrees, row after row; not a number
/// off the piece.
pub fn drafts(map: &HeightMap, cover: &Cover, pull: Pull) -> Vec<f32> {
    let grid = Grid::of(map.heights(), 1.0, cover);
    let columns = map.frame().columns;
    let [px, py, pz] = pull.direction();
    let at = |index: usize| {
        let [x, y] = [index % columns, index / columns].map(|n| n as isize + 1);
        let angle = |bend: Bend| {
            let sine = (pz - px * bend.zx - py * bend.zy) / bend.stretch();
            sine.clamp(-1.0, 1.0).asin().to_degrees() as f32
        };
        grid.bend(x, y).map_or(f32::NAN, angle)
    };
    (0..map.frame().len()).map(at).collect()
}

/// The surface's draft along a direction: the angle between the surface and the pull, less than
/// nothing where the surface lies behind it. Inside the cover; the sides down to the wall, where
/// the map still has a height at its edge, count as cliffs.
pub fn draft(map: &HeightMap, cover: &Cover, pull: Pull, least: Degrees) -> Draft {
    let grid = Grid::of(map.heights(), 1.0, cover);
    let frame = map.frame();
    let square = frame.step.0 * frame.step.0;
    let [px, py, pz] = pull.direction();
    let limit = least.0.to_radians().sin();
    let mut found = Draft {
        surface: SquareMillimetres(0.0),
        steep: SquareMillimetres(0.0),
        share: 0.0,
        behind: SquareMillimetres(0.0),
        places: Vec::new(),
    };
    let mut steep = vec![false; frame.len()];
    // The sine of the draft is how far the surface's normal points along the pull.
    let mut add = |sine: f64, area: f64, grid_place: [f64; 2]| {
        found.surface += SquareMillimetres(area);
        if sine < limit && area > 0.0 {
            found.steep += SquareMillimetres(area);
            let [c, r] = grid_place.map(|n| n.round().max(0.0) as usize);
            steep[r.min(frame.rows - 1) * frame.columns + c.min(frame.columns - 1)] = true;
        }
        if sine < -1e-9 {
            found.behind += SquareMillimetres(area);
        }
    };
    let wide = frame.columns + 1;
    grid.for_parts(cover, |part| {
        let w = part.stretch();
        let sine = (pz - px * part.zx - py * part.zy) / w;
        let middle = [part.index % wide, part.index / wide].map(|n| n as f64 - 0.5);
        add(sine, w * part.share * square, middle);
    });
    for stretch in &cover.edge {
        let sine = px * stretch.outward[0] + py * stretch.outward[1];
        add(sine, stretch.length * grid.side(stretch), stretch.at);
    }
    found.share = match found.surface.0 > 0.0 {
        true => found.steep / found.surface,
        false => 0.0,
    };
    let marked = steep.iter().enumerate().filter(|(_, steep)| **steep);
    found.places = marked.map(|(at, _)| frame.place_of(at)).collect();
    found
}
