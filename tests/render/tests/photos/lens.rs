//! The lens from photos of the printed sheet: drawn as its SVG says, through tilt, blur, noise and
//! JPEG; and from corners with noise, whether the stated ranges hold the truth.

use peelcast::survey::calibrate::{
    Calibration, GridCorner, GridView, Paper, Target, calibrate, find_grid, sheet,
};
use peelcast::survey::{GreyView, ImageSize};
use peelcast_render::Point;
use peelcast_render::chance::Chance;
use peelcast_render::photo::{Photo, Sensor};
use peelcast_render::view::{Hold, View};

/// The sheet's black and white, so many cells a millimetre.
const FINE: usize = 20;

/// The sheet as it is printed.
struct Print {
    columns: usize,
    rows: usize,
    dark: Vec<bool>,
    /// The upper left corner of the grid, and a square's side, in millimetres.
    first: Point,
    side: f64,
}

impl Print {
    /// Reads the SVG: squares as `Mx yhsvsh-sz`, discs as circles.
    fn new(paper: Paper) -> Self {
        let svg = sheet(paper);
        let [width, height] = paper.size_mm();
        let cells = |mm: f64| (mm * FINE as f64).round() as usize;
        let (columns, rows) = (cells(width), cells(height));
        let mut dark = vec![false; columns * rows];
        let number = |text: &str| -> f64 { text.trim().parse().expect("a number") };
        let squares = svg.split('M').filter(|part| part.contains("h-"));
        let (mut first, mut side) = ([f64::INFINITY; 2], 0.0);
        for square in squares {
            let (place, rest) = square.split_once('h').expect("a square");
            let (x, y) = place.split_once(' ').expect("a place");
            let [x, y] = [x, y].map(number);
            side = number(rest.split_once('v').expect("a side").0);
            first = [first[0].min(x), first[1].min(y)];
            for row in cells(y)..cells(y + side) {
                dark[row * columns + cells(x)..row * columns + cells(x + side)].fill(true);
            }
        }
        for circle in svg.split("<circle").skip(1) {
            let of = |name: &str| {
                let from = circle.split_once(&format!(" {name}=\"")).expect(name).1;
                from.split_once('"').expect("an end").0
            };
            let [x, y, r] = ["cx", "cy", "r"].map(|name| number(of(name)));
            for row in cells(y - r)..cells(y + r) {
                for column in cells(x - r)..cells(x + r) {
                    let at = [column, row].map(|c| (c as f64 + 0.5) / FINE as f64);
                    if (at[0] - x).hypot(at[1] - y) <= r {
                        dark[row * columns + column] = of("fill") == "#000";
                    }
                }
            }
        }
        Self {
            columns,
            rows,
            dark,
            first,
            side,
        }
    }

    /// The light that comes from it on a wooden table, brighter on the left.
    fn light(&self, at: Point) -> [f64; 3] {
        let lamp = 0.75 - 0.0012 * at[0];
        let cell = at.map(|c| (c * FINE as f64).floor());
        let inside = |c: f64, n: usize| c >= 0.0 && c < n as f64;
        if !(inside(cell[0], self.columns) && inside(cell[1], self.rows)) {
            let grain = 0.04 * (at[1] * 0.35 + 0.6 * (at[0] * 0.05).sin()).sin();
            return [0.30, 0.19, 0.11].map(|c| lamp * (c + grain));
        }
        let dark = self.dark[cell[1] as usize * self.columns + cell[0] as usize];
        [lamp * if dark { 0.04 } else { 0.86 }; 3]
    }

    /// Where an inner corner is on the sheet.
    fn corner(&self, column: u32, row: u32) -> Point {
        [
            self.first[0] + f64::from(column + 1) * self.side,
            self.first[1] + f64::from(row + 1) * self.side,
        ]
    }

    /// The middle of the grid.
    fn middle(&self) -> Point {
        [
            self.first[0] + 4.5 * self.side,
            self.first[1] + 6.5 * self.side,
        ]
    }
}

