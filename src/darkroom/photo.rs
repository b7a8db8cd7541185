//! What is kept of a photo: its light in full, its colours in fewer pixels.

use crate::survey::{GreyView, ImageSize, Px, RgbaView, brightness};

/// The most pixels that are kept of a photo's light. A finer photo is decoded to a smaller size:
/// a place is then known to a third of a pixel less, and the memory stays bounded.
pub const MOST_PIXELS: u64 = 12_600_000;
/// The most pixels that are kept of its colours. A camera's JPEG holds no more: it stores colours
/// at half the width and height of its light (chroma subsampling 4:2:0).
const MOST_COLOURED: u64 = 3_200_000;

/// A photo as it is kept: a byte of brightness for each pixel, and the colours of squares of
/// pixels.
///
/// Memory for 12 megapixels: 12 MB of brightness and 12 MB of colours.
pub struct Photo {
    full: ImageSize,
    kept: ImageSize,
    grey: Vec<u8>,
    /// Side of the squares whose mean colour is kept, in pixels; 0 where none is.
    side: u32,
    colours: Picture,
}

/// Pixels of one's own: red, green, blue and opacity.
pub(super) struct Picture {
    pub width: u32,
    pub height: u32,
    pub bytes: Vec<u8>,
}

/// How many kept pixels a pixel of the full picture is, across and down.
#[derive(Clone, Copy)]
pub(super) struct Scale([f64; 2]);

impl Photo {
    /// The size to which a photo of so many pixels is to be decoded.
    pub fn decoded(full: ImageSize) -> ImageSize {
        let scale = (MOST_PIXELS as f64 / full.pixels() as f64).sqrt();
        if scale >= 1.0 {
            return full;
        }
        let side = |n: u32| ((f64::from(n) * scale) as u32).max(1);
        ImageSize {
            width: side(full.width),
            height: side(full.height),
        }
    }

    /// A photo of `full` size whose rows, of `decoded` size, are still to be [pushed](Self::push).
    pub fn new(full: ImageSize, decoded: ImageSize) -> Self {
        let mut side = 1;
        while decoded.pixels() > MOST_COLOURED * u64::from(side * side) {
            side += 1;
        }
        let colours = Picture::of(decoded.width.div_ceil(side), decoded.height.div_ceil(side));
        Self {
            full,
            kept: decoded,
            grey: Vec::with_capacity(decoded.pixels() as usize),
            side,
            colours,
        }
    }

    /// The same of which only the light is kept: half the memory.
    pub fn of_light(full: ImageSize, decoded: ImageSize) -> Self {
        Self {
            full,
            kept: decoded,
            grey: Vec::with_capacity(decoded.pixels() as usize),
            side: 0,
            colours: Picture::of(0, 0),
        }
    }

    /// How many rows are to be pushed at a time, or a multiple of that.
    pub fn rows(&self) -> u32 {
        self.side.max(1)
    }

    /// Takes in the next rows: red, green, blue, opacity. What comes after the last row is left
    /// out.
    pub fn push(&mut self, rgba: &[u8]) {
        let width = self.kept.width as usize;
        let missing = self.kept.pixels() as usize - self.grey.len();
        let pixels = &rgba.as_chunks::<4>().0;
        let pixels = &pixels[..pixels.len().min(missing)];
        self.grey.extend(pixels.iter().map(grey));
        if self.side == 0 {
            return;
        }
        for square_row in pixels.chunks(width * self.side as usize) {
            self.colours.push_means(square_row, width, self.side);
        }
    }

    /// Whether every row has been pushed.
    pub fn is_whole(&self) -> bool {
        self.grey.len() as u64 == self.kept.pixels()
    }

    /// The size of the upright full-size picture.
    pub fn size(&self) -> ImageSize {
        self.full
    }

    /// The size in which its light is kept.
    pub(super) fn kept_size(&self) -> ImageSize {
        self.kept
    }

    /// The brightness of all kept pixels.
    pub fn grey(&self) -> GreyView<'_> {
        GreyView {
            width: self.kept.width,
            height: self.kept.height,
            data: &self.grey,
        }
    }

    /// The colours, of squares of pixels.
    pub fn colours(&self) -> RgbaView<'_> {
        self.colours.view()
    }

    /// From pixels of the full picture to those that [`Self::grey`] has.
    pub(super) fn scale(&self) -> Scale {
        Scale::between(
            self.full,
            [self.kept.width, self.kept.height].map(f64::from),
        )
    }

    /// From pixels of the full picture to those that [`Self::colours`] has. The last square of a
    /// row may hold fewer pixels, but all squares count the same.
    pub(super) fn colour_scale(&self) -> Scale {
        Scale(
            self.scale()
                .0
                .map(|kept| kept / f64::from(self.side.max(1))),
        )
    }

    pub(super) fn coloured(&self) -> &Picture {
        &self.colours
    }
}

fn grey(pixel: &[u8; 4]) -> u8 {
    let [r, g, b, _] = pixel.map(u32::from);
    brightness(r, g, b) as u8
}

impl Picture {
    /// A picture whose rows are still to come.
    fn of(width: u32, height: u32) -> Self {
        Self {
            width,
            height,
            bytes: Vec::with_capacity(width as usize * height as usize * 4),
        }
    }

