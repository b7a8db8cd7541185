//! The photo: samples through the lens, blur, sensor noise, JPEG.

use crate::Point;
use crate::chance::Chance;
use crate::light::{Lit, in_rows};
use crate::view::View;

/// What the sensor does to the light.
#[derive(Clone, Copy, Debug)]
pub struct Sensor {
    /// Samples a pixel along x and along y.
    pub samples: u32,
    /// Standard deviation of the blur, in pixels.
    pub blur_px: f64,
    /// Standard deviation of the noise at full white, as a share of it.
    pub noise: f64,
    /// Brightness is multiplied by this.
    pub exposure: f64,
    /// Seed of the noise.
    pub seed: u64,
}

/// A picture in 8 bits, red green blue, row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// Pixels from left to right.
    pub width: u32,
    /// Pixels from top to bottom.
    pub height: u32,
    /// Three bytes a pixel.
    pub rgb: Vec<u8>,
}

impl Photo {
    /// Photographs a lit wall.
    pub fn take(lit: &Lit, view: &View, sensor: &Sensor) -> Self {
        Self::take_of(|wall| lit.at(wall), view, sensor)
    }

    /// Photographs a flat thing from which this light comes, red green blue, at each place.
    pub fn take_of(light: impl Fn(Point) -> [f64; 3] + Sync, view: &View, sensor: &Sensor) -> Self {
        Self::take_along(|px| view.unsee(px).map(&light), view, sensor)
    }

    /// Photographs what sends this light, red green blue, to a place of the picture.
    pub fn take_along(
        light: impl Fn(Point) -> Option<[f64; 3]> + Sync,
        view: &View,
        sensor: &Sensor,
    ) -> Self {
        let [width, height] = view.size.map(|n| n as usize);
        let share = f64::from(sensor.samples);
        let mut picture = in_rows(height, width, |y, x| {
            let mut sum = [0.0; 3];
            for i in 0..sensor.samples {
                for j in 0..sensor.samples {
                    let px = [
                        x as f64 + (f64::from(i) + 0.5) / share - 0.5,
                        y as f64 + (f64::from(j) + 0.5) / share - 0.5,
                    ];
                    if let Some(seen) = light(px) {
                        let dim = dimming(view, px) / (share * share);
                        for k in 0..3 {
                            sum[k] += seen[k] * dim;
                        }
                    }
                }
            }
            sum.map(|c| c * sensor.exposure)
        });
        blur(&mut picture, width, height, sensor.blur_px);
        let mut chance = Chance::new(sensor.seed);
        let rgb = picture
            .iter()
            .flat_map(|pixel| {
                pixel.map(|c| {
                    let grain = sensor.noise * (0.15 + c.max(0.0).sqrt()) * chance.normal();
                    encoded(c + grain)
                })
            })
            .collect();
        Self {
            width: view.size[0],
            height: view.size[1],
            rgb,
        }
    }

    /// Red, green and blue of each pixel, row by row from the top left.
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// The file, as a camera writes it; quality from 1 to 100.
    pub fn jpeg(&self, quality: u8) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, quality);
        encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::R_4_2_0);
        encoder.set_optimized_huffman_tables(true);
        encoder
            .encode(
                &self.rgb,
                u16::try_from(self.width).expect("a picture of fewer than 65536 columns"),
                u16::try_from(self.height).expect("a picture of fewer than 65536 rows"),
                jpeg_encoder::ColorType::Rgb,
            )
            .expect("a whole picture can be encoded");
        bytes
    }

    /// The brightness of each pixel as a program reads it from that file.
    pub fn developed(&self, quality: u8) -> Vec<u8> {
        let file = self.jpeg(quality);
        let mut decoder = jpeg_decoder::Decoder::new(file.as_slice());
        let rgb = decoder.decode().expect("what was encoded can be decoded");
        let brightness = |c: &[u8]| {
            let [red, green, blue] = [0, 1, 2].map(|k| f64::from(c[k]));
            (0.299 * red + 0.587 * green + 0.114 * blue).round() as u8
        };
        rgb.chunks_exact(3).map(brightness).collect()
    }

    /// How bright the picture is at a place between pixels, from 0 to 255.
    pub fn brightness(&self, px: Point) -> f64 {
        let side = |at: f64, n: u32| at.clamp(0.0, f64::from(n - 1) - 1e-9);
        let (x, y) = (side(px[0], self.width), side(px[1], self.height));
        let (c, r) = (x as usize, y as usize);
        let (fx, fy) = (x - c as f64, y - r as f64);
        let at = |dc: usize, dr: usize| {
            let i = ((r + dr) * self.width as usize + c + dc) * 3;
            let [red, green, blue] = [0, 1, 2].map(|k| f64::from(self.rgb[i + k]));
            0.299 * red + 0.587 * green + 0.114 * blue
        };
        (at(0, 0) * (1.0 - fx) + at(1, 0) * fx) * (1.0 - fy)
            + (at(0, 1) * (1.0 - fx) + at(1, 1) * fx) * fy
    }
}

/// Lenses dim towards the corners: half of the cosine's fourth power is left after correction.
fn dimming(view: &View, px: Point) -> f64 {
    let x = (px[0] - view.center[0]) / view.focal;
    let y = (px[1] - view.center[1]) / view.focal;
    (1.0 + x * x + y * y).recip()
}

/// Blurs by a bell curve, along rows and then along columns.
fn blur(light: &mut Vec<[f64; 3]>, width: usize, height: usize, sd: f64) {
    if sd <= 0.0 {
        return;
    }
    let reach = (3.0 * sd).ceil() as isize;
    let mut bell: Vec<f64> = (-reach..=reach)
        .map(|i| (-0.5 * (i as f64 / sd).powi(2)).exp())
        .collect();
    let sum: f64 = bell.iter().sum();
    bell.iter_mut().for_each(|b| *b /= sum);
    let pass = |from: &[[f64; 3]], dx: isize, dy: isize| {
        in_rows(height, width, |y, x| {
            let mut mixed = [0.0; 3];
            for (weight, i) in bell.iter().zip(-reach..=reach) {
                let c = (x as isize + i * dx).clamp(0, width as isize - 1) as usize;
                let r = (y as isize + i * dy).clamp(0, height as isize - 1) as usize;
                for k in 0..3 {
                    mixed[k] += weight * from[r * width + c][k];
                }
            }
            mixed
        })
    };
    let rows = pass(light, 1, 0);
    *light = pass(&rows, 0, 1);
}

/// Linear light to 8 bits by the curve of IEC 61966-2-1 (sRGB).
fn encoded(linear: f64) -> u8 {
    let c = linear.clamp(0.0, 1.0);
    let curved = if c <= 0.003_130_8 {
        12.92 * c
    } else {
        1.055 * c.powf(1.0 / 2.4) - 0.055
    };
    (curved * 255.0).round() as u8
}
