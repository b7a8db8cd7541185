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
    /// How far what is traced stands before the plane of the evidence, in millimetres.
    pub(super) traced_at: f64,
}

impl Sight {
    /// The pixel that shows a place on the plane that was traced; `None` where the camera can't
    /// see it.
    pub fn to_photo(&self, mm: Mm) -> Option<Px> {
        self.camera.see_before(mm, self.traced_at)
    }
}