    pub fn view(&self) -> RgbaView<'_> {
        RgbaView {
            width: self.width,
            height: self.height,
            bytes: &self.bytes,
        }
    }

    /// Adds one row of means over squares; `pixels` are at most `side` rows of `width`.
    fn push_means(&mut self, pixels: &[[u8; 4]], width: usize, side: u32) {
        if side == 1 {
            self.bytes.extend_from_slice(pixels.as_flattened());
            return;
        }
        for left in (0..width).step_by(side as usize) {
            let right = (left + side as usize).min(width);
            let mut sums = [0_u32; 4];
            let mut count = 0;
            for row in pixels.chunks(width) {
                for pixel in row.get(left..right).unwrap_or_default() {
                    for (sum, channel) in sums.iter_mut().zip(pixel) {
                        *sum += u32::from(*channel);
                    }
                    count += 1;
                }
            }
            let count = count.max(1);
            self.bytes
                .extend(sums.map(|sum| ((sum + count / 2) / count) as u8));
        }
    }

    /// A part of this picture, `[from, to)` across and down, as means over squares.
    pub fn part(&self, across: [u32; 2], down: [u32; 2], side: u32) -> Self {
        let width = (across[1] - across[0]) as usize;
        let high = down[1] - down[0];
        let mut part = Self::of((width as u32).div_ceil(side), high.div_ceil(side));
        let pixels = self.bytes.as_chunks::<4>().0;
        let mut rows = Vec::with_capacity(width * side as usize);
        for top in (down[0]..down[1]).step_by(side as usize) {
            rows.clear();
            for y in top..(top + side).min(down[1]) {
                let start = (y * self.width + across[0]) as usize;
                rows.extend_from_slice(&pixels[start..start + width]);
            }
            part.push_means(&rows, width, side);
        }
        part
    }
}

impl Scale {
    fn between(full: ImageSize, kept: [f64; 2]) -> Self {
        Self([
            kept[0] / f64::from(full.width),
            kept[1] / f64::from(full.height),
        ])
    }

    /// Across and down.
    pub fn axes(self) -> [f64; 2] {
        self.0
    }

    /// The scale of a length in any direction.
    pub fn length(self) -> f64 {
        (self.0[0] + self.0[1]) / 2.0
    }

    /// Where a place of the full picture is kept. Pixels are counted from their middles, the
    /// picture from its border.
    pub fn kept(self, px: Px) -> Px {
        [0, 1].map(|k| (px[k] + 0.5) * self.0[k] - 0.5)
    }

    /// The place of the full picture that is kept there.
    pub fn full(self, px: Px) -> Px {
        [0, 1].map(|k| (px[k] + 0.5) / self.0[k] - 0.5)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(width: u32, height: u32) -> ImageSize {
        ImageSize { width, height }
    }

    #[test]
    fn a_photo_of_48_megapixels_is_decoded_to_a_quarter() {
        assert_eq!(Photo::decoded(size(4000, 3000)), size(4000, 3000));
        let decoded = Photo::decoded(size(8000, 6000));
        assert!(decoded.pixels() <= MOST_PIXELS && decoded.width > 4000);
        let photo = Photo::new(size(8000, 6000), decoded);
        let px = [7999.5, -0.5];
        let kept = photo.scale().kept(px);
        assert!((kept[0] - (f64::from(decoded.width) - 0.5)).abs() < 1e-9);
        assert!((kept[1] + 0.5).abs() < 1e-9);
        let back = photo.scale().full(kept);
        assert!((back[0] - px[0]).abs() < 1e-9 && (back[1] - px[1]).abs() < 1e-9);
    }

    #[test]
    fn rows_come_in_as_strips_and_give_light_and_colours() {
        let decoded = size(2500, 1301);
        let mut photo = Photo::new(decoded, decoded);
        assert_eq!(photo.rows(), 2);
        let rows: Vec<u8> = (0..1301_u32)
            .flat_map(|y| (0..2500_u32).flat_map(move |x| [x as u8, y as u8, 7, 255]))
            .collect();
        for strip in rows.chunks(2500 * 4 * 64) {
            assert!(!photo.is_whole());
            photo.push(strip);
        }
        assert!(photo.is_whole());
        let colours = photo.colours();
        assert_eq!((colours.width, colours.height), (1250, 651));
        assert_eq!(colours.bytes.len(), 1250 * 651 * 4);
        // The mean of 2, 3 and of 4, 5, rounded up; the last row holds a row of its own.
        assert_eq!(colours.bytes[(2 * 1250 + 1) * 4..][..4], [3, 5, 7, 255]);
        assert_eq!(colours.bytes[650 * 1250 * 4..][..4], [1, 20, 7, 255]);
        assert_eq!(photo.grey().data[2500 * 3 + 2], brightness(2, 3, 7) as u8);
    }

    #[test]
    fn a_part_is_cut_out_and_reduced() {
        let whole = Picture {
            width: 4,
            height: 3,
            bytes: (0..12).flat_map(|i| [i * 10, 0, 0, 255]).collect(),
        };
        let part = whole.part([1, 4], [0, 3], 2);
        let red: Vec<u8> = part.bytes.chunks(4).map(|p| p[0]).collect();
        assert_eq!((part.width, part.height), (2, 2));
        // Means of 1 2 5 6, of 3 7, of 9 10 and of 11, times ten.
        assert_eq!(red, [35, 50, 95, 110]);
    }
}
