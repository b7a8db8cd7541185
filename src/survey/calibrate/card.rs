//! What the record keeps of a lens, and which photos it fits.

use crate::survey::{ImageSize, Lens, Px};
use serde::{Deserialize, Serialize};

/// A measured lens: of one camera, at one focal length.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LensCard {
    /// The camera's model, as its photos' EXIF has it.
    pub model: String,
    /// The focal length that EXIF has, in millimetres: a phone's ultra-wide and tele are other
    /// lenses.
    pub focal_mm: Option<f64>,
    /// The size of the upright pictures it was measured on.
    pub size: ImageSize,
    /// The lens in pictures of that size.
    pub lens: Lens,
    /// How many photos it comes from.
    pub views: u32,
    /// Root mean square of the corners' distance from where the lens has them, in pixels.
    pub rms_px: f64,
}

/// EXIF gives focal lengths to a hundredth of a millimetre or so.
const SAME_FOCAL: f64 = 0.005;
/// Sizes whose sides' ratios differ by less are the same picture made smaller: sides are whole
/// pixels.
const SAME_SHAPE: f64 = 0.003;

impl LensCard {
    /// The lens in a photo, if it was taken with it: the same model and focal length, and a
    /// picture of the same shape, either way up and of any size.
    ///
    /// A photo held the other way up is taken to be turned as phones are: a quarter
    /// counter-clockwise from lying to upright (EXIF's orientation 6).
    ///
    /// ```
    /// use peelcast::survey::calibrate::LensCard;
    /// use peelcast::survey::{ImageSize, Lens};
    /// let size = ImageSize { width: 4000, height: 3000 };
    /// let lens = Lens {
    ///     focal_px: 3000.0, focal_sd_px: 6.0, center_px: [2010.0, 1490.0],
    ///     k1: 0.01, k2: 0.0, k_sd: 0.002,
    /// };
    /// let model = "Made-up 1".to_owned();
    /// let card = LensCard { model, focal_mm: Some(5.4), size, lens, views: 5, rms_px: 0.2 };
    /// let half = ImageSize { width: 2000, height: 1500 };
    /// let there = card.fits("Made-up 1", Some(5.4), half).unwrap();
    /// assert_eq!(there.focal_px, 1500.0);
    /// assert_eq!(card.fits("Made-up 1", Some(2.2), half), None);
    /// ```
    pub fn fits(&self, model: &str, focal_mm: Option<f64>, size: ImageSize) -> Option<Lens> {
        let same_focal = match (self.focal_mm, focal_mm) {
            (Some(own), Some(other)) => (own - other).abs() <= SAME_FOCAL * own,
            (None, None) => true,
            _ => false,
        };
        if self.model != model || !same_focal {
            return None;
        }
        let turn = upright(self.size) != upright(size);
        let (from, center) = if turn {
            let from = ImageSize {
                width: self.size.height,
                height: self.size.width,
            };
            let center = turned(self.lens.center_px, self.size);
            (from, center)
        } else {
            (self.size, self.lens.center_px)
        };
        let shape = |size: ImageSize| f64::from(size.width) / f64::from(size.height);
        if (shape(from) / shape(size) - 1.0).abs() > SAME_SHAPE {
            return None;
        }
        let scale = size.longer() / from.longer();
        Some(Lens {
            focal_px: self.lens.focal_px * scale,
            focal_sd_px: self.lens.focal_sd_px * scale,
            // The first pixel's middle is zero, so that the picture begins at minus a half.
            center_px: center.map(|c| (c + 0.5) * scale - 0.5),
            ..self.lens
        })
    }
}

/// Whether a picture stands.
fn upright(size: ImageSize) -> bool {
    size.height > size.width
}

/// Where a place of a picture of this size is when the phone is held the other way up: pictures
/// that lie are turned clockwise to stand, as by EXIF's orientation 6.
pub(super) fn turned(px: Px, size: ImageSize) -> Px {
    if upright(size) {
        [px[1], f64::from(size.width) - 1.0 - px[0]]
    } else {
        [f64::from(size.height) - 1.0 - px[1], px[0]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card() -> LensCard {
        LensCard {
            model: "Made-up 1".into(),
            focal_mm: Some(5.43),
            size: ImageSize {
                width: 4000,
                height: 3000,
            },
            lens: Lens {
                focal_px: 3000.0,
                focal_sd_px: 6.0,
                center_px: [2010.0, 1490.0],
                k1: 0.01,
                k2: -0.002,
                k_sd: 0.002,
            },
            views: 5,
            rms_px: 0.2,
        }
    }

    #[test]
    fn a_standing_photo_has_its_centre_turned_and_back_again() {
        let size = ImageSize {
            width: 3000,
            height: 4000,
        };
        let there = card().fits("Made-up 1", Some(5.43), size).unwrap();
        assert_eq!(there.center_px, [2999.0 - 1490.0, 2010.0]);
        let mut back = card();
        back.size = size;
        back.lens = there;
        let again = back.fits("Made-up 1", Some(5.43), card().size).unwrap();
        assert_eq!(again, card().lens);
    }

    #[test]
    fn a_smaller_picture_has_the_same_view() {
        let size = ImageSize {
            width: 1600,
            height: 1200,
        };
        let there = card().fits("Made-up 1", Some(5.43), size).unwrap();
        // The ray through the border of the first pixel.
        let ray = |lens: &Lens| (-0.5 - lens.center_px[0]) / lens.focal_px;
        assert!((ray(&there) - ray(&card().lens)).abs() < 1e-12);
        assert!((there.focal_sd_px - 2.4).abs() < 1e-12);
    }

    #[test]
    fn another_camera_lens_or_shape_is_refused() {
        let size = card().size;
        let wide = ImageSize {
            width: 4000,
            height: 2250,
        };
        assert!(card().fits("Made-up 2", Some(5.43), size).is_none());
        assert!(card().fits("Made-up 1", Some(2.2), size).is_none());
        assert!(card().fits("Made-up 1", None, size).is_none());
        assert!(card().fits("Made-up 1", Some(5.43), wide).is_none());
        assert!(card().fits("Made-up 1", Some(5.432), size).is_some());
    }
}
