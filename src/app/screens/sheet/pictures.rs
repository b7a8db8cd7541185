//! The photos of the sheet, laid flat one after the other while the page is read.

use crate::job::Flat;
use crate::phone::darkroom;
use crate::phone::photo::PhotoUrl;
use leptos::prelude::*;

/// The pictures of a sheet's pages, as far as they are laid flat. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Pictures {
    addresses: RwSignal<Vec<Option<String>>>,
    /// What the addresses lead to.
    held: StoredValue<Vec<PhotoUrl>, LocalStorage>,
    shown: StoredValue<Vec<Option<Flat>>>,
}

impl Pictures {
    /// No pictures yet. They go with the page.
    pub fn new() -> Self {
        on_cleanup(darkroom::close);
        Self {
            addresses: RwSignal::new(Vec::new()),
            held: StoredValue::new_local(Vec::new()),
            shown: StoredValue::new(Vec::new()),
        }
    }

    /// The address of a page's picture, once it is laid flat.
    pub fn address(self, page: usize) -> Signal<Option<String>> {
        Signal::derive(move || self.addresses.with(|all| all.get(page).cloned().flatten()))
    }

    /// Lays the pictures of these pages flat; without one a page shows the outline alone.
    pub fn show(self, pages: Vec<Option<Flat>>) {
        if self.shown.with_value(|shown| *shown == pages) {
            return;
        }
        self.shown.set_value(pages.clone());
        self.held.update_value(Vec::clear);
        leptos::task::spawn_local(async move {
            for (i, flat) in pages.into_iter().enumerate() {
                let Some(flat) = flat else { continue };
                let Ok(url) = darkroom::flat_picture(&flat.photo, flat.sight, &flat.frame).await
                else {
                    continue;
                };
                let address = url.as_str().to_owned();
                self.held.try_update_value(|held| held.push(url));
                self.addresses.try_update(|all| {
                    if all.len() <= i {
                        all.resize(i + 1, None);
                    }
                    all[i] = Some(address);
                });
            }
        });
    }
}
