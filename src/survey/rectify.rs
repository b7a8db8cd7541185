//! The rectified picture: the wall seen square on, in true units, so that a person can see that
//! the measure is right.

use super::{Footprint, Mm, Wall};
use crate::quantity::Millimetres;
use serde::{Deserialize, Serialize};

/// Pixels as a browser hands them out: red, green, blue, alpha, row by row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RgbaView<'a> {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
    /// Four bytes a pixel.
    pub bytes: &'a [u8],
}

/// Which part of the wall is shown, how large, and which way up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RectifiedFrame {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
    /// Size of a pixel on the wall, in millimetres.
    pub mm_per_px: f64,
    /// The place on the wall at the middle of the first pixel.
    pub origin: Mm,
    /// The wall's direction that is shown to the right: one of its axes, as the photo sees it.
    pub right: Mm,
    /// The wall's direction that is shown downwards.
    pub down: Mm,
}

/// Where the lines of a grid in true units are drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GridLines {
    /// From one line to the next.
    pub step: Millimetres,
    /// The upright lines' places from the left, in pixels of the frame.
    pub upright: Vec<f64>,
    /// The level lines' places from the top, in pixels of the frame.
    pub level: Vec<f64>,
}

/// A round step (1, 2 or 5 times a power of ten) that divides `span` into about `lines` parts.
///
/// ```
/// use peelcast::quantity::Millimetres;
/// use peelcast::survey::grid_step;
/// assert_eq!(grid_step(Millimetres(430.0), 8), Millimetres(50.0));
/// assert_eq!(grid_step(Millimetres(90.0), 8), Millimetres(10.0));
/// ```
pub fn grid_step(span: Millimetres, lines: u32) -> Millimetres {
    let wanted = span.0 / f64::from(lines.max(1));
    if !(wanted > 0.0 && wanted.is_finite()) {
        return Millimetres(1.0);
    }
    let ten = 10_f64.powf(wanted.log10().floor());
    let share = wanted / ten;
    // The borders are the geometric means of the steps on both sides.
    let round = match share {
        s if s < 2_f64.sqrt() => 1.0,
        s if s < 10_f64.sqrt() => 2.0,
        s if s < 50_f64.sqrt() => 5.0,
        _ => 10.0,
    };
    Millimetres(round * ten)
}

impl RectifiedFrame {
    /// A frame around the outline with a margin on the wall, as fine as the photo but of no more
    /// than `max_px` pixels in all.
    pub fn around(wall: &Wall, footprint: &Footprint, margin: Millimetres, max_px: u32) -> Self {
        let (right, down) = upright(wall, footprint);
        let along = |axis: Mm| {
            let (low, high) = footprint
                .outline_mm
                .iter()
                .map(|p| p[0] * axis[0] + p[1] * axis[1])
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                    (low.min(x), high.max(x))
                });
            (low - margin.0, high + margin.0)
        };
        let ((left, far), (top, low)) = (along(right), along(down));
        let (wide, high) = (far - left, low - top);
        let coarsest = (wide * high / f64::from(max_px.max(1))).sqrt();
        let mm_per_px = finest(wall, footprint).max(coarsest);
        let origin = [0, 1].map(|k| left * right[k] + top * down[k]);
        // Rounding up may pass `max_px` by a row; rounding down never does.
        let pixels = |span: f64| ((span / mm_per_px).floor() as u32).max(1);
        Self {
            width: pixels(wide),
            height: pixels(high),
            mm_per_px,
            origin,
            right,
            down,
        }
    }

    /// The place on the wall that a point of the frame shows.
    pub fn to_wall(&self, at: [f64; 2]) -> Mm {
        [0, 1].map(|k| {
            self.origin[k] + self.mm_per_px * (at[0] * self.right[k] + at[1] * self.down[k])
        })
    }

    /// The point of the frame that shows a place on the wall.
    pub fn to_frame(&self, mm: Mm) -> [f64; 2] {
        let d = [mm[0] - self.origin[0], mm[1] - self.origin[1]];
        [self.right, self.down].map(|axis| (d[0] * axis[0] + d[1] * axis[1]) / self.mm_per_px)
    }

    /// The lines of a grid through round places from the frame's upper left corner.
    pub fn grid(&self, step: Millimetres) -> GridLines {
        let lines = |pixels: u32| {
            let apart = step.0 / self.mm_per_px;
            let count = if apart > 1.0 {
                (f64::from(pixels) / apart).floor() as u32
            } else {
                0
            };
            (1..=count).map(|i| f64::from(i) * apart).collect()
        };
        GridLines {
            step,
            upright: lines(self.width),
            level: lines(self.height),
        }
    }
}

