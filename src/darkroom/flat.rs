//! The wall laid flat: the photo seen square on, each pixel mixed from those about its place.
//!
//! Where a pixel of the flat picture lies in the photo is asked of the camera only at the knots
//! of a mesh; between them it is straight to a tenth of a flat pixel. Colours come from the
//! coarser squares, and the light between them from the photo's full brightness.

use super::MOST_FLAT_PX;
use super::photo::Photo;
use crate::say;
use crate::survey::{GreyView, Px, RectifiedFrame, RgbaView, Sight, brightness};
use crate::words::tr;

/// Pixels from knot to knot of the mesh.
const MESH: u32 = 8;
/// Rows of meshes between two words about the progress.
const ROWS_A_WORD: u32 = 8;

/// The part of the wall that `frame` shows: red, green, blue, opacity, row by row; clear where the
/// photo shows nothing.
pub(super) fn laid(
    photo: &Photo,
    sight: &Sight,
    frame: &RectifiedFrame,
    progress: &mut dyn FnMut(f64),
) -> Result<Vec<u8>, String> {
    let pixels = u64::from(frame.width) * u64::from(frame.height);
    if pixels == 0 || pixels > u64::from(MOST_FLAT_PX) {
        return Err(say!(
            "A flat picture of {width} x {height} pixels can't be made: it must have 1 to {MOST_FLAT_PX} in \
             all.",
            width = frame.width,
            height = frame.height,
            MOST_FLAT_PX
        ));
    }
    if sight.image_size_px != photo.size() {
        return Err(
            tr("The measure belongs to a photo of another size. Open the photo again.").into(),
        );
    }
    let mut sheet = Sheet {
        colours: photo.colours(),
        grey: photo.grey(),
        colour_axes: photo.colour_scale().axes(),
        grey_axes: photo.scale().axes(),
        width: frame.width as usize,
        rgba: vec![0; pixels as usize * 4],
    };
    let knots = frame.width.div_ceil(MESH);
    let row = |y: u32| -> Vec<Option<Px>> {
        let place = |x: u32| sight.to_photo(frame.to_wall([x, y].map(f64::from)));
        (0..=knots).map(|knot| place(knot * MESH)).collect()
    };
    let mut above = row(0);
    for top in (0..frame.height).step_by(MESH as usize) {
        let below = row(top + MESH);
        for knot in 0..knots as usize {
            let corners = [above[knot], above[knot + 1], below[knot], below[knot + 1]];
            let left = knot * MESH as usize;
            let size = [
                (frame.width as usize - left).min(MESH as usize),
                (frame.height - top).min(MESH) as usize,
            ];
            if let [Some(a), Some(b), Some(c), Some(d)] = corners {
                sheet.mesh([left, top as usize], size, [a, b, c, d]);
            } else {
                // The wall's horizon, or the fold of a lens, runs through: pixel by pixel.
                sheet.single([left, top as usize], size, |at| {
                    sight.to_photo(frame.to_wall(at.map(|n| n as f64)))
                });
            }
        }
        above = below;
        if (top / MESH).is_multiple_of(ROWS_A_WORD) {
            progress(f64::from(top) / f64::from(frame.height));
        }
    }
    Ok(sheet.rgba)
}

/// Places are counted in so many parts of a pixel.
const PARTS: f64 = 65_536.0;

/// The flat picture as far as it is drawn, and what it is drawn from.
struct Sheet<'a> {
    colours: RgbaView<'a>,
    grey: GreyView<'a>,
    colour_axes: [f64; 2],
    grey_axes: [f64; 2],
    width: usize,
    rgba: Vec<u8>,
}

