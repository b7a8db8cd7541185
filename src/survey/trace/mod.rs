//! The ornament's edge, followed in a grey picture.
//!
//! - [`settle`]: points that were set by hand go to the edge beside them.
//! - [`trace`]: the way along the edge from one point to another.
//!
//! Both end in a `strip` along a `base` line in which the edge is found to a part of a pixel.

mod base;
mod settle;
mod strip;
mod wire;

pub use settle::{Settled, settle};
pub use wire::trace;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::polygon::signed_area;
    use crate::survey::{GreyView, Px};
    use std::f64::consts::{PI, TAU};

    const SIDE: u32 = 400;
    const MIDDLE: Px = [203.3, 197.6];
    const RADIUS: f64 = 120.0;

    /// A round plate a little brighter than its wall, with some grain.
    fn plate() -> Vec<u8> {
        let mut grain = 1_u32;
        let mut pixels = Vec::new();
        for (y, x) in (0..SIDE).flat_map(|y| (0..SIDE).map(move |x| (y, x))) {
            let inside = RADIUS - (f64::from(x) - MIDDLE[0]).hypot(f64::from(y) - MIDDLE[1]);
            let covered = (0.5 + inside / 3.0).clamp(0.0, 1.0);
            grain = grain.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let light = 0.30 + 0.05 * covered;
            let grain = f64::from(grain >> 16) / 65_536.0 - 0.5;
            pixels.push((light.powf(1.0 / 2.2) * 255.0 + 5.0 * grain).round() as u8);
        }
        pixels
    }

    fn view(pixels: &[u8]) -> GreyView<'_> {
        GreyView {
            width: SIDE,
            height: SIDE,
            data: pixels,
        }
    }

    fn on_edge(turn: f64, off: f64) -> Px {
        let (s, c) = (turn * TAU).sin_cos();
        [
            MIDDLE[0] + (RADIUS + off) * c,
            MIDDLE[1] + (RADIUS + off) * s,
        ]
    }

    fn off(px: Px) -> f64 {
        (px[0] - MIDDLE[0]).hypot(px[1] - MIDDLE[1]) - RADIUS
    }

    #[test]
    fn points_go_to_the_edge_beside_them() {
        let pixels = plate();
        let hand = [3.0, -4.0, 1.0, 5.0, -2.0, -5.0, 0.0, 4.0];
        let taps: Vec<Px> = (0..16)
            .map(|i| on_edge(f64::from(i) / 16.0, hand[i as usize % 8]))
            .collect();
        for settled in settle(&view(&pixels), &taps, true, 8.0) {
            let settled = settled.expect("a clear edge");
            assert!(off(settled.px).abs() < 0.8, "{}", off(settled.px));
            assert!((0.0..0.8).contains(&settled.sd_px), "{settled:?}");
        }
        // The same of a point between its neighbours, and of one alone.
        let middle = settle(&view(&pixels), &taps[2..5], false, 8.0)[1].unwrap();
        let alone = settle(&view(&pixels), &taps[4..5], false, 8.0)[0].unwrap();
        assert!(off(middle.px).abs() < 0.8 && off(alone.px).abs() < 0.8);
    }

    #[test]
    fn where_there_is_no_edge_points_stay() {
        let pixels = plate();
        let inside: Vec<Px> = (0..16)
            .map(|i| on_edge(f64::from(i) / 16.0, -50.0))
            .collect();
        let settled = settle(&view(&pixels), &inside, true, 8.0);
        let moved = settled.iter().flatten().count();
        assert!(moved <= 1, "{moved} of 16 found something in the grain");
        let one = |ring: &[Px], reach| settle(&view(&pixels), ring, true, reach);
        assert_eq!(one(&[], 8.0), []);
        assert_eq!(one(&[[f64::NAN, 0.0]], 8.0), [None]);
        // An outline as long as this would take all memory.
        let far = [on_edge(0.0, 0.0), on_edge(0.5, 0.0), [-9e18, 160.0]];
        assert_eq!(one(&far, 8.0), [None; 3]);
        assert_eq!(one(&far[..2], 1e300).len(), 2);
        assert_eq!(one(&[[-90.0, -90.0]; 3], 8.0), [None; 3]);
        assert_eq!(one(&[on_edge(0.0, 0.0)], 0.0), [None]);
    }

    #[test]
    fn the_edge_is_followed_from_tap_to_tap() {
        let pixels = plate();
        let mut ring: Vec<Px> = vec![on_edge(0.0, 0.0)];
        for i in 1..=8 {
            let to = on_edge(f64::from(i) / 8.0, if i == 8 { 0.0 } else { 3.0 });
            let from = ring[ring.len() - 1];
            ring.extend(trace(&view(&pixels), from, to).unwrap());
        }
        ring.pop();
        for px in &ring {
            assert!(off(*px).abs() < 1.0, "{}", off(*px));
        }
        let area = signed_area(&ring) / (PI * RADIUS * RADIUS);
        assert!((area - 1.0).abs() < 0.005 && ring.len() < 80, "{area}");
    }

    #[test]
    fn without_an_edge_nothing_is_traced() {
        let pixels = plate();
        for (from, to, said) in [
            ([20.0, 20.0], [20.0, 120.0], "no clear edge"),
            ([20.0, 20.0], [20.5, 20.0], "same place"),
            ([20.0, 20.0], [900.0, 20.0], "outside the photo"),
            ([f64::NAN, 20.0], [90.0, 20.0], "outside the photo"),
        ] {
            let error = trace(&view(&pixels), from, to).unwrap_err();
            assert!(error.to_string().contains(said), "{error}");
        }
    }
}
