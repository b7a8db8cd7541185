//! A piece laid flat, set out true to scale on paper: where outline, lengths, photo and scale bar
//! stand. The sheet's page in the app and the desk's sheet draw it in their own ways.

use super::{Flat, Measured};
use crate::quantity::Millimetres;
use crate::quantity::show::{self, System};
use crate::survey::Mm;

/// The place on paper, in millimetres.
const PLACE: [f64; 2] = [64.0, 50.0];
/// Room under the drawing for the scale bar, and around it for lines, in millimetres of paper.
const FOOT: f64 = 9.0;
const MARGIN: f64 = 2.0;
/// Height of letters on paper in millimetres.
const LETTERS: f64 = 3.4;
/// Height of the scale bar's ends on paper in millimetres.
const TICK: f64 = 1.5;
/// The scales that rules and minds know: one to so many.
const SCALES: [f64; 11] = [
    1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0,
];

/// A drawing on paper. All places are in millimetres of the piece, from the first pixel of the
/// photo laid flat; paths are those of SVG.
#[derive(Clone, Debug, PartialEq)]
pub struct OnPaper {
    /// One to so many.
    pub scale: f64,
    /// The least and the greatest place of outline and border.
    pub reach: [Mm; 2],
    /// Left, top, width and height of all that is drawn.
    pub view: [f64; 4],
    /// Left, top, width and height of the foot under it, which holds the scale bar.
    pub foot: [f64; 4],
    /// Left, top, width and height of the photo laid flat.
    pub photo: [f64; 4],
    /// The outline with its holes.
    pub shape: String,
    /// What stands beside the piece.
    pub beside: String,
    /// What was measured: its line, where its length is written, and that length.
    pub lengths: Vec<(String, Mm, String)>,
    /// The scale bar, where its length is written, and that length.
    pub bar: (String, Mm, String),
    /// Height of the letters.
    pub letters: f64,
}

impl OnPaper {
    /// Sets out a piece with a border of this width and what was measured on it.
    pub fn of(flat: &Flat, measured: &[Measured], border: Millimetres, system: System) -> Self {
        let unit = flat.frame.mm_per_px;
        let mm = |at: [f64; 2]| at.map(|x| x * unit);
        let path = |ring: &Vec<[f64; 2]>| path(ring.iter().map(|at| mm(*at)));
        let b = border.0;
        let corners = flat.rings.iter().flatten().map(|at| mm(*at));
        let (low, high) = corners.fold(([f64::MAX; 2], [f64::MIN; 2]), |(low, high), p| {
            (
                [low[0].min(p[0] - b), low[1].min(p[1] - b)],
                [high[0].max(p[0] + b), high[1].max(p[1] + b)],
            )
        });
        let size = [high[0] - low[0], high[1] - low[1]];
        // Beyond the last scale the drawing is simply larger than its place.
        let scale = SCALES
            .into_iter()
            .find(|n| size[0] / n <= PLACE[0] && size[1] / n <= PLACE[1])
            .unwrap_or(SCALES[SCALES.len() - 1]);
        let (margin, foot, tick) = (MARGIN * scale, FOOT * scale, TICK * scale);
        let (left, top) = (low[0] - margin, low[1] - margin);
        let (wide, tall) = (size[0] + 2.0 * margin, size[1] + 2.0 * margin);
        let length = |one: &Measured| {
            let [[ax, ay], [bx, by]] = one.ends.map(mm);
            (
                format!("M{ax:.2} {ay:.2}L{bx:.2} {by:.2}"),
                [(ax + bx) / 2.0, (ay + by) / 2.0 - scale],
                show::length(one.length.value, system),
            )
        };
        let bar = show::round_length(20.0 * scale, system);
        let bottom = high[1] + margin + 0.55 * foot;
        Self {
            scale,
            reach: [low, high],
            view: [left, top, wide, tall + foot],
            foot: [left, top + tall, wide, foot],
            photo: [
                // Pixels are counted from the middle of the first one.
                -unit / 2.0,
                -unit / 2.0,
                f64::from(flat.frame.width) * unit,
                f64::from(flat.frame.height) * unit,
            ],
            shape: flat.rings.iter().map(path).collect(),
            beside: flat.neighbours.iter().map(path).collect(),
            lengths: measured.iter().map(length).collect(),
            bar: (
                format!(
                    "M{:.2} {:.2}v{tick:.2}h{bar:.2}v{:.2}",
                    low[0],
                    bottom - tick,
                    -tick
                ),
                [low[0] + bar + tick, bottom],
                show::length(Millimetres(bar), system),
            ),
            letters: LETTERS * scale,
        }
    }

    /// Width and height on paper in millimetres.
    pub fn size(&self) -> [f64; 2] {
        [self.view[2] / self.scale, self.view[3] / self.scale]
    }
}

fn path(ring: impl Iterator<Item = Mm>) -> String {
    let mut d = String::new();
    for (i, [x, y]) in ring.enumerate() {
        let letter = if i == 0 { 'M' } else { 'L' };
        d += &format!("{letter}{x:.2} {y:.2}");
    }
    d + "z"
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::sample_job;
    use chrono::DateTime;

    #[test]
    fn it_fits_its_place_at_a_known_scale_and_the_bar_is_true() {
        let piece = sample_job(DateTime::UNIX_EPOCH).pieces.remove(0);
        let (wall, found) = (piece.wall(0).unwrap(), piece.footprint().unwrap());
        let flat = Flat::of(piece.shot(0), &wall, &found, 600_000).unwrap();
        for (system, unit) in [(System::Metric, "mm"), (System::UsCustomary, "in")] {
            for border in [0.0, 25.0, 400.0] {
                let paper = OnPaper::of(&flat, &[], Millimetres(border), system);
                assert!(SCALES.contains(&paper.scale));
                let [low, high] = paper.reach;
                for axis in [0, 1] {
                    let side = (high[axis] - low[axis]) / paper.scale;
                    assert!(side <= PLACE[axis], "{side}");
                }
                let [wide, tall] = paper.size();
                assert!(wide <= PLACE[0] + 2.0 * MARGIN + 1e-9);
                assert!(tall <= PLACE[1] + 2.0 * MARGIN + FOOT + 1e-9);
                let (line, [x, _], says) = &paper.bar;
                let long = x - low[0] - TICK * paper.scale;
                assert!(line.contains(&format!("h{long:.2}")), "{line}");
                assert_eq!(*says, show::length(Millimetres(long), system));
                assert!(says.contains(unit), "{says}");
                // Long enough to be read, and not wider than the paper.
                assert!(
                    (20.0..=wide * 1.3).contains(&(long / paper.scale)),
                    "{long}"
                );
            }
        }
    }
}
