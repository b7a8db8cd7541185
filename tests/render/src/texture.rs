//! What stone and plaster look like: brightness as a function of the place in space, so that a
//! spot of the surface looks the same from every side.

use serde::Deserialize;

/// A solid texture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Texture {
    /// Speckled, in strong contrast.
    Stone,
    /// Trowelled plaster: brightness has a standard deviation of 2.5 %.
    Plaster,
    /// The same with 1 %: almost nothing to see.
    Bare,
}

/// Standard deviation of one octave of [`noise`], averaged over all places: a lattice value has a
/// variance of 1/3, of which interpolation leaves 0.7836 along each axis.
const SD: f64 = 0.4004;

/// The lattices of the octaves, in millimetres.
const LATTICES: [f64; 4] = [8.0, 4.0, 2.0, 1.0];

impl Texture {
    /// Share of the light that comes back, red green blue.
    pub fn colour(self, place: [f64; 3], seed: u32) -> [f64; 3] {
        let grain = octaves(place, seed);
        match self {
            Self::Stone => {
                let c = 0.42 * (0.42 * grain).exp();
                [c, 0.97 * c, 0.90 * c].map(|c| c.min(0.98))
            }
            Self::Plaster => [0.60, 0.57, 0.51].map(|c| c * (1.0 + 0.025 * grain)),
            Self::Bare => [0.60, 0.57, 0.51].map(|c| c * (1.0 + 0.01 * grain)),
        }
    }
}

/// All octaves alike, together with a standard deviation of 1.
fn octaves(place: [f64; 3], seed: u32) -> f64 {
    let [x, y, z] = place;
    // Turned, so that neither the wall nor an upright side lies along a lattice.
    let turned = [
        0.68 * x - 0.6 * y + 0.42 * z,
        0.6 * x + 0.79 * y + 0.11 * z,
        -0.40 * x + 0.18 * y + 0.90 * z,
    ];
    let sum: f64 = LATTICES
        .iter()
        .zip(0..)
        .map(|(mm, octave)| noise(turned.map(|c| c / mm), seed.wrapping_mul(31) + octave))
        .sum();
    sum / (SD * (LATTICES.len() as f64).sqrt())
}

/// Smooth noise from -1 to 1 with one value a unit.
fn noise(p: [f64; 3], seed: u32) -> f64 {
    // Quicker than rounding down: no place lies so far to the left.
    let p = p.map(|c| c + 65536.0);
    let cell = p.map(|c| f64::from(c as u32));
    let f: [f64; 3] = std::array::from_fn(|i| {
        let t = p[i] - cell[i];
        t * t * t * (t * (t * 6.0 - 15.0) + 10.0)
    });
    let [x, y, z] = p.map(|c| c as u32);
    let mut sum = 0.0;
    for (dz, wz) in [(0, 1.0 - f[2]), (1, f[2])] {
        for (dy, wy) in [(0, 1.0 - f[1]), (1, f[1])] {
            let at = |dx: u32| {
                hashed(
                    x.wrapping_add(dx),
                    y.wrapping_add(dy),
                    z.wrapping_add(dz),
                    seed,
                )
            };
            sum += wz * wy * (at(0) * (1.0 - f[0]) + at(1) * f[0]);
        }
    }
    sum
}

/// A number from -1 to 1 that looks like chance, from a lattice point.
fn hashed(x: u32, y: u32, z: u32, seed: u32) -> f64 {
    let mut h = x
        .wrapping_mul(0x9E37_79B1)
        .wrapping_add(y.wrapping_mul(0x85EB_CA77))
        .wrapping_add(z.wrapping_mul(0x27D4_EB2F))
        .wrapping_add(seed.wrapping_mul(0xC2B2_AE3D));
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    f64::from(h) * (2.0 / f64::from(u32::MAX)) - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plaster_varies_by_as_much_as_it_says() {
        let tones: Vec<f64> = (0..40_000_u32)
            .map(|i| {
                let (c, r) = (f64::from(i % 200), f64::from(i / 200));
                Texture::Plaster.colour([c * 1.7, r * 1.7, 0.0], 5)[0] / 0.60
            })
            .collect();
        let mean = tones.iter().sum::<f64>() / tones.len() as f64;
        let sd =
            (tones.iter().map(|t| (t - mean).powi(2)).sum::<f64>() / tones.len() as f64).sqrt();
        assert!((sd - 0.025).abs() < 0.002, "{sd}");
    }
}
