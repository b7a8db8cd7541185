//! Light on the wall: a lamp with falloff, the shadows of the relief, and a dim sky.

use crate::Point;
use crate::surface::Surface;

/// The lamp and the sky.
#[derive(Clone, Copy, Debug)]
pub struct Lamp {
    /// Where the lamp is: x and y on the wall, and how far out of it, in millimetres.
    pub at: [f64; 3],
    /// The lamp's light at the place it is aimed at, red green blue.
    pub colour: [f64; 3],
    /// The place where `colour` holds; further away the light falls off with the square.
    pub aim: Point,
    /// Light from everywhere, red green blue.
    pub sky: [f64; 3],
    /// Width of the lamp as seen from the wall, as a slope: the softness of shadows.
    pub soft: f64,
}

impl Lamp {
    /// A lamp above to the left that throws soft shadows, with some daylight.
    pub fn from_the_side() -> Self {
        Self {
            at: [-300.0, -420.0, 1500.0],
            colour: [0.75, 0.70, 0.62],
            aim: [0.0, 0.0],
            sky: [0.25, 0.27, 0.30],
            soft: 0.3,
        }
    }
}

/// A lit piece of the wall, ready to be photographed: linear light, red green blue.
pub struct Lit {
    origin: Point,
    mm: f64,
    columns: usize,
    rows: usize,
    light: Vec<[f32; 3]>,
}

impl Lit {
    /// Lights the rectangle from `from` to `to` on the wall, in texels of `mm` millimetres.
    pub fn new(surface: &Surface, lamp: &Lamp, from: Point, to: Point, mm: f64) -> Self {
        let columns = ((to[0] - from[0]) / mm).ceil() as usize + 1;
        let rows = ((to[1] - from[1]) / mm).ceil() as usize + 1;
        let place = |c: usize, r: usize| [from[0] + c as f64 * mm, from[1] + r as f64 * mm];
        let skins: Vec<_> = in_rows(rows, columns, |r, c| {
            let skin = surface.at(place(c, r));
            (skin.colour, skin.height)
        });
        let height = |c: usize, r: usize| skins[r * columns + c].1;
        let light = in_rows(rows, columns, |r, c| {
            let p = place(c, r);
            let here = height(c, r);
            let (left, right) = (c.saturating_sub(1), (c + 1).min(columns - 1));
            let (up, low) = (r.saturating_sub(1), (r + 1).min(rows - 1));
            let slope = [
                gentler(here - height(left, r), height(right, r) - here) / mm,
                gentler(here - height(c, up), height(c, low) - here) / mm,
            ];
            let to_lamp = [lamp.at[0] - p[0], lamp.at[1] - p[1], lamp.at[2] - here];
            let far = norm(to_lamp);
            let aimed = norm([
                lamp.at[0] - lamp.aim[0],
                lamp.at[1] - lamp.aim[1],
                lamp.at[2],
            ]);
            let facing = (to_lamp[2] - slope[0] * to_lamp[0] - slope[1] * to_lamp[1])
                / (far * (1.0 + slope[0].powi(2) + slope[1].powi(2)).sqrt());
            let flat = lamp.at[2] / aimed;
            let seen = lit_share(&height, [columns, rows], [c, r], mm, to_lamp, lamp.soft);
            let open = openness(&height, [columns, rows], [c, r], mm);
            let strength = facing.max(0.0) / flat * (aimed / far).powi(2) * seen;
            let colour = skins[r * columns + c].0;
            std::array::from_fn(|i| {
                (colour[i] * (lamp.colour[i] * strength + lamp.sky[i] * open)) as f32
            })
        });
        Self {
            origin: from,
            mm,
            columns,
            rows,
            light,
        }
    }

