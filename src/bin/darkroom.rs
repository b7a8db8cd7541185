//! The picture worker: the darkroom in a thread of its own beside the page, where days are planned
//! as well.
//!
//! `public/darkroom.js` hands it one question after the other, each an object with `id` and one of
//! `ask` (the text of an [`Ask`](peelcast::darkroom::Ask)), `sweep` (that of a
//! [`SweepAsk`](peelcast::darkroom::SweepAsk)) and `day` (that of a
//! [`day::Ask`](peelcast::clock::day::Ask)). The first `ask` about a photo brings it: `photo` (its
//! file), `width` and `height` (of the upright picture); a `sweep` brings all its `photos`. For
//! each it sends objects with the same `id`: `progress` (0 to 1) as often as there is some, and at
//! the end `answer`, or `error` (a sentence). The answer is the text of an
//! [`Answer`](peelcast::darkroom::Answer), with `pixels` beside a picture, or of a
//! [`SweepAnswer`](peelcast::darkroom::SweepAnswer); for a day it is that of its plan, `Ok`, or of
//! the sentence why there is none, `Err`.
//!
//! Before all questions it may be told its `language` (a tag) with its `texts` (of a
//! [`Catalogue`](peelcast::words::Catalogue)).

#[cfg(target_arch = "wasm32")]
mod worker {
    use js_sys::{Array, ArrayBuffer, Function, Object, Reflect, Uint8ClampedArray};
    use peelcast::clock::day;
    use peelcast::darkroom::{Answer, Ask, Darkroom, Photo, SweepAsk};
    use peelcast::say;
    use peelcast::survey::ImageSize;
    use peelcast::words::{self, Catalogue, Language, mark, tr};
    use serde::de::DeserializeOwned;
    use std::cell::RefCell;
    use wasm_bindgen::prelude::*;
    use wasm_bindgen_futures::JsFuture;
    use web_sys::{
        Blob, DedicatedWorkerGlobalScope, ImageBitmap, ImageBitmapOptions, OffscreenCanvas,
        OffscreenCanvasRenderingContext2d, ResizeQuality,
    };

    thread_local! {
        static OPEN: RefCell<Result<Darkroom, String>> = const { RefCell::new(Err(String::new())) };
    }

    /// What opening a photo takes of a question's time.
    const OPENING: f64 = 0.6;
    /// What opening the photos takes of a sweep's time.
    const SWEEP_OPENING: f64 = 0.4;
    /// Bytes that are read back from the decoded picture at a time.
    const STRIP_BYTES: u32 = 4_000_000;

    /// Answers one question; the page must not send the next one to this function before.
    #[wasm_bindgen]
    pub async fn answer(question: JsValue) {
        if let Some(tag) = field(&question, "language").as_string() {
            let texts = field(&question, "texts").as_string().unwrap_or_default();
            return words::set(Language::of_phone(&tag), Catalogue::read(&texts));
        }
        let id = field(&question, "id");
        if let Some(text) = field(&question, "day").as_string() {
            return plan(&id, &text);
        }
        if let Some(text) = field(&question, "sweep").as_string() {
            return match sweep(&id, &text, &field(&question, "photos")).await {
                Ok(answer) => tell(&id, "answer", answer),
                Err(why) => tell(&id, "error", why),
            };
        }
        let mut begun = 0.0;
        if let Ok(file) = field(&question, "photo").dyn_into::<Blob>() {
            let side = |name| field(&question, name).as_f64().unwrap_or(0.0) as u32;
            let size = ImageSize {
                width: side("width"),
                height: side("height"),
            };
            let opened = open(&file, size, Photo::new, &mut |done| {
                tell(&id, "progress", OPENING * done);
            })
            .await;
            OPEN.set(
                opened
                    .map(Darkroom::new)
                    .map_err(|_| tr(CANNOT_OPEN).into()),
            );
            begun = OPENING;
        }
        let ask = field(&question, "ask").as_string().unwrap_or_default();
        let done = OPEN.with_borrow_mut(|open| {
            let darkroom = open.as_mut().map_err(|why| why.clone())?;
            let ask: Ask = read(&ask)?;
            let mut last = -1.0;
            darkroom.answer(ask, &mut |done| {
                if done - last >= 0.01 {
                    last = done;
                    tell(&id, "progress", begun + (1.0 - begun) * done);
                }
            })
        });
        match done {
            Ok(answer) => send(&id, &answer),
            Err(why) => tell(&id, "error", why),
        }
    }

    /// Finds heights in several photos, which are opened one after the other.
    async fn sweep(id: &JsValue, text: &str, photos: &JsValue) -> Result<String, String> {
        let ask: SweepAsk = read(text)?;
        let files = Array::from(photos);
        let count = f64::from(files.length());
        let mut opened = Vec::new();
        for (n, (file, problem)) in files.iter().zip(&ask.problems).enumerate() {
            let size = problem.image_size_px;
            let begun = n as f64;
            let mut progress =
                |done: f64| tell(id, "progress", SWEEP_OPENING * (begun + done) / count);
            let photo = open(file.unchecked_ref(), size, Photo::of_light, &mut progress).await;
            opened.push(
                photo.map_err(|_| say!("Photo {n}: {why}", n = n + 1, why = tr(CANNOT_OPEN)))?,
            );
        }
        let mut last = -1.0;
        let found = ask.answer(&opened, &mut |done| {
            if done - last >= 0.01 {
                last = done;
                let begun = SWEEP_OPENING;
                tell(id, "progress", begun + (1.0 - begun) * done);
            }
        })?;
        serde_json::to_string(&found).map_err(|why| why.to_string())
    }

