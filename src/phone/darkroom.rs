//! The picture worker beside the page: photos are looked into and days are planned there, so that
//! the page never waits.
//!
//! There is one worker at a time, with one photo open at most; it is started with the first
//! question and ended by [`close`], which the page calls when it goes:
//!
//! ```ignore
//! on_cleanup(darkroom::close);
//! spawn_local(async move {
//!     match darkroom::ask(&photo, &Ask::Ring { ring_px }, |share| done.set(share)).await {
//!         Ok(Answer::Outline(found)) => show(found),
//!         Ok(_) | Err(Unanswered::Cancelled) => (),
//!         Err(Unanswered::Because(sentence)) => warn(sentence),
//!     }
//! });
//! ```

use super::photo::{PhotoError, PhotoUrl};
use super::window::{document, listen_on, pause};
use super::{canvas, language, photos};
use crate::clock::day::{self, DayPlan};
use crate::darkroom::{Answer, Ask, SweepAnswer, SweepAsk};
use crate::job::{PhotoId, PhotoRef};
use crate::say;
use crate::survey::{RectifiedFrame, Sight};
use crate::words::{mark, tr};
use js_sys::{Array, Function, Object, Promise, Reflect};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{Blob, CanvasRenderingContext2d, HtmlCanvasElement, ImageData, MessageEvent, Worker};

/// Why a question has no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Unanswered {
    /// It was given up ([`close`]): nothing is to be said.
    Cancelled,
    /// What is wrong and what to do, in a sentence or two.
    Because(String),
}

const MISSING: &str = mark(
    "The picture tools are not on this phone yet. Everything else works. Go \
    online once with the app open: they then come by themselves and stay.",
);
const FAILED: &str = mark(
    "The picture tools have stopped; nothing that is stored was touched. Try \
    once more. If they stop again, close other apps first.",
);

/// So long the worker may take to begin with a question that the page can answer too.
const PATIENCE_MS: i32 = 3_000;

struct Running {
    photo: Option<PhotoId>,
    worker: Worker,
    waiting: Vec<Waiting>,
}

/// A question that is being answered.
struct Waiting {
    id: u32,
    progress: Rc<dyn Fn(f64)>,
    answer: Function,
}

thread_local! {
    static RUNNING: RefCell<Option<Running>> = const { RefCell::new(None) };
    static LAST_ID: RefCell<u32> = const { RefCell::new(0) };
}

/// Asks about a stored photo; `progress` is told the share that is done.
pub async fn ask(
    photo: &PhotoRef,
    ask: &Ask,
    progress: impl Fn(f64) + 'static,
) -> Result<Answer, Unanswered> {
    read(&word(photo, ask, Rc::new(progress)).await?)
}

/// Asks for the plan of a day, or why there is none. A worker that has not begun in time is given
/// up: the page can plan too.
pub async fn plan(ask: &day::Ask) -> Result<Result<DayPlan, String>, Unanswered> {
    started()?;
    let begun = Rc::new(Cell::new(false));
    let seen = begun.clone();
    spawn_local(async move {
        pause(PATIENCE_MS).await;
        if !seen.get() {
            end(&tr(FAILED).into());
        }
    });
    let hears = begun.clone();
    let question = question("day", ask);
    let word = last_word(question, Rc::new(move |_| hears.set(true))).await;
    begun.set(true);
    read(&word?)
}

/// Asks for the heights that several photos show, given in the order of the question; `progress`
/// is told the share that is done.
pub async fn sweep(
    photos: &[PhotoRef],
    ask: &SweepAsk,
    progress: impl Fn(f64) + 'static,
) -> Result<SweepAnswer, Unanswered> {
    let because =
        |n: usize, why: PhotoError| Unanswered::Because(say!("Photo {n}: {why}", n = n + 1, why));
    let files = Array::new();
    for (n, photo) in photos.iter().enumerate() {
        let file = file(photo).await.map_err(|why| because(n, why))?;
        files.push(&file);
    }
    let failed = |_| Unanswered::Because(tr(FAILED).into());
    started()?;
    let question = question("sweep", ask);
    Reflect::set(&question, &"photos".into(), &files).map_err(failed)?;
    read(&last_word(question, Rc::new(progress)).await?)
}