impl Sheet<'_> {
    /// Draws one square of the mesh; `corners` are the photo's places of its upper left, upper
    /// right, lower left and lower right knot.
    fn mesh(&mut self, start: [usize; 2], size: [usize; 2], corners: [Px; 4]) {
        let inside = |axes: [f64; 2], sides: [u32; 2]| {
            corners.iter().all(|px| {
                let at = kept(*px, axes);
                [0, 1]
                    .iter()
                    .all(|&k| at[k] >= 0.0 && at[k] < f64::from(sides[k]) - 1.0)
            })
        };
        let [a, b, c, d] = corners;
        let whole = f64::from(MESH);
        if !(inside(self.colour_axes, [self.colours.width, self.colours.height])
            && inside(self.grey_axes, [self.grey.width, self.grey.height]))
        {
            self.single(start, size, |at| {
                let [fx, fy] = [0, 1].map(|k| (at[k] - start[k]) as f64 / whole);
                Some(between(between(a, b, fx), between(c, d, fx), fy))
            });
            return;
        }
        // Seen from so near that a pixel of the photo covers two of the flat picture, the light's
        // detail counts in full; where pixels of the photo have to be left out, not at all.
        let step = [0, 1].map(|k| (b[k] - a[k]).hypot(c[k] - a[k]) * self.grey_axes[k] / whole);
        let detail = ((2.0 - step[0].max(step[1])).clamp(0.0, 1.0) * 256.0) as i32;
        let finer = self.colours.width < self.grey.width && detail > 0;
        for row in 0..size[1] {
            let fy = row as f64 / whole;
            let (from, to) = (between(a, c, fy), between(b, d, fy));
            let line = ((start[1] + row) * self.width + start[0]) * 4;
            let line = &mut self.rgba[line..line + size[0] * 4];
            let colours = Walk::new(from, to, self.colour_axes);
            let pixels = line.as_chunks_mut::<4>().0;
            if finer {
                let grey = Walk::new(from, to, self.grey_axes);
                for (n, pixel) in pixels.iter_mut().enumerate() {
                    let colour = mixed(&self.colours, colours.at(n));
                    let [r, g, b] = [0, 1, 2].map(|k| u32::from(colour[k]));
                    let more = mixed_grey(&self.grey, grey.at(n)) - brightness(r, g, b) as i32;
                    *pixel = lit(colour, (more * detail) >> 8);
                }
            } else {
                for (n, pixel) in pixels.iter_mut().enumerate() {
                    *pixel = mixed(&self.colours, colours.at(n));
                }
            }
        }
    }

    /// Draws pixel by pixel, each at its own place, up to the very border of the photo.
    fn single(
        &mut self,
        start: [usize; 2],
        size: [usize; 2],
        place: impl Fn([usize; 2]) -> Option<Px>,
    ) {
        for y in start[1]..start[1] + size[1] {
            for x in start[0]..start[0] + size[0] {
                let pixel = place([x, y]).and_then(|px| self.at(px));
                let at = (y * self.width + x) * 4;
                self.rgba[at..at + 4].copy_from_slice(&pixel.unwrap_or([0; 4]));
            }
        }
    }

    /// The colour at a place of the photo; `None` outside.
    fn at(&self, px: Px) -> Option<[u8; 4]> {
        let inside = |axes: [f64; 2], sides: [u32; 2]| -> Option<[i32; 2]> {
            let at = kept(px, axes);
            let sides = sides.map(f64::from);
            let inside = [0, 1]
                .iter()
                .all(|&k| at[k] >= -0.5 && at[k] <= sides[k] - 0.5);
            // The outer half of a border pixel has that pixel's colour.
            let part = |k: usize| (at[k].clamp(0.0, sides[k] - 1.0) * PARTS) as i32;
            inside.then(|| [part(0), part(1)])
        };
        let grey = inside(self.grey_axes, [self.grey.width, self.grey.height])?;
        let last = [self.colours.width, self.colours.height].map(|n| f64::from(n) - 0.5);
        let at = kept(px, self.colour_axes);
        let at = [0, 1].map(|k| (at[k].min(last[k]).clamp(0.0, last[k] - 0.5) * PARTS) as i32);
        let colour = mixed(&self.colours, at);
        let [r, g, b] = [0, 1, 2].map(|k| u32::from(colour[k]));
        Some(lit(
            colour,
            mixed_grey(&self.grey, grey) - brightness(r, g, b) as i32,
        ))
    }
}

