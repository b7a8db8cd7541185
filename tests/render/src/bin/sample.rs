//! Writes the sample photo, `public/sample/plaque.webp`, and its truth,
//! `src/job/sample/plaque.json`. Both are made up: no such wall or plaque exists.

use peelcast_render::light::{Lamp, Lit};
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::plaque::Plaque;
use peelcast_render::surface::{Place, Surface, Thing};
use peelcast_render::view::{Hold, View};
use serde::Serialize;
use std::path::Path;

/// The truth beside the photo; lengths in millimetres, pixels of the upright picture, x right,
/// y down, (0, 0) the centre of the first pixel.
#[derive(Serialize)]
struct Truth {
    made_up: bool,
    about: &'static str,
    image_size_px: [u32; 2],
    file_bytes: usize,
    lens: TrueLens,
    tilt_deg: f64,
    gravity: [f64; 3],
    card_corners_px: Vec<[f64; 2]>,
    outline_px: Vec<[f64; 2]>,
    true_area_mm2: f64,
    true_perimeter_mm: f64,
    relief_mm: f64,
}

#[derive(Serialize)]
struct TrueLens {
    focal_px: f64,
    center_px: [f64; 2],
    k1: f64,
    k2: f64,
}

/// ISO/IEC 7810 ID-1: size and radius of the corners, in millimetres.
const CARD: [f64; 2] = [85.60, 53.98];
const CARD_CORNER: f64 = 3.18;
const SIZE: [u32; 2] = [1024, 768];
const TILT_DEG: f64 = 17.0;
const POINTS: u32 = 44;
/// The file may have this many bytes, so that the app stays small.
const MOST_BYTES: usize = 12_000;

fn main() -> std::io::Result<()> {
    let plaque = Plaque {
        middle: [0.0, 0.0],
        half: [120.0, 90.0],
        colour: [0.80, 0.765, 0.69],
    };
    let card = Place {
        origin: [-233.0, -2.0],
        turn_deg: -3.0,
    };
    let taped = |x: f64, y: f64, turn_deg: f64| Thing::Tape {
        place: Place {
            origin: card.to_wall([x, y]),
            turn_deg,
        },
        size: [34.0, 15.0],
    };
    let surface = Surface {
        wall: [0.66, 0.56, 0.43],
        rough: 1.0,
        things: vec![
            Thing::Plaque(plaque),
            Thing::Card {
                place: card,
                size: CARD,
                corner: CARD_CORNER,
                colour: [0.36, 0.50, 0.60],
            },
            taped(44.0, 0.0, 84.0),
            taped(40.0, CARD[1], 93.0),
        ],
    };
    let view = View::new(
        SIZE,
        788.5,
        Hold {
            target: [-54.0, 0.0],
            distance: 375.0,
            tilt_deg: TILT_DEG,
            azimuth_deg: 52.0,
            roll_deg: -1.5,
        },
    )
    .bent(0.012, -0.004);
    let lamp = Lamp {
        at: [-780.0, -800.0, 640.0],
        colour: [1.02, 0.82, 0.60],
        aim: [-50.0, 0.0],
        sky: [0.17, 0.19, 0.23],
        soft: 0.16,
    };
    let (from, to) = view.reach(30.0);
    let lit = Lit::new(&surface, &lamp, from, to, 0.14);
    let photo = Photo::take(
        &lit,
        &view,
        &Sensor {
            samples: 3,
            blur_px: 0.6,
            noise: 0.004,
            exposure: 0.78,
            seed: 7,
        },
    );
    let encoder = webp::Encoder::from_rgb(photo.rgb(), SIZE[0], SIZE[1]);
    let webp = (30..=92_u8)
        .rev()
        .map(|quality| encoder.encode(f32::from(quality)))
        .find(|bytes| bytes.len() <= MOST_BYTES)
        .expect("some quality is small enough");
    let truth = Truth {
        made_up: true,
        about: "Drawn by the project's own renderer. No such wall, plaque or place exists.",
        image_size_px: SIZE,
        file_bytes: webp.len(),
        lens: TrueLens {
            focal_px: view.focal,
            center_px: view.center,
            k1: view.k1,
            k2: view.k2,
        },
        tilt_deg: TILT_DEG,
        gravity: view.gravity(0.0),
        card_corners_px: [[0.0, 0.0], [CARD[0], 0.0], CARD, [0.0, CARD[1]]]
            .map(|corner| tenths(view.see(card.to_wall(corner))))
            .to_vec(),
        outline_px: (0..POINTS)
            .map(|i| tenths(view.see(plaque.edge(f64::from(i) / f64::from(POINTS)))))
            .collect(),
        true_area_mm2: plaque.area(),
        true_perimeter_mm: plaque.perimeter(),
        relief_mm: plaque.highest(),
    };
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let json = serde_json::to_string_pretty(&truth)? + "\n";
    write(&root.join("public/sample/plaque.webp"), &webp)?;
    write(&root.join("src/job/sample/plaque.json"), json.as_bytes())
}

/// A mark set with a magnifier is good to a tenth of a pixel at most.
fn tenths(px: [f64; 2]) -> [f64; 2] {
    px.map(|c| (c * 10.0).round() / 10.0)
}

fn write(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder)?;
    }
    std::fs::write(path, bytes)?;
    println!("{} ({} bytes)", path.display(), bytes.len());
    Ok(())
}
