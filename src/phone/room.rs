//! How much room the phone gives, and whether it promises to keep what is stored.

use super::window::window;
use crate::quantity::show;
use crate::say;
use js_sys::Reflect;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::StorageManager;

/// Room on the phone for this app.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Room {
    /// Bytes in use, where the phone says so.
    pub used: Option<f64>,
    /// Bytes that the phone would give, where it says so.
    pub granted: Option<f64>,
    /// Whether the phone promises not to clear the app's store by itself; `None` where it makes
    /// no such promises.
    pub lasting: Option<bool>,
}

/// With less room than a few photos take it is time to make some.
const SHORT_BYTES: f64 = 60e6;

impl Room {
    /// That room runs out and what to do; nothing while there is enough.
    pub fn sentence(&self) -> Option<String> {
        let left = self.granted? - self.used?;
        (left < SHORT_BYTES).then(|| {
            say!(
                "This phone has room left for {left} MB: a few photos. Make a backup, delete \
                 jobs that are done, and delete them for good in the settings.",
                left = show::fixed(left.max(0.0) / 1e6, 0)
            )
        })
    }
}

fn manager() -> Option<StorageManager> {
    let navigator = window().navigator();
    let storage = Reflect::get(&navigator, &"storage".into()).ok()?;
    (!storage.is_undefined()).then(|| storage.unchecked_into())
}

/// Asks the phone.
pub async fn room() -> Room {
    let Some(manager) = manager() else {
        return Room::default();
    };
    let estimate = match manager.estimate() {
        Ok(estimate) => JsFuture::from(estimate).await.ok(),
        Err(_) => None,
    };
    let number = |name: &str| {
        Reflect::get(estimate.as_ref()?, &name.into())
            .ok()?
            .as_f64()
    };
    let lasting = match manager.persisted() {
        Ok(persisted) => JsFuture::from(persisted).await.ok(),
        Err(_) => None,
    };
    Room {
        used: number("usage"),
        granted: number("quota"),
        lasting: lasting.and_then(|lasting| lasting.as_bool()),
    }
}

/// Asks the phone to keep what is stored until the user deletes it; some ask the user back.
pub async fn ask_lasting() -> bool {
    let asked = manager().and_then(|manager| manager.persist().ok());
    match asked {
        Some(asked) => JsFuture::from(asked)
            .await
            .is_ok_and(|given| given.is_truthy()),
        None => false,
    }
}