/// A place of the full picture among fewer pixels.
fn kept(px: Px, axes: [f64; 2]) -> Px {
    [0, 1].map(|k| (px[k] + 0.5) * axes[k] - 0.5)
}

fn between(a: Px, b: Px, share: f64) -> Px {
    [0, 1].map(|k| a[k] + (b[k] - a[k]) * share)
}

/// Equal steps along a row of a mesh, in parts of a pixel.
struct Walk {
    from: [i32; 2],
    step: [i32; 2],
}

impl Walk {
    fn new(from: Px, to: Px, axes: [f64; 2]) -> Self {
        let (from, to) = (kept(from, axes), kept(to, axes));
        Self {
            from: [0, 1].map(|k| (from[k] * PARTS) as i32),
            step: [0, 1].map(|k| ((to[k] - from[k]) * PARTS / f64::from(MESH)) as i32),
        }
    }

    #[inline(always)]
    fn at(&self, n: usize) -> [i32; 2] {
        [0, 1].map(|k| self.from[k] + self.step[k] * n as i32)
    }
}

/// The colour at a place in parts of a pixel, mixed from the four about it.
#[inline(always)]
fn mixed(view: &RgbaView<'_>, at: [i32; 2]) -> [u8; 4] {
    let [x, y] = at.map(|part| (part >> 16) as usize);
    let [fx, fy] = at.map(|part| u64::from((part as u32 >> 8) & 0xff));
    let (width, height) = (view.width as usize, view.height as usize);
    let right = (x + 1).min(width - 1);
    let low = (y + 1).min(height - 1);
    let pixels = view.bytes.as_chunks::<4>().0;
    let pixel = |x: usize, y: usize| spread(pixels.get(y * width + x).copied().unwrap_or_default());
    let top = pixel(x, y) * (256 - fx) + pixel(right, y) * fx;
    let bottom = pixel(x, low) * (256 - fx) + pixel(right, low) * fx;
    let (top, bottom) = ((top >> 8) & LANES, (bottom >> 8) & LANES);
    let both = top * (256 - fy) + bottom * fy + HALVES;
    let both = (both >> 8) & LANES;
    [0, 16, 32, 48].map(|lane| (both >> lane) as u8)
}

/// Four bytes in lanes of sixteen bits, so that one multiplication does all four.
const LANES: u64 = 0x00ff_00ff_00ff_00ff;
/// Half of the last place of each lane.
const HALVES: u64 = 0x0080_0080_0080_0080;

#[inline(always)]
fn spread(pixel: [u8; 4]) -> u64 {
    let [a, b, c, d] = pixel.map(u64::from);
    a | b << 16 | c << 32 | d << 48
}

/// The brightness at a place in parts of a pixel.
#[inline(always)]
fn mixed_grey(view: &GreyView<'_>, at: [i32; 2]) -> i32 {
    let [x, y] = at.map(|part| (part >> 16) as usize);
    let [fx, fy] = at.map(|part| (part >> 8) & 0xff);
    let (width, height) = (view.width as usize, view.height as usize);
    let right = (x + 1).min(width - 1);
    let low = (y + 1).min(height - 1);
    let grey =
        |x: usize, y: usize| i32::from(view.data.get(y * width + x).copied().unwrap_or_default());
    let top = grey(x, y) * (256 - fx) + grey(right, y) * fx;
    let bottom = grey(x, low) * (256 - fx) + grey(right, low) * fx;
    (top * (256 - fy) + bottom * fy + 0x8000) >> 16
}