/// The wall's axes that the photo sees to the right and downwards at the outline's middle, so
/// that the rectified picture is neither turned nor mirrored.
fn upright(wall: &Wall, footprint: &Footprint) -> (Mm, Mm) {
    let n = footprint.outline_mm.len() as f64;
    let middle = [0, 1].map(|k| footprint.outline_mm.iter().map(|p| p[k]).sum::<f64>() / n);
    let seen = |axis: Mm| {
        let a = wall.to_photo([middle[0] - axis[0], middle[1] - axis[1]]);
        let b = wall.to_photo([middle[0] + axis[0], middle[1] + axis[1]]);
        match (a, b) {
            (Some(a), Some(b)) => [b[0] - a[0], b[1] - a[1]],
            _ => axis,
        }
    };
    let (x, y) = (seen([1.0, 0.0]), seen([0.0, 1.0]));
    let sign = |v: f64| if v < 0.0 { -1.0 } else { 1.0 };
    if x[0].abs() * y[1].abs() >= x[1].abs() * y[0].abs() {
        ([sign(x[0]), 0.0], [0.0, sign(y[1])])
    } else {
        ([0.0, sign(y[0])], [sign(x[1]), 0.0])
    }
}

/// The smallest size of a photo's pixel on the wall along the outline, in millimetres.
fn finest(wall: &Wall, footprint: &Footprint) -> f64 {
    const STEP: f64 = 0.1;
    footprint
        .outline_mm
        .iter()
        .filter_map(|p| {
            let here = wall.to_photo(*p)?;
            let right = wall.to_photo([p[0] + STEP, p[1]])?;
            let down = wall.to_photo([p[0], p[1] + STEP])?;
            let pixels = |b: [f64; 2]| (b[0] - here[0]).hypot(b[1] - here[1]);
            Some(STEP / pixels(right).max(pixels(down)))
        })
        .fold(f64::INFINITY, f64::min)
        .clamp(1e-3, 1e3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{EdgeError, Evidence, ImageSize, Px, WallProblem, fit_wall, footprint};

    /// A photo of 60 x 40 in which the wall's x runs down and its y to the left, 2 mm a pixel.
    fn turned() -> (Wall, Footprint) {
        let mm = |px: Px| [px[1] * 2.0, 120.0 - px[0] * 2.0];
        let corners = [[5.0, 5.0], [55.0, 5.0], [55.0, 35.0], [5.0, 35.0]];
        let size = ImageSize {
            width: 60,
            height: 40,
        };
        let marks = corners.map(|px| Evidence::point(px, mm(px)));
        let wall = fit_wall(&WallProblem {
            point_sd_px: 0.1,
            ..WallProblem::new(size, marks.to_vec())
        })
        .unwrap();
        let outline = [[10.0, 10.0], [30.0, 10.0], [30.0, 20.0], [10.0, 20.0]];
        let print = footprint(&wall, &outline, &[], EdgeError::points(0.1)).unwrap();
        (wall, print)
    }

    #[test]
    fn the_frame_stands_as_the_photo_does() {
        let (wall, print) = turned();
        let frame = RectifiedFrame::around(&wall, &print, Millimetres(0.0), 1_000_000);
        assert_eq!((frame.right, frame.down), ([0.0, -1.0], [1.0, 0.0]));
        assert!((frame.mm_per_px - 2.0).abs() < 1e-6, "{frame:?}");
        let back = frame.to_frame(frame.to_wall([7.0, 3.0]));
        assert!((back[0] - 7.0).abs() < 1e-9 && (back[1] - 3.0).abs() < 1e-9);
    }

    #[test]
    fn the_frame_holds_to_its_size() {
        let (wall, print) = turned();
        let frame = RectifiedFrame::around(&wall, &print, Millimetres(10.0), 100);
        assert!(frame.width * frame.height <= 100, "{frame:?}");
        let lines = frame.grid(Millimetres(20.0));
        assert!((lines.upright[0] * frame.mm_per_px - 20.0).abs() < 1e-9);
    }
}
