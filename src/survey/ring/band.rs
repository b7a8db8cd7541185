//! A narrow band about the edge, cut anew on finer cells.

use super::super::RgbaView;
use super::cells::{Curve, Grid};
use super::flow::{Flow, NONE};
use super::mixture::Look;
use super::{Ring, SURE, units};

/// Weight of a fine cell's look: many of them stand for one coarse cell.
const FINE_LOOK: f32 = 0.05;
/// What it costs to part two like fine cells.
const FINE_TIE: f32 = 12.0;

/// The net's ties.
pub(super) struct Ties {
    pub neighbours: Vec<[u32; 8]>,
    pub room: Vec<[i32; 8]>,
}

/// Ties between neighbours: dear where both look alike, cheap across an edge. What counts as an
/// edge follows from how much neighbours differ on the whole.
pub(super) fn ties(
    looks: &[Look],
    neighbour: impl Fn(usize, usize) -> Option<usize>,
    dearest: f32,
) -> Ties {
    let mut neighbours = vec![[NONE; 8]; looks.len()];
    let mut differences = vec![[0.0_f32; 8]; looks.len()];
    let (mut sum, mut count) = (0.0_f64, 0.0);
    for place in 0..looks.len() {
        // Each pair once, from the place that comes first.
        for slot in 4..8 {
            let Some(next) = neighbour(place, slot) else {
                continue;
            };
            let far = difference(&looks[place], &looks[next]);
            neighbours[place][slot] = next as u32;
            neighbours[next][7 - slot] = place as u32;
            differences[place][slot] = far;
            differences[next][7 - slot] = far;
            sum += f64::from(far);
            count += 1.0;
        }
    }
    let usual = (sum / f64::max(count, 1.0)).max(1e-3) as f32;
    let room = neighbours
        .iter()
        .zip(&differences)
        .map(|(next, far)| {
            std::array::from_fn(|slot| {
                if next[slot] == NONE {
                    return 0;
                }
                units(dearest * (-far[slot] / usual).exp() / SPAN[slot])
            })
        })
        .collect();
    Ties { neighbours, room }
}

/// From a cell's middle to its neighbours', in cells.
const SPAN: [f32; 8] = [1.414, 1.0, 1.414, 1.0, 1.0, 1.414, 1.0, 1.414];

/// How much two places differ in colour, squared.
fn difference(a: &Look, b: &Look) -> f32 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum()
}

/// The mask on finer cells: taken over where the coarse cells agree with all their neighbours,
/// cut anew elsewhere.
pub(super) fn refined(
    ring: &Ring,
    photo: &RgbaView<'_>,
    coarse: &Grid,
    mask: &[bool],
    fine: &Grid,
) -> Vec<bool> {
    let near_edge: Vec<bool> = (0..coarse.count())
        .map(|cell| {
            (0..8).any(|slot| {
                coarse
                    .neighbour(cell, slot)
                    .is_some_and(|next| mask[next] != mask[cell])
            })
        })
        .collect();
    let mut finer = vec![false; fine.count()];
    let mut node = vec![NONE; fine.count()];
    let mut band = Vec::new();
    // The first row's and the first column's coarse cells give all others.
    let columns: Vec<usize> = (0..fine.wide).map(|x| coarse.under(fine, x)).collect();
    for row in (0..fine.count()).step_by(fine.wide) {
        let start = coarse.under(fine, row);
        for (cell, column) in (row..).zip(&columns) {
            let under = start + column;
            finer[cell] = mask[under];
            if near_edge[under] {
                node[cell] = band.len() as u32;
                band.push(cell);
            }
        }
    }
    let curve = Curve::new();
    let looks: Vec<Look> = band
        .iter()
        .map(|&cell| {
            let texture = &ring.looks[ring.grid.under(fine, cell)];
            fine.look(photo, &curve, cell, texture)
        })
        .collect();
    let ties = ties(
        &looks,
        |place, slot| {
            let next = node[fine.neighbour(band[place], slot)?];
            (next != NONE).then_some(next as usize)
        },
        FINE_TIE,
    );
    let mut flow = Flow::new(ties.neighbours, ties.room);
    for (place, (&cell, look)) in band.iter().zip(&looks).enumerate() {
        let told = ring.told[ring.grid.under(fine, cell)].and_then(|_| {
            let at = fine.middle(cell);
            let over = |s: &&super::Stroke| s.distance(at) <= s.radius_px;
            ring.strokes.iter().rev().find(over).map(|s| s.ornament)
        });
        // The band's border belongs to what it borders on.
        let beside = (0..8)
            .filter_map(|slot| fine.neighbour(cell, slot))
            .find(|&next| node[next] == NONE)
            .map(|next| finer[next]);
        let cost = match told.or(beside) {
            Some(true) => SURE,
            Some(false) => -SURE,
            None => units(FINE_LOOK * ring.models.for_ornament(look)),
        };
        flow.favour(place, cost);
    }
    flow.cut();
    for (place, &cell) in band.iter().enumerate() {
        finer[cell] = flow.is_source(place);
    }
    finer
}
