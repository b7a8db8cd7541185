//! Photographs a relief on a wall in true perspective: each sample of the picture is a line of
//! sight, followed from the camera's side down to the first place that it meets.

use crate::Point;
use crate::field::Field;
use crate::texture::Texture;
use crate::view::View;

/// ISO/IEC 7810 ID-1: size and radius of the corners, in millimetres.
pub const CARD: Point = [85.60, 53.98];
const CARD_CORNER: f64 = 3.18;

/// A wall with a relief and a card whose upper left corner is the frame's zero.
pub struct Relief {
    /// The relief.
    pub field: Field,
    /// What wall and relief look like.
    pub texture: Texture,
    /// Seed of the texture.
    pub seed: u32,
    /// How far the card's face lies before the wall, in millimetres.
    pub card_mm: f64,
    /// From the wall towards the lamp, far away: right, down, out of the wall; of length 1.
    pub lamp: [f64; 3],
    tops: Tops,
}

/// What a line of sight meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// Beside the card's corner, in millimetres.
    pub wall: Point,
    /// Before the wall, in millimetres.
    pub height: f64,
    /// Whether it is the card.
    pub card: bool,
}

impl Relief {
    /// A relief lit from above to the left.
    pub fn new(field: Field, texture: Texture, seed: u32, card_mm: f64) -> Self {
        let tops = Tops::of(&field);
        Self {
            field,
            texture,
            seed,
            card_mm,
            lamp: [-0.46, -0.50, 0.7338],
            tops,
        }
    }

    /// The light that comes to a pixel, red green blue: from four places of it where relief or
    /// card have edges, from its middle where there is only wall.
    pub fn pixel(&self, view: &View, px: Point) -> Option<[f64; 3]> {
        let foot = view.unsee(px)?;
        let (from, to) = self.field.reach();
        let margin = self.tops.highest + 5.0;
        let near = |from: Point, to: Point| {
            (0..2).all(|i| foot[i] > from[i] - margin && foot[i] < to[i] + margin)
        };
        if !near(from, to) && !near([0.0; 2], CARD) {
            return self.light(view, px);
        }
        let mut sum = [0.0; 3];
        for [dx, dy] in [[-0.25, -0.25], [0.25, -0.25], [-0.25, 0.25], [0.25, 0.25]] {
            let light = self.light(view, [px[0] + dx, px[1] + dy])?;
            (0..3).for_each(|i| sum[i] += light[i] / 4.0);
        }
        Some(sum)
    }

    /// The light that comes to a place of the picture, red green blue.
    pub fn light(&self, view: &View, px: Point) -> Option<[f64; 3]> {
        let hit = self.hit(view, px)?;
        let [sx, sy] = if hit.card || hit.height <= 0.0 {
            [0.0; 2]
        } else {
            self.field.slope(hit.wall)
        };
        let long = (1.0 + sx * sx + sy * sy).sqrt();
        let lit = (self.lamp[2] - sx * self.lamp[0] - sy * self.lamp[1]) / long;
        let open = 0.5 + 0.5 / long;
        let colour = if hit.card {
            printed(hit.wall)
        } else {
            let place = [hit.wall[0], hit.wall[1], hit.height];
            self.texture.colour(place, self.seed)
        };
        let warm = [1.0, 0.96, 0.90];
        let sky = [0.30, 0.32, 0.35];
        Some(std::array::from_fn(|i| {
            colour[i] * (0.95 * warm[i] * lit.max(0.0) + sky[i] * open)
        }))
    }

    /// What a place of the picture shows; `None` past the wall's horizon.
    pub fn hit(&self, view: &View, px: Point) -> Option<Hit> {
        let (ray, stand) = (view.ray(px), view.stand());
        let along = -stand[2] / ray[2];
        if !(along > 0.0 && along.is_finite()) {
            return None;
        }
        let foot = [0, 1].map(|i| stand[i] + along * ray[i]);
        // How far the line moves along the wall for each millimetre out of it.
        let lean = [0, 1].map(|i| -ray[i] / ray[2]);
        let on_card = [0, 1].map(|i| foot[i] + lean[i] * self.card_mm);
        if in_card(on_card) {
            let over = self.follow(foot, lean);
            if over.is_none_or(|hit| hit.height < self.card_mm) {
                return Some(Hit {
                    wall: on_card,
                    height: self.card_mm,
                    card: true,
                });
            }
            return over;
        }
        Some(self.follow(foot, lean).unwrap_or(Hit {
            wall: foot,
            height: 0.0,
            card: false,
        }))
    }

