//! A ring drawn loosely round plaster on plaster, in drawn photos of known truth.

use crate::plaster::{PLASTER, SIZE, Setting, photographed};
use peelcast::survey::{Px, RgbaView, Ring, RingOutline, Stroke};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::plaque::Plaque;
use peelcast_render::surface::Thing;
use peelcast_render::view::View;
use std::f64::consts::TAU;
use std::sync::OnceLock;

/// Half the plaque's width and height, in millimetres.
const HALF: Point = [118.0, 92.0];

/// A photo as the program gets it, and the true outline in it.
struct Scene {
    rgba: Vec<u8>,
    truth: Vec<Px>,
    holes: Vec<Vec<Px>>,
}

/// The photo as the program gets it: red, green, blue and alpha.
fn decoded(things: Vec<Thing>, setting: &Setting) -> (Vec<u8>, View) {
    let (photo, view) = photographed(things, setting);
    let file = photo.jpeg(88);
    let rgb = jpeg_decoder::Decoder::new(file.as_slice())
        .decode()
        .expect("what was encoded can be decoded");
    let rgba = rgb
        .as_chunks::<3>()
        .0
        .iter()
        .flat_map(|[r, g, b]| [*r, *g, *b, 255])
        .collect();
    (rgba, view)
}

fn plaque(setting: &Setting) -> Scene {
    let plaque = Plaque {
        middle: [0.0, 0.0],
        half: HALF,
        colour: PLASTER,
    };
    let (rgba, view) = decoded(vec![Thing::Plaque(plaque)], setting);
    Scene {
        rgba,
        truth: (0..360)
            .map(|i| view.see(plaque.edge(f64::from(i) / 360.0)))
            .collect(),
        holes: Vec::new(),
    }
}

/// A darker plate with an opening.
fn frame(setting: &Setting) -> Scene {
    let outline = [
        [-110.0, -80.0],
        [112.0, -84.0],
        [108.0, 82.0],
        [-112.0, 78.0],
    ];
    let opening = [[-40.0, -30.0], [44.0, -28.0], [40.0, 34.0], [-38.0, 30.0]];
    let things = vec![
        Thing::Plate {
            outline: outline.to_vec(),
            colour: [0.50, 0.40, 0.33],
            height: 3.0,
        },
        Thing::Plate {
            outline: opening.to_vec(),
            colour: PLASTER,
            height: 0.2,
        },
    ];
    let (rgba, view) = decoded(things, setting);
    Scene {
        rgba,
        truth: outline.map(|p| view.see(p)).to_vec(),
        holes: vec![opening.map(|p| view.see(p)).to_vec()],
    }
}

impl Scene {
    fn photo(&self) -> RgbaView<'_> {
        RgbaView {
            width: SIZE[0],
            height: SIZE[1],
            bytes: &self.rgba,
        }
    }

    /// A ring about the truth, some way outside it, by an unsteady hand.
    fn ring(&self, loose: f64, seed: u64) -> Vec<Px> {
        let mut chance = Chance::new(seed);
        let n = self.truth.len() as f64;
        let middle = [0, 1].map(|k| self.truth.iter().map(|p| p[k]).sum::<f64>() / n);
        (0..40)
            .map(|i| {
                // The farthest the truth reaches in this direction, and a way beyond.
                let (s, c) = (f64::from(i) / 40.0 * TAU).sin_cos();
                let reach = farthest(&self.truth, middle, [c, s]);
                let r = reach * (1.0 + loose * chance.between(0.6, 1.4));
                [middle[0] + r * c, middle[1] + r * s]
            })
            .collect()
    }
}

/// How far the ring reaches from a point in a direction.
fn farthest(ring: &[Px], from: Px, along: Px) -> f64 {
    (0..ring.len())
        .filter_map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let (u, v) = ([b[0] - a[0], b[1] - a[1]], [a[0] - from[0], a[1] - from[1]]);
            let cross = along[0] * u[1] - along[1] * u[0];
            let r = (v[0] * u[1] - v[1] * u[0]) / cross;
            let t = (v[0] * along[1] - v[1] * along[0]) / cross;
            (r > 0.0 && (0.0..=1.0).contains(&t)).then_some(r)
        })
        .fold(0.0, f64::max)
}

/// Whether each pixel of the photo lies in the outline and in none of the holes.
fn mask(outline: &[Px], holes: &[Vec<Px>]) -> Vec<bool> {
    let mut mask = vec![false; (SIZE[0] * SIZE[1]) as usize];
    for ring in std::iter::once(outline).chain(holes.iter().map(Vec::as_slice)) {
        for (y, row) in mask.chunks_mut(SIZE[0] as usize).enumerate() {
            let y = y as f64 + 1e-6;
            for i in 0..ring.len() {
                let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
                if (a[1] > y) != (b[1] > y) {
                    let x = a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]);
                    let from = x.ceil().clamp(0.0, f64::from(SIZE[0])) as usize;
                    row[from..].iter_mut().for_each(|p| *p = !*p);
                }
            }
        }
    }
    mask
}

/// Overlap (intersection over union) with the truth, and the area's error.
fn judged(scene: &Scene, found: &RingOutline) -> (f64, f64) {
    let truth = mask(&scene.truth, &scene.holes);
    let found = mask(&found.outline, &found.holes);
    let count = |both: &dyn Fn(bool, bool) -> bool| {
        truth
            .iter()
            .zip(&found)
            .filter(|(t, f)| both(**t, **f))
            .count() as f64
    };
    let overlap = count(&|t, f| t && f) / count(&|t, f| t || f);
    (overlap, count(&|_, f| f) / count(&|t, _| t) - 1.0)
}