/// A colour with so much more light.
#[inline(always)]
fn lit(colour: [u8; 4], more: i32) -> [u8; 4] {
    let [r, g, b] = [0, 1, 2].map(|k| (i32::from(colour[k]) + more).clamp(0, 255) as u8);
    [r, g, b, colour[3]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Millimetres;
    use crate::survey::{EdgeError, Evidence, ImageSize, WallProblem, fit_wall, footprint};

    const SIZE: ImageSize = ImageSize {
        width: 2600,
        height: 2000,
    };

    /// A photo in which each colour tells the place: red across, green down.
    fn photo() -> Photo {
        let mut photo = Photo::new(SIZE, SIZE);
        let pixel = |x: u32, y: u32| [(x / 11) as u8, (y / 8) as u8, 100, 255];
        let rows: Vec<u8> = (0..SIZE.height)
            .flat_map(|y| (0..SIZE.width).flat_map(move |x| pixel(x, y)))
            .collect();
        photo.push(&rows);
        photo
    }

    /// A tilted sheet of 400 x 300 mm, and a frame about it.
    fn scene(margin: f64, most: u32) -> (Sight, RectifiedFrame) {
        let seen = [
            ([500.0, 400.0], [0.0, 0.0]),
            ([2200.0, 500.0], [400.0, 0.0]),
            ([2100.0, 1600.0], [400.0, 300.0]),
            ([520.0, 1700.0], [0.0, 300.0]),
        ];
        let marks = seen.map(|(px, mm)| Evidence::point(px, mm));
        let wall = fit_wall(&WallProblem::new(SIZE, marks.to_vec())).unwrap();
        let print = footprint(&wall, &seen.map(|(px, _)| px), &[], EdgeError::points(0.5)).unwrap();
        let frame = RectifiedFrame::around(&wall, &print, Millimetres(margin), most);
        (wall.sight(), frame)
    }

    #[test]
    fn each_pixel_shows_its_place_and_nothing_is_shown_beyond_the_photo() {
        let photo = photo();
        for most in [MOST_FLAT_PX, 60_000] {
            let (sight, frame) = scene(200.0, most);
            let mut words = Vec::new();
            let flat = laid(&photo, &sight, &frame, &mut |share| words.push(share)).unwrap();
            assert!(words.is_sorted() && words.iter().all(|w| (0.0..=1.0).contains(w)));
            let (mut shown, mut clear) = (0, 0);
            for (n, pixel) in flat.as_chunks::<4>().0.iter().enumerate() {
                let at = [n as u32 % frame.width, n as u32 / frame.width].map(f64::from);
                let px = sight.to_photo(frame.to_wall(at)).unwrap();
                let inside = |k: usize, side: u32| {
                    let to_border = (px[k] + 0.5).min(f64::from(side) - 0.5 - px[k]);
                    // A flat pixel of the coarse frame covers eight of the photo.
                    (to_border.abs() > 1.0).then_some(to_border > 0.0)
                };
                match (inside(0, SIZE.width), inside(1, SIZE.height)) {
                    (Some(true), Some(true)) => {
                        let off = |k: usize, side: f64| f64::from(pixel[k]) - px[k] / side;
                        assert!(off(0, 11.0).abs() < 2.0, "{pixel:?} at {px:?}");
                        assert!(off(1, 8.0).abs() < 2.0, "{pixel:?} at {px:?}");
                        assert_eq!(pixel[3], 255);
                        shown += 1;
                    }
                    (Some(false), _) | (_, Some(false)) => {
                        assert_eq!(*pixel, [0; 4], "at {px:?}");
                        clear += 1;
                    }
                    _ => (),
                }
            }
            assert!(shown > flat.len() / 8 && clear > 1000, "{shown} {clear}");
        }
    }

    #[test]
    fn what_cannot_be_laid_flat_is_refused_in_words() {
        let (sight, frame) = scene(10.0, 1000);
        let small = ImageSize {
            width: 1300,
            height: 1000,
        };
        let mut other = Photo::new(small, small);
        other.push(&vec![0; 1300 * 1000 * 4]);
        let said = laid(&other, &sight, &frame, &mut |_| ()).unwrap_err();
        assert!(said.contains("another size"), "{said}");
        let huge = RectifiedFrame {
            width: 40_000,
            height: 40_000,
            ..frame
        };
        let said = laid(&photo(), &sight, &huge, &mut |_| ()).unwrap_err();
        assert!(said.contains("40000 x 40000"), "{said}");
    }
}