/// The photo's brightness after JPEG and back.
fn photograph(print: &Print, view: &View, sensor: &Sensor, quality: u8) -> Vec<u8> {
    Photo::take_of(|at| print.light(at), view, sensor).developed(quality)
}

fn sensor(blur_px: f64, noise: f64, seed: u64) -> Sensor {
    Sensor {
        samples: 3,
        blur_px,
        noise,
        exposure: 1.0,
        seed,
    }
}

/// A phone's camera in small; the sheet lies upright in its picture at no roll.
const SIZE: [u32; 2] = [1080, 1440];
const FOCAL: f64 = 1100.0;
const BEND: [f64; 2] = [0.03, -0.02];

fn view(print: &Print, tilt_deg: f64, azimuth_deg: f64, roll_deg: f64, distance: f64) -> View {
    let hold = Hold {
        target: print.middle(),
        distance,
        tilt_deg,
        azimuth_deg,
        roll_deg,
    };
    let mut view = View::new(SIZE, FOCAL, hold).bent(BEND[0], BEND[1]);
    view.center = [view.center[0] + 6.0, view.center[1] - 4.0];
    view
}

fn find(data: &[u8]) -> Result<GridView, String> {
    let grey = GreyView {
        width: SIZE[0],
        height: SIZE[1],
        data,
    };
    find_grid(&grey, Target::SHEET).map_err(|e| e.to_string())
}

#[test]
fn the_sheet_is_found_from_all_sides_and_gives_the_lens() {
    let print = Print::new(Paper::A4);
    let (mut all, mut views) = (Vec::new(), Vec::new());
    println!("tilt  from  roll  blur  noise  JPEG  corners   median   worst");
    for (i, (tilt, azimuth, roll, blur, noise, quality)) in [
        (0.0, 0.0, 2.0, 0.6, 0.006, 92),
        (30.0, 0.0, 0.0, 0.8, 0.01, 85),
        (35.0, 180.0, 5.0, 1.2, 0.01, 85),
        (35.0, 90.0, -8.0, 0.8, 0.02, 75),
        (30.0, 270.0, 180.0, 0.8, 0.01, 85),
        (50.0, 30.0, 30.0, 1.0, 0.02, 85),
        (25.0, 60.0, 95.0, 2.5, 0.03, 60),
    ]
    .into_iter()
    .enumerate()
    {
        let far = if (45.0..135.0).contains(&roll) {
            330.0
        } else {
            250.0
        };
        let view = view(&print, tilt, azimuth, roll, far);
        let data = photograph(&print, &view, &sensor(blur, noise, i as u64), quality);
        let found = find(&data).unwrap_or_else(|said| panic!("photo {i}: {said}"));
        let mut errors: Vec<f64> = found
            .corners
            .iter()
            .map(|c| {
                let truth = view.see(print.corner(c.column, c.row));
                (c.px[0] - truth[0]).hypot(c.px[1] - truth[1])
            })
            .collect();
        errors.sort_by(f64::total_cmp);
        println!(
            "{tilt:>4}  {azimuth:>4}  {roll:>4}  {blur:>4}  {noise:>5}  {quality:>4}  {:>7}  {:.3} px  {:.3} px",
            errors.len(),
            errors[errors.len() / 2],
            errors[errors.len() - 1],
        );
        all.append(&mut errors);
        views.push(found);
    }
    all.sort_by(f64::total_cmp);
    let (median, worst) = (all[all.len() / 2], all[all.len() - 1]);
    println!(
        "all: {} corners, median {median:.3} px, worst {worst:.3} px",
        all.len()
    );
    assert!(median < 0.08 && worst < 0.6, "{median}, {worst}");
    assert!(all.len() * 100 >= 7 * 96 * 95, "{}", all.len());
    let lens = calibrate(&views).unwrap();
    println!("{lens:?}");
    assert!((lens.lens.focal_px / FOCAL - 1.0).abs() < 0.003);
    assert!((lens.lens.k1 - BEND[0]).abs() < 0.01);
    assert!(lens.left_out.is_empty() && lens.advice.is_none());
}