/// What is drawn, under which light and from where, and what the ring must reach: hard light at
/// a slant lays a shadow beside the ornament that no ring tells from it.
const SETTINGS: [(Setting, f64, f64); 4] = [
    (setting([-500.0, -700.0, 900.0], 0.0, 1), 0.91, 0.96),
    (setting([-900.0, -300.0, 700.0], 18.0, 2), 0.86, 0.95),
    (setting([300.0, -900.0, 600.0], 25.0, 3), 0.88, 0.94),
    (setting([-60.0, -100.0, 1200.0], 10.0, 4), 0.98, 0.98),
];

const fn setting(lamp: [f64; 3], tilt_deg: f64, seed: u64) -> Setting {
    Setting {
        lamp,
        tilt_deg,
        seed,
    }
}

/// One frame for all that need no more than that.
fn evenly_lit() -> &'static Scene {
    static SCENE: OnceLock<Scene> = OnceLock::new();
    SCENE.get_or_init(|| frame(&SETTINGS[3].0))
}

fn found(scene: &Scene, drawn: &[Px]) -> RingOutline {
    Ring::draw(&scene.photo(), drawn)
        .and_then(|ring| ring.outline(&scene.photo()))
        .expect("a good ring finds something")
}

#[test]
fn plaster_on_plaster_is_found_and_holes_are_kept() {
    println!("what    light  loose  overlap  area      points  holes");
    let mut failed = Vec::new();
    for (setting, plaque_overlap, frame_overlap) in &SETTINGS {
        for (name, scene, least) in [
            ("plaque", plaque(setting), plaque_overlap),
            ("frame", frame(setting), frame_overlap),
        ] {
            for loose in [0.08, 0.2] {
                let drawn = scene.ring(loose, setting.seed);
                let found = found(&scene, &drawn);
                let (overlap, error) = judged(&scene, &found);
                let line = format!(
                    "{name:<6}  {}      {loose:.2}   {overlap:.4}   {:+5.2} %  {:>5}  {:>5}",
                    setting.seed,
                    error * 100.0,
                    found.outline.len(),
                    found.holes.len(),
                );
                println!("{line}");
                let sound = overlap >= *least
                    && error.abs() < 0.12
                    && found.holes.len() == scene.holes.len();
                if !sound {
                    failed.push(line);
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}

#[test]
fn the_same_ring_gives_the_same_outline() {
    let scene = evenly_lit();
    let drawn = scene.ring(0.1, 5);
    assert_eq!(found(scene, &drawn), found(scene, &drawn));
}

#[test]
fn strokes_are_obeyed() {
    let scene = evenly_lit();
    let drawn = scene.ring(0.1, 6);
    let middle = |ring: &[Px]| {
        let n = ring.len() as f64;
        [0, 1].map(|k| ring.iter().map(|p| p[k]).sum::<f64>() / n)
    };
    let before = found(scene, &drawn);
    let covered = |found: &RingOutline, at: Px| {
        mask(&found.outline, &found.holes)[at[1] as usize * SIZE[0] as usize + at[0] as usize]
    };
    // "This too" into the opening, "not this" onto the plate's left side.
    let opening = middle(&scene.holes[0]);
    let corner = scene.truth[0];
    let left = [corner[0] + 25.0, opening[1]];
    assert!(!covered(&before, opening) && covered(&before, left));
    let mut ring = Ring::draw(&scene.photo(), &drawn).unwrap();
    for (ornament, at) in [(true, opening), (false, left)] {
        ring.stroke(Stroke {
            ornament,
            path: vec![[at[0], at[1] - 15.0], [at[0], at[1] + 15.0]],
            radius_px: 8.0,
        })
        .unwrap();
    }
    let after = ring.outline(&scene.photo()).unwrap();
    for dy in [-14.0, 0.0, 14.0] {
        assert!(covered(&after, [opening[0], opening[1] + dy]), "this too");
        assert!(!covered(&after, [left[0], left[1] + dy]), "not this");
    }
}

#[test]
fn nonsense_is_refused_with_a_sentence() {
    let scene = evenly_lit();
    let around = |x: f64, y: f64, r: f64| {
        vec![
            [x - r, y - r],
            [x + r, y - r],
            [x + r, y + r],
            [x - r, y + r],
        ]
    };
    for (ring, said) in [
        (vec![[10.0, 10.0], [500.0, 400.0]], "fewer than three"),
        (
            vec![[10.0, f64::NAN], [500.0, 400.0], [10.0, 400.0]],
            "number",
        ),
        (around(500.0, 400.0, 4.0), "too small"),
        (around(-5000.0, 400.0, 100.0), "outside the photo"),
        (around(500.0, 400.0, 5000.0), "whole photo"),
        (
            vec![[300.0, 300.0], [700.0, 500.0], [300.0, 300.0]],
            "next to nothing",
        ),
    ] {
        let Err(error) = Ring::draw(&scene.photo(), &ring) else {
            panic!("taken: {ring:?}");
        };
        assert!(error.to_string().contains(said), "{error}");
        assert!(error.field().starts_with("ring_px"), "{error}");
    }
    let short = RgbaView {
        height: SIZE[1] + 1,
        ..scene.photo()
    };
    let whole = around(500.0, 400.0, 200.0);
    assert_eq!(Ring::draw(&short, &whole).err().unwrap().field(), "photo");
    let mut ring = Ring::draw(&scene.photo(), &scene.ring(0.1, 7)).unwrap();
    let refused = ring.stroke(Stroke {
        ornament: true,
        path: Vec::new(),
        radius_px: 5.0,
    });
    assert!(refused.unwrap_err().to_string().contains("no points"));
}
