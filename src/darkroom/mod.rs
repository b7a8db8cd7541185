//! The darkroom: one open photo, and everything that is found in its pixels.
//!
//! It knows no browser: `bin/darkroom.rs` runs it in a worker beside the page, the desk and the
//! tests run it as it is. [`Photo`] is what is kept of a photo; [`Ask`] is what can be asked about
//! it and [`Answer`] what comes back. [`SweepAsk`] is asked of several photos at once.
//!
//! ```
//! use peelcast::darkroom::{Answer, Ask, Darkroom, Photo};
//! use peelcast::survey::ImageSize;
//!
//! // A white card on a dark wall, in a photo of 200 x 200 pixels.
//! let card = |x: u32, y: u32| if x >= 60 && y >= 80 { 220 } else { 60 };
//! let rows: Vec<u8> = (0..200)
//!     .flat_map(|y| (0..200).flat_map(move |x| [card(x, y), card(x, y), card(x, y), 255]))
//!     .collect();
//! let size = ImageSize { width: 200, height: 200 };
//! let mut photo = Photo::new(size, size);
//! photo.push(&rows);
//! let mut darkroom = Darkroom::new(photo);
//!
//! let ask = Ask::Corners { near: vec![[63.0, 77.0]], reach_px: 40.0 };
//! let Answer::Corners(found) = darkroom.answer(ask, &mut |_| ())? else { unreachable!() };
//! let corner = found[0].unwrap();
//! assert!((corner.px[0] - 59.5).abs() < 0.2 && (corner.px[1] - 79.5).abs() < 0.2);
//! # Ok::<(), String>(())
//! ```

mod ask;
mod flat;
mod photo;
mod ringed;
mod sweep;

use crate::words::{mark, tr};
pub use ask::{Answer, Ask, MOST_FLAT_PX};
pub use photo::{MOST_PIXELS, Photo};
pub use sweep::{SweepAnswer, SweepAsk};

use crate::survey::calibrate::{self, GridView, Target};
use crate::survey::snap::{self, Corner, Ticks};
use crate::survey::{self, Px, Settled, SurveyError};
use ringed::Ringed;

/// One open photo and the ring that was last drawn in it.
pub struct Darkroom {
    photo: Photo,
    ring: Option<Ringed>,
}

impl Darkroom {
    /// Takes a whole photo in.
    pub fn new(photo: Photo) -> Self {
        Self { photo, ring: None }
    }

    /// Answers a question, or says in a sentence why it can't and what to do.
    ///
    /// `progress` is told the share that is done, 0 to 1, where the work may take longer than a
    /// tenth of a second.
    pub fn answer(&mut self, ask: Ask, progress: &mut dyn FnMut(f64)) -> Result<Answer, String> {
        match ask {
            Ask::Corners { near, reach_px } => {
                let found = near.iter().map(|px| self.corner(*px, reach_px)).collect();
                Ok(Answer::Corners(found))
            }
            Ask::Ticks { readings, reach_px } => self.ticks(readings, reach_px).map(Answer::Ticks),
            Ask::Ring { ring_px } => {
                self.ring = None;
                let ring = Ringed::draw(&self.photo, &ring_px, progress).map_err(sentence)?;
                let outline = ring.outline().map_err(sentence)?;
                self.ring = Some(ring);
                Ok(Answer::Outline(outline))
            }
            Ask::Stroke(stroke) => {
                let ring = self.ring.as_mut().ok_or(tr(NO_RING))?;
                ring.stroke(stroke).map_err(sentence)?;
                ring.outline().map(Answer::Outline).map_err(sentence)
            }
            Ask::Trace { from, to } => self.trace(from, to).map(Answer::Path),
            Ask::Settle {
                ring,
                closed,
                reach_px,
            } => Ok(Answer::Settled(self.settle(&ring, closed, reach_px))),
            Ask::Grid => self.grid().map(Answer::Grid).map_err(sentence),
            Ask::Lens { views } => {
                let lens = calibrate::calibrate(&views).map_err(sentence)?;
                Ok(Answer::Lens(Box::new(lens)))
            }
            Ask::Flat { sight, frame } => {
                let rgba = flat::laid(&self.photo, &sight, &frame, progress)?;
                Ok(Answer::Flat {
                    width: frame.width,
                    height: frame.height,
                    rgba,
                })
            }
        }
    }

    fn corner(&self, near: Px, reach_px: f64) -> Option<Corner> {
        let scale = self.photo.scale();
        let found = snap::corner(
            &self.photo.grey(),
            scale.kept(near),
            reach_px * scale.length(),
        )?;
        Some(Corner {
            px: scale.full(found.px),
            sd_px: found.sd_px / scale.length(),
        })
    }

    fn trace(&self, from: Px, to: Px) -> Result<Vec<Px>, String> {
        let scale = self.photo.scale();
        let path = survey::trace(&self.photo.grey(), scale.kept(from), scale.kept(to));
        let path = path.map_err(sentence)?;
        Ok(path.into_iter().map(|px| scale.full(px)).collect())
    }

    fn settle(&self, ring: &[Px], closed: bool, reach_px: f64) -> Vec<Option<Settled>> {
        let scale = self.photo.scale();
        let ring: Vec<Px> = ring.iter().map(|px| scale.kept(*px)).collect();
        let reach_px = reach_px * scale.length();
        let found = survey::settle(&self.photo.grey(), &ring, closed, reach_px);
        let full = |found: Settled| Settled {
            px: scale.full(found.px),
            sd_px: found.sd_px / scale.length(),
        };
        found.into_iter().map(|found| found.map(full)).collect()
    }

    fn grid(&self) -> Result<GridView, SurveyError> {
        let scale = self.photo.scale();
        let mut view = calibrate::find_grid(&self.photo.grey(), Target::SHEET)?;
        for corner in &mut view.corners {
            corner.px = scale.full(corner.px);
        }
        view.size = self.photo.size();
        Ok(view)
    }

    fn ticks(&self, readings: [(Px, f64); 2], reach_px: f64) -> Result<Ticks, String> {
        let scale = self.photo.scale();
        let readings = readings.map(|(px, mm)| (scale.kept(px), mm));
        let found = snap::ticks(&self.photo.grey(), readings, reach_px * scale.length());
        let mut found = found.map_err(|why| why.to_string())?;
        for tick in &mut found.ticks {
            tick.px = scale.full(tick.px);
            tick.sd_px /= scale.length();
        }
        Ok(found)
    }
}

const NO_RING: &str = mark("There is no ring to correct. Draw a ring round the ornament first.");

fn sentence(error: SurveyError) -> String {
    error.to_string()
}
