//! Where the light of a picture rises, how steeply and to which side: the map that an outline
//! clings to.
//!
//! The picture is smoothed by a binomial of five pixels across and down, its slopes are taken
//! after Sobel, and a ridge is where the slope is steepest along its own direction (J. Canny, "A
//! computational approach to edge detection", IEEE PAMI 8, 1986).

use super::GreyView;

/// The edges of a picture, a byte a pixel in each list, row by row from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EdgeMap {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
    /// How steeply the light rises, in quarters of a level of grey a pixel; 255 is the most.
    pub strength: Vec<u8>,
    /// To which side it rises, in eighths of a turn from the right: 2 is downwards.
    pub toward: Vec<u8>,
    /// The strength of pixels on a ridge, and 0 beside it: lines of one pixel, or two where two
    /// are as steep.
    pub ridge: Vec<u8>,
}

/// Smoothed light has sixteen parts a level, and Sobel's sums weigh it eight times.
const UNITS: f32 = 4.0 / (16.0 * 8.0);
/// Pixels about the picture that repeat its border: two for smoothing, one for slopes.
const PAD: usize = 2;

impl EdgeMap {
    /// The edges of a picture.
    ///
    /// ```
    /// use peelcast::survey::{EdgeMap, GreyView};
    /// // Light on the right half.
    /// let data: Vec<u8> = (0..200).map(|i| if i % 20 < 10 { 40 } else { 200 }).collect();
    /// let edges = EdgeMap::of(&GreyView { width: 20, height: 10, data: &data });
    /// let row = 5 * 20;
    /// assert!(edges.ridge[row + 9] > 0 && edges.ridge[row + 7] == 0);
    /// assert_eq!(edges.toward[row + 9], 0);
    /// ```
    pub fn of(grey: &GreyView<'_>) -> Self {
        let (width, height) = (grey.width as usize, grey.height as usize);
        let count = width * height;
        let mut map = Self {
            width: grey.width,
            height: grey.height,
            strength: vec![0; count],
            toward: vec![0; count],
            ridge: vec![0; count],
        };
        if grey.data.len() != count || count == 0 {
            return map;
        }
        let mut lines = Lines::new(grey);
        // Three smoothed rows, the oldest of which is written over by the next.
        let mut rows = [lines.smoothed(0), lines.smoothed(0), lines.smoothed(1)];
        for y in 0..height {
            let [above, here, below] = &rows;
            let span = y * width..(y + 1) * width;
            slopes(
                [above, here, below],
                &mut map.strength[span.clone()],
                &mut map.toward[span],
            );
            rows.rotate_left(1);
            rows[2] = lines.smoothed(y + 2);
        }
        for y in 0..height {
            map.thin(y);
        }
        map
    }

    /// Finds a row's ridge pixels. Those of the border have no neighbours to be steeper than.
    fn thin(&mut self, y: usize) {
        let (width, height) = (self.width as usize, self.height as usize);
        if y == 0 || y + 1 >= height || width < 3 {
            return;
        }
        let row = |y: usize| &self.strength[y * width..(y + 1) * width];
        let (above, here, below) = (row(y - 1), row(y), row(y + 1));
        let toward = &self.toward[y * width..(y + 1) * width];
        let ridge = &mut self.ridge[y * width..(y + 1) * width];
        let inner = 1..width - 1;
        let triples = above.windows(3).zip(here.windows(3)).zip(below.windows(3));
        for (((ridge, toward), ((a, h), b)), _) in ridge[inner.clone()]
            .iter_mut()
            .zip(&toward[inner.clone()])
            .zip(triples)
            .zip(inner)
        {
            // An edge runs across its rise, so a turn by half leads to the same neighbours.
            let (one, other) = match toward & 3 {
                0 => (h[0], h[2]),
                1 => (a[0], b[2]),
                2 => (a[1], b[1]),
                _ => (a[2], b[0]),
            };
            let on_it = (h[1] >= one) & (h[1] >= other);
            *ridge = if on_it { h[1] } else { 0 };
        }
    }
}

/// Smoothed rows of a picture whose border goes on for ever.
struct Lines<'a> {
    grey: GreyView<'a>,
    /// A row smoothed downwards only, with its border repeated on both sides.
    tall: Vec<u16>,
}

impl<'a> Lines<'a> {
    fn new(grey: &GreyView<'a>) -> Self {
        Self {
            grey: *grey,
            tall: vec![0; grey.width as usize + 2 * PAD],
        }
    }

