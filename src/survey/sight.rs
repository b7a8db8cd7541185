//! How the photo sees the wall: all that is needed to show the wall square on.

use super::camera::Camera;
use super::{ImageSize, Mm, Px};
use serde::{Deserialize, Serialize};

/// The likeliest camera before the wall and the size of its picture ([`Wall::sight`](super::Wall::sight)).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sight {
    /// Size of the upright full-size picture.
    pub image_size_px: ImageSize,
    pub(super) camera: Camera,
}

impl Sight {
    /// The pixel that shows a place on the wall; `None` where the camera can't see it.
    pub fn to_photo(&self, mm: Mm) -> Option<Px> {
        self.camera.see(mm)
    }
}