    /// Plans a day; the page hears at once that it has begun.
    fn plan(id: &JsValue, text: &str) {
        tell(id, "progress", 0.0);
        let answer = read::<day::Ask>(text).and_then(|ask| {
            let plan = ask.answer().map_err(|clash| clash.to_string());
            serde_json::to_string(&plan).map_err(|why| why.to_string())
        });
        match answer {
            Ok(answer) => tell(id, "answer", answer),
            Err(why) => tell(id, "error", why),
        }
    }

    fn read<T: DeserializeOwned>(text: &str) -> Result<T, String> {
        serde_json::from_str(text).map_err(|why| {
            say!("The page and its picture tools are not of one version ({why}). Load the page again.", why)
        })
    }

    const CANNOT_OPEN: &str = mark(
        "The photo could not be opened for looking into its pixels. It is \
        still stored. Close other apps and open this page again; if that does not help, take the \
        photo anew.",
    );

    /// Decodes a photo and takes it in strip by strip, so that it is never in memory twice.
    async fn open(
        file: &Blob,
        full: ImageSize,
        blank: fn(ImageSize, ImageSize) -> Photo,
        progress: &mut dyn FnMut(f64),
    ) -> Result<Photo, JsValue> {
        let bitmap = decode(file, full).await?;
        progress(0.4);
        let (width, height) = (bitmap.width(), bitmap.height());
        let mut photo = blank(full, ImageSize { width, height });
        let rows = (STRIP_BYTES / (4 * width)).next_multiple_of(photo.rows());
        let sheet = OffscreenCanvas::new(width, rows)?;
        // Kept in plain memory: the pixels are wanted here, not on a screen.
        let options = Object::new();
        Reflect::set(&options, &"willReadFrequently".into(), &true.into())?;
        let context = sheet.get_context_with_context_options("2d", &options)?;
        let context: OffscreenCanvasRenderingContext2d =
            context.ok_or(JsValue::NULL)?.unchecked_into();
        let mut strip = Vec::new();
        for top in (0..height).step_by(rows as usize) {
            let (wide, high) = (f64::from(width), f64::from(rows.min(height - top)));
            context.clear_rect(0.0, 0.0, wide, high);
            context.draw_image_with_image_bitmap(&bitmap, 0.0, -f64::from(top))?;
            let seen = context.get_image_data(0.0, 0.0, wide, high)?;
            let pixels: Uint8ClampedArray = field(&seen, "data").dyn_into()?;
            strip.resize(pixels.length() as usize, 0);
            pixels.copy_to(&mut strip);
            give_back(&pixels.buffer());
            photo.push(&strip);
            progress(0.4 + 0.6 * (f64::from(top) + high) / f64::from(height));
        }
        bitmap.close();
        if photo.is_whole() {
            Ok(photo)
        } else {
            Err(JsValue::NULL)
        }
    }

    /// Gives the memory of pixels back at once where the browser can: the strips would else lie there
    /// until it clears up by itself.
    fn give_back(pixels: &ArrayBuffer) {
        if let Ok(transfer) = field(pixels, "transfer").dyn_into::<Function>() {
            // Where it fails the browser clears up later.
            let _ = transfer.call1(pixels, &0.into());
        }
    }

    /// The picture upright, in the size in which it is kept.
    async fn decode(file: &Blob, full: ImageSize) -> Result<ImageBitmap, JsValue> {
        let size = Photo::decoded(full);
        let decoded = if size == full {
            here().create_image_bitmap_with_blob(file)?
        } else {
            let options = ImageBitmapOptions::new();
            options.set_resize_width(size.width);
            options.set_resize_height(size.height);
            options.set_resize_quality(ResizeQuality::Medium);
            here().create_image_bitmap_with_blob_and_image_bitmap_options(file, &options)?
        };
        Ok(JsFuture::from(decoded).await?.unchecked_into())
    }

    fn here() -> DedicatedWorkerGlobalScope {
        js_sys::global().unchecked_into()
    }

    fn field(of: &JsValue, name: &str) -> JsValue {
        Reflect::get(of, &name.into()).unwrap_or_default()
    }

    /// Sends one word about a question.
    fn tell(id: &JsValue, name: &str, value: impl Into<JsValue>) {
        let word = Object::new();
        let set = |name: &str, value: &JsValue| Reflect::set(&word, &name.into(), value);
        if set("id", id).is_ok() && set(name, &value.into()).is_ok() {
            // A page that is gone needs no word.
            let _ = here().post_message(&word);
        }
    }

    /// Sends the answer; pixels are handed over, not copied.
    fn send(id: &JsValue, answer: &Answer) {
        let text = match serde_json::to_string(answer) {
            Ok(text) => text,
            Err(why) => return tell(id, "error", why.to_string()),
        };
        let Answer::Flat { rgba, .. } = answer else {
            return tell(id, "answer", text);
        };
        let pixels = Uint8ClampedArray::from(rgba.as_slice());
        let word = Object::new();
        let set = |name: &str, value: &JsValue| Reflect::set(&word, &name.into(), value);
        if set("id", id).is_ok()
            && set("answer", &text.into()).is_ok()
            && set("pixels", &pixels).is_ok()
        {
            let handed = js_sys::Array::of1(&pixels.buffer());
            let _ = here().post_message_with_transfer(&word, &handed);
        }
    }
}

/// The program does nothing by itself: it waits to be asked.
#[cfg(target_arch = "wasm32")]
fn main() {}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    eprintln!("The picture worker runs in a browser: `cargo dev build` builds it beside the app.");
}
