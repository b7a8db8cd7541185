//! The size of an element, followed as it changes.

use wasm_bindgen::prelude::*;
use web_sys::{Element, ResizeObserver};

/// Follows the size of an element until it is dropped.
#[derive(Debug)]
pub struct SizeWatch {
    observer: ResizeObserver,
    _listener: Closure<dyn FnMut()>,
}

/// Calls `changed` with width and height in CSS pixels, now and whenever they change; `None`
/// where the browser cannot follow sizes.
pub fn watch_size(
    element: &Element,
    mut changed: impl FnMut(f64, f64) + 'static,
) -> Option<SizeWatch> {
    let watched = element.clone();
    let listener = Closure::<dyn FnMut()>::new(move || {
        changed(
            f64::from(watched.client_width()),
            f64::from(watched.client_height()),
        );
    });
    let observer = ResizeObserver::new(listener.as_ref().unchecked_ref()).ok()?;
    observer.observe(element);
    Some(SizeWatch {
        observer,
        _listener: listener,
    })
}

impl Drop for SizeWatch {
    fn drop(&mut self) {
        self.observer.disconnect();
    }
}
