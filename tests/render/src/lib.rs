//! Draws photos of walls with ornament whose true size is known.
//!
//! - [`view`]: a pinhole camera with radial distortion, written apart from the program's own so
//!   that the two check each other.
//! - [`surface`]: what lies on the wall: plaster, a card, a rule, an ornament in relief.
//! - [`light`]: a lamp with falloff, shadow and sky.
//! - [`photo`]: samples, blur, sensor noise, JPEG.
//! - [`scene`]: an ornament, a reference and a camera by chance, with their truth.
//! - [`field`]: a relief as a table of heights, and its measures; [`shapes`] makes some.
//! - [`texture`]: what stone and plaster look like, the same from every side.
//! - [`relief`]: photographs a relief in true perspective, with what hides behind what.
//! - [`outline`]: the outline of a relief, as a user would draw it.

pub mod chance;
pub mod field;
pub mod light;
pub mod outline;
pub mod photo;
pub mod plaque;
pub mod relief;
pub mod scene;
pub mod shapes;
pub mod surface;
pub mod texture;
pub mod view;

/// A place on the wall in millimetres (x right, y down) or in the picture in pixels.
pub type Point = [f64; 2];
