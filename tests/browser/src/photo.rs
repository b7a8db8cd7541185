//! The photo that the tests measure, with its truth.

use crate::Phone;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use peelcast::job::SAMPLE_PHOTO;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// The project's own rendered photo and what is true of it.
pub struct Photo {
    /// The file.
    pub file: PathBuf,
    /// Corners of the card, in pixels.
    pub card: Vec<[f64; 2]>,
    /// The ornament's outline, in pixels.
    pub outline: Vec<[f64; 2]>,
    /// The ornament's true area in square millimetres.
    pub area_mm2: f64,
    /// Pixels from left to right.
    pub width: f64,
}

/// Has the page draw a picture and writes it to `file` as a JPEG. `draw` is JavaScript that may
/// wait, finds its values in `given` and leaves an OffscreenCanvas as `paper`.
pub async fn drawn(phone: &Phone, draw: &str, given: Vec<Value>, file: &Path) -> PathBuf {
    const ENCODE: &str = "; const jpeg = await paper.convertToBlob({ type: 'image/jpeg', quality: 0.9 }); \
        const bytes = new Uint8Array(await jpeg.arrayBuffer()); \
        const parts = []; \
        for (let i = 0; i < bytes.length; i += 8192) \
            parts.push(String.fromCharCode(...bytes.subarray(i, i + 8192))); \
        return btoa(parts.join(''))";
    let jpeg = phone.js_later(&format!("{draw}{ENCODE}"), given).await;
    let jpeg = STANDARD.decode(jpeg.as_str().expect("Base64"));
    std::fs::write(file, jpeg.expect("Base64")).expect("the picture is written");
    file.to_owned()
}

impl Photo {
    /// The sample photo, whose truth the renderer wrote beside it.
    pub fn sample() -> Self {
        let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..");
        let text =
            std::fs::read_to_string(root.join("src/job/sample/plaque.json")).expect("the truth");
        let truth: Value = serde_json::from_str(&text).expect("JSON");
        let points = |key: &str| -> Vec<[f64; 2]> {
            serde_json::from_value(truth[key].clone()).expect("a list of points")
        };
        Self {
            file: root.join("public/sample/plaque.webp"),
            card: points("card_corners_px"),
            outline: points("outline_px"),
            area_mm2: truth["true_area_mm2"].as_f64().expect("an area"),
            width: truth["image_size_px"][0].as_f64().expect("a width"),
        }
    }

    /// The middle of the outline's points.
    pub fn middle(&self) -> [f64; 2] {
        let count = self.outline.len() as f64;
        [0, 1].map(|k| self.outline.iter().map(|p| p[k]).sum::<f64>() / count)
    }

    /// The same picture in a larger size of the same shape, as a finer camera would take it;
    /// drawn by the browser and written to `folder`.
    pub async fn enlarged(self, phone: &Phone, size: [u32; 2], folder: &Path) -> Self {
        let draw = "const [width, height, path] = given; \
            const picture = await createImageBitmap(await (await fetch(path)).blob()); \
            const paper = new OffscreenCanvas(width, height); \
            paper.getContext('2d').drawImage(picture, 0, 0, width, height);";
        let given = vec![json!(size[0]), json!(size[1]), json!(SAMPLE_PHOTO)];
        let file = drawn(phone, draw, given, &folder.join("enlarged.jpg")).await;
        let scale = f64::from(size[0]) / self.width;
        // Pixels are named by their centres.
        let place = |at: &[f64; 2]| at.map(|x| (x + 0.5) * scale - 0.5);
        Self {
            file,
            card: self.card.iter().map(place).collect(),
            outline: self.outline.iter().map(place).collect(),
            ..self
        }
    }
}
