//! Draws photos of walls with ornament whose true size is known.
//!
//! - [`view`]: a pinhole camera with radial distortion, written apart from the program's own so
//!   that the two check each other.
//! - [`surface`]: what lies on the wall: plaster, a card, a rule, an ornament in relief.
//! - [`light`]: a lamp with falloff, shadow and sky.
//! - [`photo`]: samples, blur, sensor noise, JPEG.
//! - [`scene`]: an ornament, a reference and a camera by chance, with their truth.

pub mod chance;
pub mod light;
pub mod photo;
pub mod plaque;
pub mod scene;
pub mod surface;
pub mod view;

/// A place on the wall in millimetres (x right, y down) or in the picture in pixels.
pub type Point = [f64; 2];