#[test]
fn a_part_of_the_sheet_will_do_and_what_will_not_is_said() {
    let print = Print::new(Paper::Letter);
    let sharp = sensor(0.8, 0.01, 3);
    // The grid reaches past the picture.
    let close = view(&print, 20.0, 45.0, 0.0, 125.0);
    let part = find(&photograph(&print, &close, &sharp, 85)).unwrap();
    println!("close: {} corners", part.corners.len());
    assert!((48..96).contains(&part.corners.len()));
    for c in &part.corners {
        let truth = close.see(print.corner(c.column, c.row));
        let off = (c.px[0] - truth[0]).hypot(c.px[1] - truth[1]);
        assert!(off < 0.6, "{c:?} is {off} px off");
    }
    let said = |view: View, sensor: &Sensor| {
        let said = find(&photograph(&print, &view, sensor, 85)).unwrap_err();
        println!("{said}");
        said
    };
    let straight = view(&print, 10.0, 0.0, 0.0, 330.0);
    assert!(said(straight, &sensor(14.0, 0.01, 1)).contains("blurred"));
    let slant = view(&print, 84.0, 0.0, 0.0, 330.0);
    assert!(said(slant, &sharp).contains("from the side"));
    let aside = view(&print, 10.0, 0.0, 0.0, 330.0);
    let mut away = aside;
    away.center[0] -= 620.0;
    assert!(said(away, &sharp).contains("wholly"));
    let mut gone = aside;
    gone.center[0] -= 4000.0;
    assert!(said(gone, &sharp).contains("isn't seen"));
}

/// A phone by chance and photos of its sheet: corners with noise, and the lens that drew them.
fn simulated(chance: &mut Chance, photos: usize, noise: f64) -> (Vec<GridView>, View) {
    let size = [3000, 4000];
    let focal = 4000.0 * chance.between(0.66, 0.88);
    let bend = [chance.between(-0.05, 0.05), chance.between(-0.02, 0.02)];
    let off = [0, 1].map(|_| 40.0 * chance.normal());
    let phone = |hold: Hold| {
        let mut view = View::new(size, focal, hold).bent(bend[0], bend[1]);
        view.center = [0, 1].map(|k| view.center[k] + off[k]);
        view
    };
    let mut views = Vec::new();
    while views.len() < photos {
        let view = phone(Hold {
            target: [chance.between(50.0, 76.0), chance.between(85.0, 113.0)],
            distance: focal * 198.0 / (4000.0 * chance.between(0.6, 0.9)),
            tilt_deg: chance.between(15.0, 40.0),
            azimuth_deg: 90.0 * views.len() as f64 + chance.between(-30.0, 30.0),
            roll_deg: chance.between(-10.0, 10.0),
        });
        let corners: Vec<GridCorner> = (0..96)
            .map(|i| {
                let (column, row) = (i % 8, i / 8);
                let seen = view.see([18.0 * f64::from(column), 18.0 * f64::from(row)]);
                let px = chance.moved(seen, noise);
                GridCorner { column, row, px }
            })
            .filter(|c| view.holds(c.px, 5.0))
            .collect();
        if corners.len() >= 80 {
            let size = ImageSize {
                width: size[0],
                height: size[1],
            };
            views.push(GridView { size, corners });
        }
    }
    let truth = phone(Hold {
        target: [0.0, 0.0],
        distance: 1.0,
        tilt_deg: 0.0,
        azimuth_deg: 0.0,
        roll_deg: 0.0,
    });
    (views, truth)
}

/// How many of its spreads each number is off: focal length, centre, k1, k2.
fn surprises(found: &Calibration, truth: &View) -> [f64; 5] {
    let lens = found.lens;
    [
        (lens.focal_px - truth.focal) / lens.focal_sd_px,
        (lens.center_px[0] - truth.center[0]) / found.center_sd_px[0],
        (lens.center_px[1] - truth.center[1]) / found.center_sd_px[1],
        (lens.k1 - truth.k1) / found.k1_sd,
        (lens.k2 - truth.k2) / found.k2_sd,
    ]
}

