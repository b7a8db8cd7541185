//! From a mask to smooth, simple polygons.

use super::super::Px;
use super::super::polygon::{self, signed_area};
use super::super::simplify;
use super::cells::Grid;

/// Weight of a whole cell after the smoothing of both axes by 1 4 6 4 1, and the level between
/// inside and outside; no sum meets it.
const LEVEL: f64 = 127.5;
/// Pieces and holes smaller than this share of the whole are left out, as a craftsperson would.
const LEAST_SHARE: f64 = 0.002;

/// The largest piece of the mask and its holes, in photo pixels, each corner within `tolerance`
/// (px) of the smooth edge; `None` when the mask is empty. A hole about a point that is known to be
/// `ornament` is none.
pub(super) fn outline(
    grid: &Grid,
    mask: &[bool],
    tolerance: f64,
    ornament: &[Px],
) -> Option<(Vec<Px>, Vec<Vec<Px>>)> {
    let mut rings = closed(grid, &smooth(grid, mask));
    // The outline of a piece runs with the ornament on its right, as seen: its area is positive.
    rings.sort_by(|a, b| signed_area(b).total_cmp(&signed_area(a)));
    let outline = rings
        .first()
        .filter(|ring| signed_area(ring) > 0.0)?
        .clone();
    let least = signed_area(&outline) * LEAST_SHARE;
    let holes: Vec<Vec<Px>> = rings
        .into_iter()
        .filter(|ring| -signed_area(ring) > least && polygon::contains(&outline, ring[0]))
        .filter(|ring| !ornament.iter().any(|p| polygon::contains(ring, *p)))
        .collect();
    // A coarse simplification may cross itself in a narrow neck; a finer one does not.
    let mut tolerance = tolerance;
    loop {
        let simple = simplify::ring(&outline, tolerance);
        let simple_holes: Vec<_> = holes.iter().map(|h| simplify::ring(h, tolerance)).collect();
        if polygon::check(&simple, &simple_holes).is_ok() {
            return Some((simple, simple_holes));
        }
        if tolerance < 0.01 {
            return None;
        }
        tolerance /= 2.0;
    }
}

/// The mask as a field from 0 to 255, blurred by one cell; what lies past the border is outside.
fn smooth(grid: &Grid, mask: &[bool]) -> Vec<u8> {
    let wide = grid.wide;
    // Two empty rows above and below, and two empty cells beside each row.
    let mut rows = vec![0_u8; wide * (grid.high + 4)];
    let mut row = vec![0_u8; wide + 4];
    let blurred = rows[2 * wide..].chunks_exact_mut(wide);
    for (to, from) in blurred.zip(mask.chunks_exact(wide)) {
        for (cell, inside) in row[2..].iter_mut().zip(from) {
            *cell = u8::from(*inside);
        }
        for (to, w) in to.iter_mut().zip(row.windows(5)) {
            *to = w[0] + w[4] + 4 * (w[1] + w[3]) + 6 * w[2];
        }
    }
    let mut field = Vec::with_capacity(mask.len());
    for y in 0..grid.high {
        let [a, b, c, d, e] = [0, 1, 2, 3, 4].map(|k| &rows[(y + k) * wide..][..wide]);
        field.extend((0..wide).map(|x| {
            let [a, b, c, d, e] = [a[x], b[x], c[x], d[x], e[x]].map(u32::from);
            (a + e + 4 * (b + d) + 6 * c).min(255) as u8
        }));
    }
    field
}