    /// A row of 16 parts a level, with one more pixel at each end.
    fn smoothed(&mut self, y: usize) -> Vec<u16> {
        let (width, last) = (self.grey.width as usize, self.grey.height as usize - 1);
        let row = |offset: usize| {
            let y = (y.min(last) + offset).saturating_sub(PAD).min(last);
            &self.grey.data[y * width..(y + 1) * width]
        };
        let (a, b, c, d, e) = (row(0), row(1), row(2), row(3), row(4));
        let tall = &mut self.tall[PAD..PAD + width];
        for (x, tall) in tall.iter_mut().enumerate() {
            let [a, b, c, d, e] = [a[x], b[x], c[x], d[x], e[x]].map(u16::from);
            *tall = a + e + 4 * (b + d) + 6 * c;
        }
        let (first, end) = (self.tall[PAD], self.tall[PAD + width - 1]);
        self.tall[..PAD].fill(first);
        self.tall[PAD + width..].fill(end);
        let mut wide = vec![0; width + 2];
        let tall = &self.tall;
        for (x, wide) in wide[1..=width].iter_mut().enumerate() {
            let [a, b, c, d, e] = [tall[x], tall[x + 1], tall[x + 2], tall[x + 3], tall[x + 4]];
            *wide = (a + e + 4 * (b + d) + 6 * c) >> 4;
        }
        wide[0] = wide[1];
        wide[width + 1] = wide[width];
        wide
    }
}

/// Strength and direction of a row from it and its neighbours, all with a pixel more at each end.
fn slopes(rows: [&[u16]; 3], strength: &mut [u8], toward: &mut [u8]) {
    let [a, b, c] = rows.map(|row| &row[..strength.len() + 2]);
    let toward = &mut toward[..strength.len()];
    for x in 0..strength.len() {
        let at = |row: &[u16], k: usize| i32::from(row[x + k]);
        let right = at(a, 2) - at(a, 0) + 2 * (at(b, 2) - at(b, 0)) + at(c, 2) - at(c, 0);
        let down = at(c, 0) - at(a, 0) + 2 * (at(c, 1) - at(a, 1)) + at(c, 2) - at(a, 2);
        let (fx, fy) = (right as f32, down as f32);
        strength[x] = ((fx * fx + fy * fy).sqrt() * UNITS).min(255.0) as u8;
        // The tangent of an eighth of a quarter turn and a half: 0.414.
        let (wide, tall) = (right.abs(), down.abs());
        let level = 1000 * tall < 414 * wide;
        let plumb = 1000 * wide < 414 * tall;
        let rightwards = right >= 0;
        let downwards = down >= 0;
        toward[x] = if level {
            if rightwards { 0 } else { 4 }
        } else if plumb {
            if downwards { 2 } else { 6 }
        } else if downwards {
            if rightwards { 1 } else { 3 }
        } else if rightwards {
            7
        } else {
            5
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bright disc on a dark ground, with soft edges.
    fn disc(side: u32, middle: f64, radius: f64) -> Vec<u8> {
        (0..side * side)
            .map(|i| {
                let (x, y) = (f64::from(i % side), f64::from(i / side));
                let inside = radius - (x - middle).hypot(y - middle);
                (60.0 + 120.0 * (inside + 0.5).clamp(0.0, 1.0)) as u8
            })
            .collect()
    }

    #[test]
    fn a_disc_has_a_thin_ridge_that_looks_inwards() {
        let data = disc(101, 50.0, 30.0);
        let edges = EdgeMap::of(&GreyView {
            width: 101,
            height: 101,
            data: &data,
        });
        let mut on_it = 0;
        for (i, ridge) in edges.ridge.iter().enumerate() {
            let (dx, dy) = ((i % 101) as f64 - 50.0, (i / 101) as f64 - 50.0);
            if *ridge < 20 {
                continue;
            }
            on_it += 1;
            assert!((dx.hypot(dy) - 30.0).abs() < 1.2, "a ridge at {dx} {dy}");
            let toward = f64::from(edges.toward[i]) * std::f64::consts::FRAC_PI_4;
            let inwards = (-dy).atan2(-dx);
            let off = (toward - inwards).sin().atan2((toward - inwards).cos());
            assert!(off.abs() < 0.5, "it rises to {toward}, not {inwards}");
        }
        // The circle's length in pixels, at most twice of it.
        assert!((150..400).contains(&on_it), "{on_it}");
    }

    #[test]
    fn strength_is_the_slope_in_quarters_of_a_level() {
        // Three levels a pixel to the right: a slope is not changed by smoothing.
        let data: Vec<u8> = (0..80 * 10).map(|i| (i % 80 * 3) as u8).collect();
        let edges = EdgeMap::of(&GreyView {
            width: 80,
            height: 10,
            data: &data,
        });
        assert_eq!(edges.strength[5 * 80 + 40], 12);
        assert_eq!(edges.toward[5 * 80 + 40], 0);
    }

    #[test]
    fn small_and_short_pictures_have_no_edges() {
        for (width, height, length) in [(0, 0, 0), (1, 1, 1), (2, 5, 10), (5, 2, 10), (4, 4, 3)] {
            let data = vec![7; length];
            let edges = EdgeMap::of(&GreyView {
                width,
                height,
                data: &data,
            });
            assert!(edges.ridge.iter().all(|r| *r == 0));
            assert_eq!(edges.strength.len(), (width * height) as usize);
        }
    }
}