#[test]
fn the_stated_ranges_hold_the_lens_in_95_of_100() {
    let mut chance = Chance::new(11);
    const CASES: usize = 250;
    let (mut held, mut focal_off, mut left_out) = ([0; 5], Vec::new(), 0);
    for _ in 0..CASES {
        let (views, truth) = simulated(&mut chance, 5, 0.2);
        let found = calibrate(&views).unwrap();
        left_out += found.left_out.len();
        focal_off.push((found.lens.focal_px / truth.focal - 1.0).abs());
        for (held, off) in held.iter_mut().zip(surprises(&found, &truth)) {
            *held += usize::from(off.abs() <= 1.96);
        }
    }
    focal_off.sort_by(f64::total_cmp);
    let share = held.map(|n| n as f64 / CASES as f64);
    println!(
        "{CASES} phones, 5 photos each, noise 0.2 px: the 95 % ranges hold focal length, centre x, \
         centre y, k1, k2 in {share:.3?}; focal length off by {:.3} % (median), {:.3} % (95 %)",
        100.0 * focal_off[CASES / 2],
        100.0 * focal_off[CASES * 95 / 100],
    );
    assert!(share.iter().all(|s| (0.92..=0.98).contains(s)), "{share:?}");
    assert!(left_out * 50 <= CASES, "{left_out} photos were left out");
}

#[test]
fn a_wrong_corner_spoils_nothing_and_a_zoomed_photo_is_named() {
    let mut chance = Chance::new(4);
    let (mut views, truth) = simulated(&mut chance, 6, 0.2);
    views[1].corners[40].px[0] += 25.0;
    views[4].corners[7].px[1] -= 60.0;
    let found = calibrate(&views).unwrap();
    assert!(found.left_out.is_empty(), "{:?}", found.notes);
    let off = surprises(&found, &truth);
    assert!(off.iter().all(|s| s.abs() < 3.5), "{off:?}");
    // Zoomed by a fifth about the picture's middle.
    for corner in &mut views[2].corners {
        corner.px = [0, 1].map(|k| {
            let middle = [1499.5, 1999.5][k];
            middle + 1.2 * (corner.px[k] - middle)
        });
    }
    let found = calibrate(&views).unwrap();
    println!("{:?}", found.notes);
    assert_eq!(found.left_out, [2]);
    assert!(found.notes[0].starts_with("Photo 3 contradicts"));
    let off = surprises(&found, &truth);
    assert!(off.iter().all(|s| s.abs() < 3.5), "{off:?}");
}

#[test]
fn photos_that_do_not_suffice_are_told_what_is_missing() {
    let mut chance = Chance::new(9);
    let (views, _) = simulated(&mut chance, 5, 0.2);
    let said = calibrate(&views[..2]).unwrap_err().to_string();
    assert!(said.contains("so far: 2. Take at least 3"), "{said}");
    // Three photos from nearly one place, and the same with a fourth from another side.
    let alike: Vec<GridView> = (0..3)
        .map(|_| {
            let mut again = views[0].clone();
            for corner in &mut again.corners {
                corner.px = chance.moved(corner.px, 0.2);
            }
            again
        })
        .collect();
    let found = calibrate(&alike).unwrap();
    let advice = found.advice.expect("a photo more is wanted");
    println!("{advice}");
    assert!(advice.contains("Take one more photo"), "{advice}");
    let mut other = views[0].clone();
    other.size.width += 8;
    let said = calibrate(&[alike, vec![other]].concat()).unwrap_err();
    assert_eq!(said.field(), "views[3]");
}

#[test]
fn a_photo_held_the_other_way_up_counts() {
    let (mut views, truth) = simulated(&mut Chance::new(21), 5, 0.2);
    // As EXIF's orientation 6 has it: what stands was turned clockwise from what lay.
    for view in &mut views[3..] {
        let width = f64::from(view.size.width);
        for corner in &mut view.corners {
            corner.px = [corner.px[1], width - 1.0 - corner.px[0]];
        }
        (view.size.width, view.size.height) = (view.size.height, view.size.width);
    }
    let found = calibrate(&views).unwrap();
    let off = surprises(&found, &truth);
    assert!(off.iter().all(|s| s.abs() < 3.5), "{off:?}");
}
