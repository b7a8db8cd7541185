//! Peelcast: from a photo of ornament fixed in place to a brushed silicone skin and its casts.
//!
//! The way of the data is one way, and lower rooms never import higher ones:
//!
//! - [`words`]: what people read, in the language that is set.
//! - [`quantity`]: units in the type, and estimates that carry their spread.
//! - [`survey`]: a photo and a reference become the wall plane, the footprint and its range.
//! - [`relief`]: heights over the wall, and the surface and volume that follow from them.
//! - [`darkroom`]: one open photo, and everything that is found in its pixels.
//! - [`coating`]: the footprint and a material card become coats, batches and the kit.
//! - [`clock`]: cure at the real temperature, and the steps of a job as they happen.
//! - [`casting`]: the finished mould becomes copies.
//! - [`job`]: the record of all that, and its way out of and into a file.
//! - `phone`: the only room that knows the browser (built for wasm32 only).
//! - `app`: the screens (built for wasm32 only).

// The core, which is what is built natively.
#![cfg_attr(not(target_arch = "wasm32"), deny(missing_docs))]
// What someone gives decides what is found: it is said, never taken for granted.
#![deny(clippy::expect_used, clippy::unwrap_used)]

#[cfg(any(not(target_arch = "wasm32"), feature = "app"))]
pub mod app;
pub mod casting;
pub mod clock;
pub mod coating;
pub mod darkroom;
pub mod job;
pub mod quantity;
pub mod relief;
pub mod survey;
pub mod words;

#[cfg(all(target_arch = "wasm32", feature = "app"))]
pub mod phone;
