//! Which places a camera can see: nothing stands in its line of sight.

use super::Frame;
use super::photo::Eye;

/// A surface counts as in the way when it stands this far, in millimetres, over the line of sight.
const OVER: f32 = 0.8;

/// For each place whether the camera sees it over the rest of the surface.
pub(super) fn visible(eye: &Eye, grid: &Frame, surface: &[f32]) -> Vec<bool> {
    let highest = surface.iter().copied().fold(0.0, f32::max);
    let stand = eye.stand();
    let mut out = Vec::with_capacity(surface.len());
    for row in 0..grid.rows {
        for column in 0..grid.columns {
            let height = surface[row * grid.columns + column];
            out.push(sees(stand, grid, surface, [column, row], height, highest));
        }
    }
    out
}

fn sees(
    stand: [f32; 3],
    grid: &Frame,
    surface: &[f32],
    at: [usize; 2],
    height: f32,
    highest: f32,
) -> bool {
    let (dx, dy) = (stand[0] - at[0] as f32, stand[1] - at[1] as f32);
    let far = dx.hypot(dy);
    if far < 1.0 {
        return true;
    }
    let (x, y, rise) = (dx / far, dy / far, (stand[2] - height) / far);
    let mut gone = 1.0;
    loop {
        let line = height + rise * gone;
        if line > highest {
            return true;
        }
        let (c, r) = (at[0] as f32 + x * gone, at[1] as f32 + y * gone);
        if !(c >= 0.0 && r >= 0.0 && c < grid.columns as f32 - 1.0 && r < grid.rows as f32 - 1.0) {
            return true;
        }
        let (c0, r0) = (c as usize, r as usize);
        let (fx, fy) = (c - c0 as f32, r - r0 as f32);
        let start = r0 * grid.columns + c0;
        let top = surface[start] * (1.0 - fx) + surface[start + 1] * fx;
        let low =
            surface[start + grid.columns] * (1.0 - fx) + surface[start + grid.columns + 1] * fx;
        if top * (1.0 - fy) + low * fy > line + OVER {
            return false;
        }
        gone += 1.0;
    }
}