    /// Follows a line down to the wall: the first place where it dips into the relief.
    fn follow(&self, foot: Point, lean: Point) -> Option<Hit> {
        let mut height = self.tops.highest;
        let at = |height: f64| [0, 1].map(|i| foot[i] + lean[i] * height);
        let (from, to) = self.field.reach();
        let head = at(height);
        let beside = |i: usize| foot[i].max(head[i]) < from[i] || foot[i].min(head[i]) > to[i];
        if beside(0) || beside(1) {
            return None;
        }
        let speed = lean[0].hypot(lean[1]).max(1e-6);
        let fine = (0.4 * self.field.step / speed).min(1.0);
        let mut above = height;
        loop {
            let top = self.tops.near(at(height));
            if height > top {
                // Nothing within a block's width reaches so high.
                above = height;
                height = (height - BLOCK / speed).max(top);
                if height > 0.0 {
                    continue;
                }
            }
            let under = self.field.at(at(height));
            if under > height || under == height && height > 0.0 {
                return Some(self.narrowed(at, above, height));
            }
            if height <= 0.0 {
                return None;
            }
            above = height;
            height = (height - fine).max(0.0);
        }
    }

    /// The place where the line dips in, between a height that is outside and one inside.
    fn narrowed(&self, at: impl Fn(f64) -> Point, mut outside: f64, mut within: f64) -> Hit {
        for _ in 0..24 {
            let middle = (outside + within) / 2.0;
            if self.field.at(at(middle)) >= middle {
                within = middle;
            } else {
                outside = middle;
            }
        }
        Hit {
            wall: at(within),
            height: within,
            card: false,
        }
    }
}

/// Width of the blocks by which empty space is skipped, in millimetres.
const BLOCK: f64 = 4.0;

/// The highest place in each block and those around it.
struct Tops {
    origin: Point,
    columns: usize,
    rows: usize,
    tops: Vec<f64>,
    highest: f64,
}

impl Tops {
    fn of(field: &Field) -> Self {
        let (from, to) = field.reach();
        let [columns, rows] = [0, 1].map(|i| ((to[i] - from[i]) / BLOCK).ceil() as usize + 1);
        let per = (BLOCK / field.step).ceil() as usize;
        let own: Vec<f64> = (0..columns * rows)
            .map(|i| {
                let [x, y] = [i % columns, i / columns].map(|n| n as f64 * BLOCK);
                let mut top = 0.0_f64;
                for r in 0..=per {
                    for c in 0..=per {
                        let near = [x + c as f64 * field.step, y + r as f64 * field.step];
                        top = top.max(field.at([from[0] + near[0], from[1] + near[1]]));
                    }
                }
                top
            })
            .collect();
        let tops = (0..columns * rows)
            .map(|i| {
                let (c, r) = (i % columns, i / columns);
                let mut top = 0.0_f64;
                for row in r.saturating_sub(1)..(r + 2).min(rows) {
                    for column in c.saturating_sub(1)..(c + 2).min(columns) {
                        top = top.max(own[row * columns + column]);
                    }
                }
                // Between the nodes that were looked at it may be a little higher.
                if top > 0.0 { top + 0.5 } else { 0.0 }
            })
            .collect();
        Self {
            origin: from,
            columns,
            rows,
            tops,
            highest: field.highest() + 0.5,
        }
    }

    fn near(&self, wall: Point) -> f64 {
        let [c, r] = [0, 1].map(|i| ((wall[i] - self.origin[i]) / BLOCK).floor());
        let side = |x: f64, n: usize| x.clamp(0.0, (n - 1) as f64);
        let far = (c - side(c, self.columns)).abs() + (r - side(r, self.rows)).abs();
        if far > 1.0 {
            return 0.0;
        }
        self.tops[side(r, self.rows) as usize * self.columns + side(c, self.columns) as usize]
    }
}

