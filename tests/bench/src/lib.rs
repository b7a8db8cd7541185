//! The darkroom's work as a browser calls it, without the page: `bench.js` times it beside
//! OpenCV's.
#![cfg(target_arch = "wasm32")]

use peelcast::darkroom::{Answer, Ask, Darkroom, MOST_FLAT_PX, Photo};
use peelcast::quantity::Millimetres;
use peelcast::survey::{
    EdgeError, Evidence, ImageSize, Px, RectifiedFrame, WallProblem, fit_wall, footprint,
};
use serde_json::json;
use wasm_bindgen::prelude::*;

/// A photo in the darkroom.
#[wasm_bindgen]
pub struct Bench {
    size: ImageSize,
    darkroom: Darkroom,
}

#[wasm_bindgen]
impl Bench {
    /// Takes in red, green, blue and opacity of all pixels.
    #[wasm_bindgen(constructor)]
    pub fn new(rgba: &[u8], width: u32, height: u32) -> Self {
        let size = ImageSize { width, height };
        let mut photo = Photo::new(size, size);
        let strip = (photo.rows() * width * 4) as usize;
        rgba.chunks(strip * 64).for_each(|rows| photo.push(rows));
        Self {
            size,
            darkroom: Darkroom::new(photo),
        }
    }

    /// Answers a question given and answered as text; the pixels of a flat picture are made and
    /// left out.
    pub fn ask(&mut self, ask: &str) -> Result<String, String> {
        let ask: Ask = serde_json::from_str(ask).map_err(|why| why.to_string())?;
        let answer = self.darkroom.answer(ask, &mut |_| ())?;
        if let Answer::Flat { rgba, .. } = &answer {
            std::hint::black_box(rgba);
        }
        serde_json::to_string(&answer).map_err(|why| why.to_string())
    }

    /// The question that lays nearly all of the photo flat, to 2 megapixels, where a card's
    /// corners are seen at `card`; and where in the photo the corners of that frame lie.
    pub fn flat(&self, card: &[f64]) -> Result<String, String> {
        let mm = [[0.0, 0.0], [85.6, 0.0], [85.6, 53.98], [0.0, 53.98]];
        let seen = card.as_chunks::<2>().0.iter().zip(mm);
        let marks = seen.map(|(px, mm)| Evidence::point(*px, mm)).collect();
        let wall = fit_wall(&WallProblem::new(self.size, marks)).map_err(|why| why.to_string())?;
        let side = |n: u32, share: f64| f64::from(n) * share;
        let corner = |x: f64, y: f64| [side(self.size.width, x), side(self.size.height, y)];
        let outline = [
            corner(0.1, 0.1),
            corner(0.9, 0.1),
            corner(0.9, 0.9),
            corner(0.1, 0.9),
        ];
        let print = footprint(&wall, &outline, &[], EdgeError::points(0.5))
            .map_err(|why| why.to_string())?;
        let frame = RectifiedFrame::around(&wall, &print, Millimetres(0.0), MOST_FLAT_PX);
        let far = [frame.width - 1, frame.height - 1].map(f64::from);
        let corners = [[0.0, 0.0], [far[0], 0.0], far, [0.0, far[1]]];
        let places: Vec<Option<Px>> = corners
            .iter()
            .map(|at| wall.to_photo(frame.to_wall(*at)))
            .collect();
        let size = [frame.width, frame.height];
        let ask = Ask::Flat {
            sight: wall.sight(),
            frame,
        };
        Ok(json!({ "ask": ask, "size": size, "corners": places }).to_string())
    }
}
