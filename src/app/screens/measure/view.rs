//! Where the picture lies on the stage: photo pixels to CSS pixels and back, zoom and pan.

/// A place or a step: in photo pixels or in CSS pixels of the stage, as the name says.
pub type Place = [f64; 2];

/// The most that a picture may be enlarged, in CSS pixels for one photo pixel. Beyond this only
/// blur grows.
const CLOSEST: f64 = 12.0;
/// How far an enlarged picture may be pulled off an edge, as a share of the stage, so that its
/// corners can be brought to the middle, away from the thumb.
const SLACK: f64 = 0.3;

/// A picture on a stage, scaled and shifted, never turned.
///
/// Photo pixel (0, 0) is the centre of the first pixel, so its left edge lies at -0.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// CSS pixels for one photo pixel.
    pub scale: f64,
    /// Where the picture's top left edge lies on the stage, in CSS pixels.
    pub offset: Place,
    /// Size of the picture in photo pixels.
    pub photo: Place,
    /// Size of the stage in CSS pixels.
    pub stage: Place,
}

impl View {
    /// The whole picture, as large as the stage allows, in its middle.
    pub fn whole(photo: Place, stage: Place) -> Self {
        let scale = fitting_scale(photo, stage);
        Self {
            scale,
            offset: [0, 1].map(|i| (stage[i] - photo[i] * scale) / 2.0),
            photo,
            stage,
        }
    }

    /// CSS pixels of the stage from photo pixels.
    pub fn to_stage(self, px: Place) -> Place {
        [0, 1].map(|i| (px[i] + 0.5) * self.scale + self.offset[i])
    }

    /// Photo pixels from CSS pixels of the stage.
    pub fn to_photo(self, at: Place) -> Place {
        [0, 1].map(|i| (at[i] - self.offset[i]) / self.scale - 0.5)
    }

    /// A step on the stage as a step on the photo.
    pub fn step(self, by: Place) -> Place {
        by.map(|b| b / self.scale)
    }

    /// The nearest photo pixel that is on the picture.
    pub fn on_picture(self, px: Place) -> Place {
        [0, 1].map(|i| px[i].clamp(-0.5, (self.photo[i] - 0.5).max(-0.5)))
    }

    /// The picture's place on the stage, as a transform of CSS.
    pub fn in_css(self) -> String {
        let Self { scale, offset, .. } = self;
        format!("translate({}px, {}px) scale({scale})", offset[0], offset[1])
    }

    /// Shifted by a step on the stage.
    pub fn panned(self, by: Place) -> Self {
        let offset = [0, 1].map(|i| self.offset[i] + by[i]);
        Self { offset, ..self }.held()
    }

    /// Enlarged by `factor` while what lies at `about` stays there.
    pub fn zoomed(self, about: Place, factor: f64) -> Self {
        self.pinched([about, about], factor)
    }

    /// Enlarged by `factor` while what lay at `centres[0]` moves to `centres[1]`: two fingers.
    pub fn pinched(self, centres: [Place; 2], factor: f64) -> Self {
        let widest = fitting_scale(self.photo, self.stage);
        let scale = (self.scale * factor).clamp(widest, widest.max(CLOSEST));
        let grown = scale / self.scale;
        let [from, to] = centres;
        let offset = [0, 1].map(|i| to[i] - (from[i] - self.offset[i]) * grown);
        Self {
            scale,
            offset,
            ..self
        }
        .held()
    }

    /// On a stage of another size: the whole picture stays whole, and an enlarged one keeps its
    /// scale. What stands below the stage grows and shrinks while marks are set, so a change of
    /// height alone moves the picture no further than it must; otherwise the middle stays.
    pub fn restaged(self, stage: Place) -> Self {
        let fit = fitting_scale(self.photo, stage);
        if self.is_whole() && self.scale != fit {
            return Self::whole(self.photo, stage);
        }
        let turned = stage[0] != self.stage[0];
        let shift = |i: usize| {
            if turned {
                (stage[i] - self.stage[i]) / 2.0
            } else {
                0.0
            }
        };
        let offset = [0, 1].map(|i| self.offset[i] + shift(i));
        let scale = self.scale.max(fit);
        Self {
            scale,
            offset,
            stage,
            ..self
        }
        .held()
    }

