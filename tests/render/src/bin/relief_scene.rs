//! Photographs reliefs of known shape: reads one request, or a list, as JSON from a file or from
//! standard input, and writes for each into its folder `a.jpg`, `b.jpg`, ..., `request.json` as
//! `desk relief` reads it, and `truth.json`. All reliefs and walls are made up.

use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::field::Field;
use peelcast_render::outline::outline;
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::relief::{CARD, Relief};
use peelcast_render::shapes;
use peelcast_render::texture::Texture;
use peelcast_render::view::{Hold, View};
use serde::Deserialize;
use serde_json::{Value, json};
use std::io::Read;
use std::path::{Path, PathBuf};

type Trouble = Box<dyn std::error::Error>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Request {
    /// The folder to write into.
    into: PathBuf,
    field: Source,
    texture: Texture,
    /// From 2 to 5 photos.
    #[serde(default = "two")]
    views: usize,
    #[serde(default = "two_thousand")]
    size_px: [u32; 2],
    #[serde(default)]
    seed: u64,
    /// How far the card's face lies before the wall.
    #[serde(default)]
    card_mm: f64,
    /// k1 and k2 of the lens.
    #[serde(default)]
    bend: [f64; 2],
    /// Standard deviation of a mark along each axis.
    #[serde(default = "half")]
    mark_sd_px: f64,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Source {
    /// A relief of `shapes`.
    Named(String),
    /// Heights in millimetres, 32-bit floats, little-endian, row by row from the top left.
    Raw {
        raw: PathBuf,
        nx: usize,
        ny: usize,
        step_mm: f64,
        /// The first height's place beside the card's corner; beside the card by chance without.
        origin_mm: Option<Point>,
    },
}

fn two() -> usize {
    2
}

fn two_thousand() -> [u32; 2] {
    [2000, 1500]
}

fn half() -> f64 {
    0.5
}

fn main() -> Result<(), Trouble> {
    let mut text = String::new();
    match std::env::args().nth(1).filter(|name| name != "-") {
        Some(name) => text = std::fs::read_to_string(name)?,
        None => {
            std::io::stdin().read_to_string(&mut text)?;
        }
    }
    let requests: Vec<Request> = match serde_json::from_str(&text)? {
        list @ Value::Array(_) => serde_json::from_value(list)?,
        one => vec![serde_json::from_value(one)?],
    };
    requests.iter().try_for_each(write)
}

fn write(request: &Request) -> Result<(), Trouble> {
    if !(2..=5).contains(&request.views) {
        return Err("views must be from 2 to 5.".into());
    }
    let mut chance = Chance::new(request.seed);
    let field = placed(&request.field, &mut chance)?;
    let views = loop {
        let views = cameras(request, &field, &mut chance);
        if views.iter().all(|view| holds_all(view, &field)) {
            break views;
        }
    };
    let relief = Relief::new(field, request.texture, request.seed as u32, request.card_mm);
    std::fs::create_dir_all(&request.into)?;
    // One lens took all photos, and it is known to so much.
    let known = views[0].focal * (1.0 + FOCAL_SD * chance.normal());
    let mut photos = Vec::new();
    for (view, letter) in views.iter().zip('a'..) {
        let sensor = Sensor {
            // The relief takes more of them where it matters.
            samples: 1,
            blur_px: 0.6,
            noise: 0.0087,
            exposure: 0.9,
            seed: request.seed * 8 + letter as u64,
        };
        let photo = Photo::take_along(|px| relief.pixel(view, px), view, &sensor);
        let name = format!("{letter}.jpg");
        std::fs::write(request.into.join(&name), photo.jpeg(92))?;
        let corners = [[0.0, 0.0], [CARD[0], 0.0], CARD, [0.0, CARD[1]]];
        let evidence: Vec<Value> = corners
            .map(|mm| {
                let seen = view.see_before(mm, request.card_mm);
                let px = chance.moved(seen, request.mark_sd_px);
                json!({"kind": "point", "px": px, "mm": mm})
            })
            .to_vec();
        photos.push(json!({
            "photo": name,
            "image_size_px": view.size,
            "lens": {
                "focal_px": known,
                "focal_sd_px": known * FOCAL_SD,
                "center_px": view.center,
                "k1": view.k1,
                "k2": view.k2,
                "k_sd": 0.002,
            },
            "gravity": null,
            "gravity_sd_deg": 0.5,
            "point_sd_px": request.mark_sd_px,
            "evidence": evidence,
        }));
    }
    let ring: Vec<Point> = outline(&relief.field)
        .into_iter()
        .map(|wall| views[0].see(wall))
        .collect();
    let question = json!({
        "photos": photos,
        "outline_of": 0,
        "outline_px": ring,
        "max_height_mm": 50,
        "grid_mm": 1.0,
        "readings": [],
    });
    save(&request.into.join("request.json"), &question)?;
    save(&request.into.join("truth.json"), &truth(&relief, &views))
}

/// Standard deviation of the known focal length, as a share.
const FOCAL_SD: f64 = 0.003;

/// The relief, to the right, to the left or below the card.
fn placed(source: &Source, chance: &mut Chance) -> Result<Field, Trouble> {
    let (field, origin) = match source {
        Source::Named(name) => {
            let field = shapes::named(name).ok_or(format!("There is no shape {name}."))?;
            (field, None)
        }
        Source::Raw {
            raw,
            nx,
            ny,
            step_mm,
            origin_mm,
        } => {
            let bytes = std::fs::read(raw)?;
            let heights: Vec<f32> = bytes
                .chunks_exact(4)
                .map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]]))
                .collect();
            if heights.len() != nx * ny {
                return Err(format!("{} holds {} heights.", raw.display(), heights.len()).into());
            }
            let origin = origin_mm.unwrap_or_default();
            (Field::new(origin, *step_mm, *nx, *ny, &heights), *origin_mm)
        }
    };
    if origin.is_some() {
        return Ok(field);
    }
    let (from, to) = field.reach();
    let half = [0, 1].map(|i| (to[i] - from[i]) / 2.0);
    let gap = chance.between(10.0, 30.0);
    let aside = chance.between(-25.0, 25.0);
    let middle = match chance.whole(0, 3) {
        0 => [CARD[0] + gap + half[0], CARD[1] / 2.0 + aside],
        1 => [-gap - half[0], CARD[1] / 2.0 + aside],
        _ => [CARD[0] / 2.0 + aside, -gap - half[1]],
    };
    Ok(field.centred(middle))
}