/// The closed lines along which the field passes the level (marching squares), in photo pixels,
/// what is above the level on the right.
fn closed(grid: &Grid, field: &[u8]) -> Vec<Vec<Px>> {
    let (wide, high) = (grid.wide as isize, grid.high as isize);
    let value = |x: isize, y: isize| {
        if x < 0 || y < 0 || x >= wide || y >= high {
            0.0
        } else {
            f64::from(field[(y * wide + x) as usize])
        }
    };
    let above = |x: isize, y: isize| value(x, y) > LEVEL;
    // A line is followed from crossing to crossing. The crossing above (x, y) lies between
    // (x, y - 1) and (x, y); each line passes some crossing with the inside below.
    let mut passed = vec![false; (wide * (high + 1)) as usize];
    let mut rings = Vec::new();
    for y in 0..=high {
        for x in 0..wide {
            if passed[(y * wide + x) as usize] || above(x, y) == above(x, y - 1) {
                continue;
            }
            let mut ring = Vec::new();
            // From the crossing, the inner and the outer cell at its ends.
            let (mut inner, mut outer) = if above(x, y) {
                ((x, y), (x, y - 1))
            } else {
                ((x, y - 1), (x, y))
            };
            loop {
                if inner.0 == outer.0 {
                    let at = inner.1.max(outer.1) * wide + inner.0;
                    if passed[at as usize] {
                        break;
                    }
                    passed[at as usize] = true;
                }
                let (a, b) = (value(inner.0, inner.1), value(outer.0, outer.1));
                let t = (a - LEVEL) / (a - b);
                let between = |i: isize, o: isize| i as f64 + t * (o - i) as f64;
                let side = f64::from(grid.side);
                let place = |c: f64, start: u32| f64::from(start) + (c + 0.5) * side - 0.5;
                ring.push([
                    place(between(inner.0, outer.0), grid.crop.left),
                    place(between(inner.1, outer.1), grid.crop.top),
                ]);
                // Forward is a quarter turn from outwards: the inside stays on the right.
                let out = (outer.0 - inner.0, outer.1 - inner.1);
                let forward = (-out.1, out.0);
                let step = |c: (isize, isize)| (c.0 + forward.0, c.1 + forward.1);
                let (next_inner, next_outer) = (step(inner), step(outer));
                // Where the inside touches itself at a corner, it is kept apart.
                if !above(next_inner.0, next_inner.1) {
                    outer = next_inner;
                } else if !above(next_outer.0, next_outer.1) {
                    (inner, outer) = (next_inner, next_outer);
                } else {
                    inner = next_outer;
                }
            }
            rings.push(ring);
        }
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::super::cells::Crop;
    use super::*;

    fn grid(side: u32) -> Grid {
        let crop = Crop {
            left: 30,
            top: 10,
            width: 200 * side,
            height: 160 * side,
        };
        Grid::new(crop, side)
    }

    /// Cells whose distance from the middle, in cells, is as wanted.
    fn round(grid: &Grid, wanted: impl Fn(f64) -> bool) -> Vec<bool> {
        (0..grid.count())
            .map(|cell| {
                let (x, y) = ((cell % grid.wide) as f64, (cell / grid.wide) as f64);
                wanted((x - 100.0).hypot(y - 80.0))
            })
            .collect()
    }

    #[test]
    fn a_ring_keeps_its_area_its_hole_and_its_tolerance() {
        for side in [1, 3] {
            let grid = grid(side);
            let mask = round(&grid, |r| r < 60.0 && r > 25.0);
            let tolerance = 0.7 * f64::from(side);
            let (outline, holes) = outline(&grid, &mask, tolerance, &[]).unwrap();
            let px = f64::from(side);
            let (disc, hole) = (signed_area(&outline), -signed_area(&holes[0]));
            let circle = |r: f64| std::f64::consts::PI * (r * px).powi(2);
            assert!((disc / circle(60.0) - 1.0).abs() < 0.02, "{disc}");
            assert!((hole / circle(25.0) - 1.0).abs() < 0.05, "{hole}");
            assert!(holes.len() == 1 && outline.len() < 60, "{}", outline.len());
            // No point strays further than the stair of the cells and what was allowed.
            let middle = [30.0 + 100.5 * px - 0.5, 10.0 + 80.5 * px - 0.5];
            for p in &outline {
                let r = (p[0] - middle[0]).hypot(p[1] - middle[1]);
                assert!((r - 60.0 * px).abs() < px, "{r}");
            }
            for (i, a) in outline.iter().enumerate() {
                let b = outline[(i + 1) % outline.len()];
                let r = ((a[0] + b[0]) / 2.0 - middle[0]).hypot((a[1] + b[1]) / 2.0 - middle[1]);
                assert!((r - 60.0 * px).abs() < px + tolerance, "{r}");
            }
        }
    }

    #[test]
    fn an_island_is_left_out_unless_it_is_known_to_be_ornament() {
        let grid = grid(1);
        let mask = round(&grid, |r| r < 8.0 || (r > 25.0 && r < 60.0));
        let (_, holes) = outline(&grid, &mask, 0.7, &[]).unwrap();
        assert_eq!(holes.len(), 1);
        let (_, holes) = outline(&grid, &mask, 0.7, &[[130.0, 90.0]]).unwrap();
        assert!(holes.is_empty());
    }

    #[test]
    fn a_mask_at_the_border_is_closed_and_an_empty_one_is_none() {
        let grid = grid(1);
        let (all, _) = outline(&grid, &vec![true; grid.count()], 0.7, &[]).unwrap();
        assert!((signed_area(&all) / (200.0 * 160.0) - 1.0).abs() < 0.02);
        assert!(outline(&grid, &vec![false; grid.count()], 0.7, &[]).is_none());
    }

    #[test]
    fn corners_that_touch_are_kept_apart() {
        let grid = grid(1);
        let mask: Vec<bool> = (0..grid.count())
            .map(|cell| {
                let (x, y) = (cell % grid.wide, cell / grid.wide);
                (x < 100) == (y < 80)
            })
            .collect();
        let (outline, holes) = outline(&grid, &mask, 0.7, &[]).unwrap();
        assert!(polygon::check(&outline, &holes).is_ok());
    }
}