    /// Shifted just so far that `px` lies at least `margin` CSS pixels inside the stage.
    pub fn showing(self, px: Place, margin: f64) -> Self {
        let at = self.to_stage(px);
        let by = [0, 1].map(|i| {
            let margin = margin.min(self.stage[i] / 2.0);
            at[i].clamp(margin, self.stage[i] - margin) - at[i]
        });
        self.panned(by)
    }

    /// Whether the whole picture is shown.
    pub fn is_whole(self) -> bool {
        self.scale <= fitting_scale(self.photo, self.stage) * 1.001
    }

    /// How many times larger than the whole picture.
    pub fn magnification(self) -> f64 {
        self.scale / fitting_scale(self.photo, self.stage)
    }

    /// Kept from being lost beside the stage.
    fn held(self) -> Self {
        let grown = (self.magnification() - 1.0).min(1.0);
        let offset = [0, 1].map(|i| {
            let size = self.photo[i] * self.scale;
            let room = self.stage[i] - size;
            let slack = self.stage[i] * SLACK * grown;
            if room >= 0.0 {
                self.offset[i].clamp(-slack, room + slack)
            } else {
                self.offset[i].clamp(room - slack, slack)
            }
        });
        Self { offset, ..self }
    }
}

/// Diameter of the loupe, in CSS pixels.
pub const LOUPE: f64 = 144.0;
/// Room between the loupe and the stage's edges, and what a thumb covers around its tip.
const LOUPE_MARGIN: f64 = 8.0;
const THUMB: f64 = 56.0;

/// The loupe's top left corner on the stage: in the stage's top left, or in its top right while
/// the finger is near there. It stays put as long as it can, which is calmer than following.
pub fn loupe_place(finger: Place, stage: Place) -> Place {
    let reach = LOUPE + LOUPE_MARGIN + THUMB;
    let under = finger[0] < reach && finger[1] < reach;
    let far = (stage[0] - LOUPE - LOUPE_MARGIN).max(LOUPE_MARGIN);
    [if under { far } else { LOUPE_MARGIN }, LOUPE_MARGIN]
}

/// The scale at which the whole photo is just seen.
fn fitting_scale(photo: Place, stage: Place) -> f64 {
    let fit = (stage[0] / photo[0]).min(stage[1] / photo[1]);
    if fit.is_finite() && fit > 0.0 {
        fit
    } else {
        1.0
    }
}