/// One camera from the left and one from the right, one from above or below, then the other of
/// these and one from square on: neighbours stand 15 to 21 degrees apart.
fn cameras(request: &Request, field: &Field, chance: &mut Chance) -> Vec<View> {
    let (from, to) = field.reach();
    let middle = [0, 1].map(|i| (from[i] + to[i]) / 2.0);
    let longer = f64::from(request.size_px[0].max(request.size_px[1]));
    let focal = longer * chance.between(0.75, 0.77);
    let [k1, k2] = request.bend;
    let sides = chance.between(7.6, 10.4);
    let third = if chance.whole(0, 2) == 0 { 90.0 } else { 270.0 };
    let stands = [
        (sides, 180.0),
        (sides, 0.0),
        (chance.between(13.0, 17.0), third),
        (chance.between(13.0, 17.0), third + 180.0),
        (chance.between(0.0, 2.0), 45.0),
    ];
    stands[..request.views]
        .iter()
        .map(|&(tilt_deg, azimuth_deg)| {
            let hold = Hold {
                target: chance.moved(middle, 8.0),
                distance: 620.0 * (1.0 + 0.02 * chance.normal()),
                tilt_deg,
                azimuth_deg: azimuth_deg + chance.between(-4.0, 4.0),
                roll_deg: 2.0 * chance.normal(),
            };
            View::new(request.size_px, focal, hold).bent(k1, k2)
        })
        .collect()
}

fn holds_all(view: &View, field: &Field) -> bool {
    let (from, to) = field.reach();
    let rectangle = |a: Point, b: Point| [a, [b[0], a[1]], b, [a[0], b[1]]];
    [rectangle([0.0; 2], CARD), rectangle(from, to)]
        .concat()
        .iter()
        .all(|wall| view.holds(view.see(*wall), 15.0))
}

/// What is true, in the card's frame: x right, y down, heights out of the wall.
fn truth(relief: &Relief, views: &[View]) -> Value {
    let field = &relief.field;
    let measures = field.measures();
    let (from, to) = field.reach();
    let first = from.map(f64::floor);
    let [nx, ny] = [0, 1].map(|i| (to[i] - first[i]).ceil() as usize + 1);
    let rows: Vec<Vec<f64>> = (0..ny)
        .map(|r| {
            (0..nx)
                .map(|c| {
                    let h = field.at([first[0] + c as f64, first[1] + r as f64]);
                    (h * 1000.0).round() / 1000.0
                })
                .collect()
        })
        .collect();
    let cameras: Vec<Value> = views
        .iter()
        .map(|view| json!({"focal_px": view.focal, "stand_mm": view.stand()}))
        .collect();
    json!({
        "made_up": true,
        "footprint_mm2": measures.footprint,
        "surface_mm2": measures.surface,
        "volume_mm3": measures.volume,
        "highest_mm": measures.highest,
        "card_mm": relief.card_mm,
        "outline_mm": outline(field),
        "cameras": cameras,
        "grid": {"origin_mm": first, "step_mm": 1.0, "nx": nx, "ny": ny, "height_mm": rows},
    })
}

fn save(path: &Path, value: &Value) -> Result<(), Trouble> {
    Ok(std::fs::write(path, serde_json::to_string(value)? + "\n")?)
}