    /// The light that comes from a place on the wall; the border goes on outside.
    pub fn at(&self, wall: Point) -> [f64; 3] {
        let side = |x: f64, n: usize| x.clamp(0.0, (n - 1) as f64 - 1e-9);
        let x = side((wall[0] - self.origin[0]) / self.mm, self.columns);
        let y = side((wall[1] - self.origin[1]) / self.mm, self.rows);
        let (c, r) = (x as usize, y as usize);
        let (fx, fy) = (x - c as f64, y - r as f64);
        let at = |dc: usize, dr: usize| self.light[(r + dr) * self.columns + c + dc];
        let (a, b, d, e) = (at(0, 0), at(1, 0), at(0, 1), at(1, 1));
        std::array::from_fn(|i| {
            let top = f64::from(a[i]) * (1.0 - fx) + f64::from(b[i]) * fx;
            let low = f64::from(d[i]) * (1.0 - fx) + f64::from(e[i]) * fx;
            top * (1.0 - fy) + low * fy
        })
    }
}

/// The smaller of two rises. A thing's upright side has no width as seen from the front: the
/// texels on both sides of it are lit as the flat places that they are.
fn gentler(before: f64, after: f64) -> f64 {
    if before.abs() < after.abs() {
        before
    } else {
        after
    }
}

/// How far towards the lamp relief is looked for, in millimetres: no ornament here throws a
/// longer shadow.
const LONGEST_SHADOW: f64 = 26.0;

/// How much of the lamp is seen over the relief between, from 0 to 1.
fn lit_share(
    height: &impl Fn(usize, usize) -> f64,
    [columns, rows]: [usize; 2],
    [c, r]: [usize; 2],
    mm: f64,
    to_lamp: [f64; 3],
    soft: f64,
) -> f64 {
    let flat = to_lamp[0].hypot(to_lamp[1]).max(1e-9);
    let (dx, dy) = (to_lamp[0] / flat, to_lamp[1] / flat);
    let rise = to_lamp[2] / flat;
    let here = height(c, r);
    let mut steepest = f64::NEG_INFINITY;
    let mut far = 0.6;
    while far < LONGEST_SHADOW {
        let (x, y) = (c as f64 + dx * far / mm, r as f64 + dy * far / mm);
        if x < 0.0 || y < 0.0 || x >= columns as f64 || y >= rows as f64 {
            break;
        }
        steepest = steepest.max((height(x as usize, y as usize) - here) / far);
        far *= 1.12;
    }
    ((rise - steepest) / soft + 0.5).clamp(0.0, 1.0)
}

/// How open a place is to the sky, from the relief a little way off in eight directions.
fn openness(
    height: &impl Fn(usize, usize) -> f64,
    [columns, rows]: [usize; 2],
    [c, r]: [usize; 2],
    mm: f64,
) -> f64 {
    let here = height(c, r);
    let mut hidden = 0.0;
    for i in 0..8 {
        let (s, k) = (f64::from(i) * std::f64::consts::FRAC_PI_4).sin_cos();
        let steepest = [1.2, 3.0, 7.0]
            .map(|far| {
                let x = (c as f64 + k * far / mm).clamp(0.0, (columns - 1) as f64);
                let y = (r as f64 + s * far / mm).clamp(0.0, (rows - 1) as f64);
                (height(x as usize, y as usize) - here) / far
            })
            .into_iter()
            .fold(0.0, f64::max);
        hidden += steepest / (1.0 + steepest * steepest).sqrt() / 8.0;
    }
    (1.0 - hidden).powi(2)
}

fn norm(v: [f64; 3]) -> f64 {
    v.iter().map(|c| c * c).sum::<f64>().sqrt()
}

/// Fills a table row by row, the rows shared out among the processor's cores.
pub(crate) fn in_rows<T: Send>(
    rows: usize,
    columns: usize,
    cell: impl Fn(usize, usize) -> T + Sync,
) -> Vec<T> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let share = rows.div_ceil(workers).max(1);
    std::thread::scope(|scope| {
        let cell = &cell;
        let parts: Vec<_> = (0..rows)
            .step_by(share)
            .map(|first| {
                scope.spawn(move || {
                    (first..(first + share).min(rows))
                        .flat_map(|r| (0..columns).map(move |c| cell(r, c)))
                        .collect::<Vec<T>>()
                })
            })
            .collect();
        parts
            .into_iter()
            .flat_map(|part| part.join().expect("a worker drew its rows"))
            .collect()
    })
}