/// Distance of two places.
pub fn distance(a: Place, b: Place) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: Place, b: Place) -> bool {
        distance(a, b) < 1e-9
    }

    #[test]
    fn the_whole_picture_is_placed_in_the_middle_of_the_stage() {
        let view = View::whole([4000.0, 3000.0], [400.0, 500.0]);
        assert_eq!(view.in_css(), "translate(0px, 100px) scale(0.1)");
    }

    #[test]
    fn the_whole_picture_touches_two_edges_and_lies_in_the_middle() {
        let view = View::whole([4000.0, 3000.0], [400.0, 500.0]);
        assert!(close(view.to_stage([-0.5, -0.5]), [0.0, 100.0]));
        assert!(close(view.to_stage([3999.5, 2999.5]), [400.0, 400.0]));
        assert!(view.is_whole());
    }

    #[test]
    fn there_and_back_is_the_same_pixel() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]).zoomed([100.0, 200.0], 5.3);
        assert!(close(
            view.to_photo(view.to_stage([1234.5, 777.25])),
            [1234.5, 777.25]
        ));
    }

    #[test]
    fn zooming_keeps_what_lies_under_the_finger() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]);
        let finger = [180.0, 250.0];
        let under = view.to_photo(finger);
        assert!(close(view.zoomed(finger, 3.0).to_photo(finger), under));
    }

    #[test]
    fn a_pinch_takes_the_pixel_along_with_the_fingers() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]).zoomed([195.0, 260.0], 4.0);
        let (from, to) = ([150.0, 240.0], [190.0, 280.0]);
        let under = view.to_photo(from);
        assert!(close(view.pinched([from, to], 1.5).to_photo(to), under));
    }

    #[test]
    fn it_never_shrinks_below_the_whole_nor_grows_beyond_the_closest() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]);
        assert!(view.zoomed([10.0, 10.0], 0.1).is_whole());
        assert!((view.zoomed([10.0, 10.0], 1e6).scale - CLOSEST).abs() < 1e-12);
    }

    #[test]
    fn a_picture_cannot_be_lost_beside_the_stage() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]).zoomed([195.0, 260.0], 4.0);
        let lost = view.panned([1e6, 1e6]);
        assert!(lost.offset[0] <= 390.0 * SLACK + 1e-9 && lost.offset[1] <= 520.0 * SLACK + 1e-9);
        let whole = View::whole([4000.0, 3000.0], [400.0, 500.0]);
        assert_eq!(whole.panned([50.0, -999.0]).offset, [0.0, 0.0]);
    }

    #[test]
    fn turning_the_phone_keeps_the_middle() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]).zoomed([195.0, 260.0], 6.0);
        let middle = view.to_photo([195.0, 260.0]);
        assert!(close(
            view.restaged([520.0, 390.0]).to_photo([260.0, 195.0]),
            middle
        ));
    }

    #[test]
    fn a_panel_that_grows_leaves_the_picture_where_it_is() {
        for zoom in [1.0, 4.0] {
            let view = View::whole([4000.0, 3000.0], [400.0, 500.0]).zoomed([200.0, 250.0], zoom);
            assert_eq!(view.restaged([400.0, 460.0]).offset, view.offset);
            assert_eq!(view.restaged([400.0, 520.0]).offset, view.offset);
        }
        // Until it would be covered.
        let covered = View::whole([4000.0, 3000.0], [400.0, 500.0]).restaged([400.0, 350.0]);
        assert_eq!(covered.offset, [0.0, 50.0]);
    }

    #[test]
    fn a_point_behind_the_edge_is_brought_into_sight() {
        let view = View::whole([4000.0, 3000.0], [390.0, 520.0]).zoomed([195.0, 260.0], 6.0);
        let px = view.to_photo([430.0, 260.0]);
        let at = view.showing(px, 60.0).to_stage(px);
        assert!((at[0] - 330.0).abs() < 1e-9, "{at:?}");
    }

    #[test]
    fn a_mark_dragged_off_the_picture_stays_at_its_edge() {
        let view = View::whole([4000.0, 3000.0], [400.0, 500.0]);
        assert_eq!(view.on_picture([-80.0, 3100.0]), [-0.5, 2999.5]);
        assert_eq!(view.step([1.0, -2.0]), [10.0, -20.0]);
    }

    #[test]
    fn the_loupe_never_lies_under_the_finger() {
        let stage = [360.0, 420.0];
        for x in 0..36 {
            for y in 0..42 {
                let finger = [f64::from(x) * 10.0, f64::from(y) * 10.0];
                let middle = loupe_place(finger, stage).map(|c| c + LOUPE / 2.0);
                assert!(distance(middle, finger) > LOUPE / 2.0, "{finger:?}");
            }
        }
    }

    #[test]
    fn a_stage_without_size_gives_finite_numbers() {
        let view = View::whole([4000.0, 3000.0], [0.0, 0.0]);
        assert!(view.scale.is_finite() && view.offset[0].is_finite());
    }
}