/// The answer in the worker's last word.
fn read<T: DeserializeOwned>(word: &JsValue) -> Result<T, Unanswered> {
    let text = field(word, "answer").as_string().unwrap_or_default();
    let value = serde_json::from_str::<Value>(&text).ok();
    let answer = value.and_then(|value| T::deserialize(&value).ok());
    answer.ok_or_else(|| Unanswered::Because(tr(FAILED).into()))
}

/// Lays the wall flat onto a canvas of the frame's size.
pub async fn lay_flat(
    photo: &PhotoRef,
    sight: Sight,
    frame: &RectifiedFrame,
    canvas: &HtmlCanvasElement,
    progress: impl Fn(f64) + 'static,
) -> Result<(), Unanswered> {
    let ask = Ask::Flat {
        sight,
        frame: frame.clone(),
    };
    let word = word(photo, &ask, Rc::new(progress)).await?;
    let painted = paint(canvas, &field(&word, "pixels"), frame);
    painted.map_err(|_| Unanswered::Because(tr(FAILED).into()))
}

/// The wall laid flat as a picture of its own, with an address that an image can show.
pub async fn flat_picture(
    photo: &PhotoRef,
    sight: Sight,
    frame: &RectifiedFrame,
) -> Result<PhotoUrl, Unanswered> {
    let failed = |_| Unanswered::Because(tr(FAILED).into());
    let canvas = canvas::blank(frame.width, frame.height).map_err(failed)?;
    lay_flat(photo, sight, frame, &canvas, |_| ()).await?;
    let picture = canvas::jpeg(&canvas).await.map_err(failed)?;
    PhotoUrl::of_blob(&picture).map_err(|why| Unanswered::Because(why.to_string()))
}

fn paint(
    canvas: &HtmlCanvasElement,
    pixels: &JsValue,
    frame: &RectifiedFrame,
) -> Result<(), JsValue> {
    let data = ImageData::new_with_js_u8_clamped_array(pixels.unchecked_ref(), frame.width)?;
    let context = canvas.get_context("2d")?.ok_or(JsValue::NULL)?;
    let context: CanvasRenderingContext2d = context.unchecked_into();
    context.put_image_data(&data, 0.0, 0.0)
}

/// Ends the worker and gives up what it was asked; the next question starts it anew.
pub fn close() {
    end(&JsValue::NULL);
}

/// Ends the worker; every open question gets `word`.
fn end(word: &JsValue) {
    let Some(running) = RUNNING.take() else {
        return;
    };
    running.worker.terminate();
    for waiting in running.waiting {
        let _ = waiting.answer.call1(&JsValue::NULL, word);
    }
}

/// Asks about a photo, which is opened if it is not, and waits for the worker's last word.
async fn word(
    photo: &PhotoRef,
    ask: &Ask,
    progress: Rc<dyn Fn(f64)>,
) -> Result<JsValue, Unanswered> {
    let because = |why: PhotoError| Unanswered::Because(why.to_string());
    let is_open =
        || RUNNING.with_borrow(|r| r.as_ref().and_then(|r| r.photo.as_ref()) == Some(&photo.id));
    let file = if is_open() {
        None
    } else {
        Some(file(photo).await.map_err(because)?)
    };
    let failed = |_| Unanswered::Because(tr(FAILED).into());
    let question = question("ask", ask);
    let set = |name: &str, value: &JsValue| Reflect::set(&question, &name.into(), value);
    // Another question may have opened the photo in the meantime.
    if let Some(file) = file.filter(|_| !is_open()) {
        close();
        start(Some(&photo.id)).map_err(failed)?;
        set("photo", &file).map_err(failed)?;
        set("width", &photo.width.into()).map_err(failed)?;
        set("height", &photo.height.into()).map_err(failed)?;
    }
    last_word(question, progress).await
}

