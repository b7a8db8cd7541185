//! Which of several windows of the app writes: one at a time, the others follow it.
//!
//! The window that writes holds a lock of the browser (W3C, Web Locks API); the others wait for
//! it. A window in which somebody works takes the lock over. Nothing is lost by that: each change
//! is made on the newest stored version, within one transaction (see [`store`](super::store)), and
//! the lock keeps two windows from showing different things as if both were right.

use super::window;
use js_sys::{Function, Object, Promise, Reflect};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

/// What web-sys holds back.
#[wasm_bindgen]
extern "C" {
    type WithLocks;
    #[wasm_bindgen(method, getter)]
    fn locks(this: &WithLocks) -> Option<Locks>;

    type Locks;
    #[wasm_bindgen(method)]
    fn request(this: &Locks, name: &str, options: &Object, granted: &JsValue) -> Promise;
}

const NAME: &str = "peelcast.writer";

/// How the lock is asked for.
#[derive(Clone, Copy, PartialEq)]
enum Ask {
    /// Only if no one has it.
    IfFree,
    /// When the window that has it is closed.
    InTurn,
    /// At once, from whoever has it.
    Now,
}

/// Hears whether this window writes.
type Told = Rc<dyn Fn(bool)>;

thread_local! {
    static WRITES: Cell<bool> = const { Cell::new(true) };
    static IN_LINE: Cell<bool> = const { Cell::new(false) };
    static TOLD: RefCell<Option<Told>> = const { RefCell::new(None) };
    static WAITING: RefCell<Vec<Function>> = const { RefCell::new(Vec::new()) };
}

/// Becomes the window that writes, unless another one does, and calls `told` with whether this one
/// writes each time that this changes. A browser without such locks takes every window for the
/// one that writes.
pub fn begin(told: impl Fn(bool) + 'static) {
    TOLD.set(Some(Rc::new(told)));
    ask(Ask::IfFree);
}

/// Makes this the window that writes; returns once it is.
pub async fn take_over() {
    if WRITES.get() {
        return;
    }
    let granted = Promise::new(&mut |resolve, _| WAITING.with_borrow_mut(|all| all.push(resolve)));
    ask(Ask::Now);
    // It is never refused.
    let _ = JsFuture::from(granted).await;
}

fn ask(how: Ask) {
    let navigator: JsValue = window::window().navigator().into();
    let Some(locks) = navigator.unchecked_into::<WithLocks>().locks() else {
        return;
    };
    if how == Ask::InTurn && IN_LINE.replace(true) {
        return;
    }
    let options = Object::new();
    let option = match how {
        Ask::IfFree => Some("ifAvailable"),
        Ask::InTurn => None,
        Ask::Now => Some("steal"),
    };
    if let Some(option) = option {
        let _ = Reflect::set(&options, &option.into(), &true.into());
    }
    let granted = Closure::once_into_js(move |lock: JsValue| {
        if how == Ask::InTurn {
            IN_LINE.set(false);
        }
        if lock.is_null() {
            tell(false);
            ask(Ask::InTurn);
            return Promise::resolve(&JsValue::NULL);
        }
        tell(true);
        // The lock is held until this window is closed or another one takes it over.
        Promise::new(&mut |_, _| {})
    });
    let held = locks.request(NAME, &options, &granted);
    wasm_bindgen_futures::spawn_local(async move {
        if JsFuture::from(held).await.is_err() {
            tell(false);
            ask(Ask::InTurn);
        }
    });
}

fn tell(writes: bool) {
    WRITES.set(writes);
    if writes {
        for resolve in WAITING.take() {
            let _ = resolve.call0(&JsValue::NULL);
        }
    }
    if let Some(told) = TOLD.with_borrow(Clone::clone) {
        told(writes);
    }
}
