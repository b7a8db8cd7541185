//! A picture in shades of grey: what the finders of corners, ticks and outlines look at.

use super::Px;

/// Luma of red, green and blue (ITU-R BT.601) in whole numbers.
pub(crate) fn brightness(r: u32, g: u32, b: u32) -> u32 {
    (77 * r + 150 * g + 29 * b) >> 8
}

/// Brightness of an upright picture, a byte a pixel, row by row from the top left: 0 is black,
/// 255 white.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GreyView<'a> {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
    /// One byte a pixel.
    pub data: &'a [u8],
}

impl GreyView<'_> {
    /// The brightness at a place between pixels, mixed from the four about it; `None` where one
    /// of these is missing.
    ///
    /// ```
    /// use peelcast::survey::GreyView;
    /// let view = GreyView { width: 2, height: 1, data: &[10, 30] };
    /// assert_eq!(view.at([0.25, 0.0]), Some(15.0));
    /// assert_eq!(view.at([1.25, 0.0]), None);
    /// ```
    pub fn at(&self, px: Px) -> Option<f64> {
        let inside = |at: f64, side: u32| at >= 0.0 && at <= f64::from(side) - 1.0;
        if !(inside(px[0], self.width) && inside(px[1], self.height)) {
            return None;
        }
        let (column, row) = (px[0] as usize, px[1] as usize);
        let (fx, fy) = (px[0] - column as f64, px[1] - row as f64);
        let right = (column + 1).min(self.width as usize - 1);
        let low = (row + 1).min(self.height as usize - 1);
        let grey = |column: usize, row: usize| {
            self.data
                .get(row * self.width as usize + column)
                .copied()
                .map(f64::from)
        };
        let top = grey(column, row)? * (1.0 - fx) + grey(right, row)? * fx;
        let bottom = grey(column, low)? * (1.0 - fx) + grey(right, low)? * fx;
        Some(top * (1.0 - fy) + bottom * fy)
    }
}