fn in_card(p: Point) -> bool {
    let q = [0, 1].map(|i| (p[i] - CARD[i] / 2.0).abs() - (CARD[i] / 2.0 - CARD_CORNER));
    q[0].max(0.0).hypot(q[1].max(0.0)) <= CARD_CORNER
}

/// The card's print: a band, a block and some lines, of no bank.
fn printed([x, y]: Point) -> [f64; 3] {
    let blue = [0.16, 0.26, 0.40];
    let pale = [0.62, 0.68, 0.72];
    let gold = [0.66, 0.54, 0.25];
    let chip = (10.0..21.0).contains(&x) && (18.0..27.0).contains(&y);
    let line = (10.0..62.0).contains(&x) && (34.0..37.0).contains(&y) && x % 3.5 < 2.2;
    let small = (10.0..40.0).contains(&x) && (44.0..46.0).contains(&y) && x % 2.3 < 1.4;
    let arc = ((x - 70.0).hypot(y - 12.0) - 22.0).abs() < 1.5;
    if chip {
        gold
    } else if line || small || arc {
        pale
    } else {
        blue
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::named;
    use crate::view::Hold;

    fn photographed(name: &str, tilt_deg: f64) -> (Relief, View) {
        let field = named(name).unwrap().centred([200.0, 30.0]);
        let hold = Hold {
            target: [190.0, 20.0],
            distance: 620.0,
            tilt_deg,
            azimuth_deg: 20.0,
            roll_deg: 3.0,
        };
        let view = View::new([2000, 1500], 1520.0, hold).bent(0.03, -0.01);
        (Relief::new(field, Texture::Stone, 1, 0.76), view)
    }

    /// What a line of sight meets is where the camera says that such a place is seen, lies on
    /// the relief, and nothing lies before it.
    #[test]
    fn a_line_ends_on_the_relief_and_is_clear_before() {
        for name in ["rosette", "box", "torus"] {
            let (relief, view) = photographed(name, 18.0);
            let mut raised = 0;
            for i in 0..4000 {
                let px = [
                    700.0 + f64::from(i % 80) * 8.0,
                    500.0 + f64::from(i / 80) * 10.0,
                ];
                let hit = relief.hit(&view, px).unwrap();
                let seen = view.see_before(hit.wall, hit.height);
                assert!(
                    (seen[0] - px[0]).hypot(seen[1] - px[1]) < 1e-6,
                    "{px:?} {seen:?}"
                );
                if hit.card {
                    continue;
                }
                let under = relief.field.at(hit.wall);
                assert!((under - hit.height).abs() < 1e-3, "{name} {hit:?} {under}");
                let stand = view.stand();
                raised += usize::from(hit.height > 1.0);
                for k in 1..400 {
                    let out = f64::from(k) * 0.1;
                    let share = out / (-stand[2] - hit.height);
                    let place = [0, 1].map(|i| hit.wall[i] + share * (stand[i] - hit.wall[i]));
                    let over = hit.height + out - relief.field.at(place);
                    assert!(over > -0.05, "{name} {px:?} {hit:?} {over}");
                }
            }
            assert!(raised > 500, "{raised}");
        }
    }

    #[test]
    fn the_near_side_of_a_box_is_seen_and_the_far_side_is_not() {
        let (relief, view) = photographed("box", 18.0);
        // The camera stands to the right: half up the right side is seen, the left side is not.
        let right = relief
            .hit(&view, view.see_before([260.0, 30.0], 10.0))
            .unwrap();
        assert!((right.height - 10.0).abs() < 0.5 && (right.wall[0] - 260.0).abs() < 0.3);
        let left = relief
            .hit(&view, view.see_before([140.0, 30.0], 10.0))
            .unwrap();
        assert!((left.height - 20.0).abs() < 0.1, "{left:?}");
    }
}
