//! Plaster on a plaster wall in a lamp's light, as a camera held askew sees it.

use peelcast_render::light::{Lamp, Lit};
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::surface::{Surface, Thing};
use peelcast_render::view::{Hold, View};

/// Size of the photo in pixels.
pub const SIZE: [u32; 2] = [1000, 800];
/// The wall's colour.
pub const PLASTER: [f64; 3] = [0.72, 0.68, 0.60];

/// Where the lamp stands and how the camera is held.
pub struct Setting {
    pub lamp: [f64; 3],
    pub tilt_deg: f64,
    pub seed: u64,
}

/// Takes the photo.
pub fn photographed(things: Vec<Thing>, setting: &Setting) -> (Photo, View) {
    let surface = Surface {
        wall: PLASTER,
        rough: 1.0,
        things,
    };
    let lamp = Lamp {
        at: setting.lamp,
        colour: [0.75, 0.72, 0.66],
        aim: [0.0, 0.0],
        sky: [0.22, 0.23, 0.25],
        soft: 0.3,
    };
    let hold = Hold {
        target: [10.0, -5.0],
        distance: 520.0,
        tilt_deg: setting.tilt_deg,
        azimuth_deg: 40.0,
        roll_deg: 2.0,
    };
    let view = View::new(SIZE, 900.0, hold);
    let (from, to) = view.reach(4.0);
    let lit = Lit::new(&surface, &lamp, from, to, 0.5);
    let sensor = Sensor {
        samples: 2,
        blur_px: 0.7,
        noise: 0.01,
        exposure: 0.8,
        seed: setting.seed,
    };
    (Photo::take(&lit, &view, &sensor), view)
}