/// A question in a field of that name.
fn question(name: &str, ask: &impl Serialize) -> Object {
    let question = Object::new();
    let text = serde_json::to_value(ask).unwrap_or_default().to_string();
    // A plain object takes any field.
    let _ = Reflect::set(&question, &name.into(), &text.into());
    question
}

/// Sends a question and waits for the worker's last word about it.
async fn last_word(question: Object, progress: Rc<dyn Fn(f64)>) -> Result<JsValue, Unanswered> {
    let failed = |_| Unanswered::Because(tr(FAILED).into());
    let id = LAST_ID.with_borrow_mut(|id| {
        *id += 1;
        *id
    });
    Reflect::set(&question, &"id".into(), &id.into()).map_err(failed)?;
    let answered = Promise::new(&mut |answer, _| {
        RUNNING.with_borrow_mut(|running| {
            if let Some(running) = running {
                let progress = progress.clone();
                running.waiting.push(Waiting {
                    id,
                    progress,
                    answer,
                });
                let _ = running.worker.post_message(&question);
            }
        });
    });
    let word = JsFuture::from(answered).await.map_err(failed)?;
    if word.is_null() {
        return Err(Unanswered::Cancelled);
    }
    let why = word
        .as_string()
        .or_else(|| field(&word, "error").as_string());
    why.map_or(Ok(word), |why| Err(Unanswered::Because(why)))
}

/// The file of a stored photo.
async fn file(photo: &PhotoRef) -> Result<Blob, PhotoError> {
    photos::bytes(&photo.id).await?.ok_or(PhotoError::Missing)
}

/// Sees to it that there is a worker, whichever photo it has open.
fn started() -> Result<(), Unanswered> {
    match RUNNING.with_borrow(Option::is_none) {
        true => start(None).map_err(|_| Unanswered::Because(tr(FAILED).into())),
        false => Ok(()),
    }
}

/// Starts the worker that `index.html` names.
fn start(photo: Option<&PhotoId>) -> Result<(), JsValue> {
    let boot = document().get_element_by_id("boot");
    let script = boot.and_then(|boot| boot.get_attribute("data-darkroom"));
    let worker = Worker::new(&script.ok_or(JsValue::NULL)?)?;
    listen_on(&worker, "message", |event| {
        hear(&MessageEvent::from(event).data());
    });
    // Its script could not be loaded.
    listen_on(&worker, "error", |_| end(&tr(MISSING).into()));
    let language = Object::new();
    if language::tell(&language) {
        worker.post_message(&language)?;
    }
    RUNNING.set(Some(Running {
        photo: photo.cloned(),
        worker,
        waiting: Vec::new(),
    }));
    Ok(())
}

/// Takes in one word of the worker.
fn hear(word: &JsValue) {
    match word.as_string().as_deref() {
        Some("missing") => return end(&tr(MISSING).into()),
        Some(_) => return end(&tr(FAILED).into()),
        None => (),
    }
    let id = field(word, "id").as_f64().unwrap_or(0.0) as u32;
    let share = field(word, "progress").as_f64();
    // Nobody is called while the list is held.
    let found = RUNNING.with_borrow_mut(|running| {
        let waiting = &mut running.as_mut()?.waiting;
        let index = waiting.iter().position(|waiting| waiting.id == id)?;
        Some(match share {
            Some(_) => (waiting[index].progress.clone(), None),
            None => {
                let done = waiting.swap_remove(index);
                (done.progress, Some(done.answer))
            }
        })
    });
    let Some((progress, answer)) = found else {
        return;
    };
    if let Some(share) = share {
        progress(share);
    }
    if let Some(answer) = answer {
        let _ = answer.call1(&JsValue::NULL, word);
    }
}

fn field(of: &JsValue, name: &str) -> JsValue {
    Reflect::get(of, &name.into()).unwrap_or_default()
}
