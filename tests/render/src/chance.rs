//! Chance that comes out the same every time.

/// Random numbers from a fixed seed.
pub struct Chance(fastrand::Rng);

impl Chance {
    /// The same seed gives the same numbers.
    pub fn new(seed: u64) -> Self {
        Self(fastrand::Rng::with_seed(seed))
    }

    /// Evenly between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.f64()
    }

    /// A whole number from `low` up to, not including, `high`.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        self.0.usize(low..high)
    }

    /// Normally spread with standard deviation 1 (G. Box and M. Muller, 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.0.f64()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.0.f64()).cos()
    }

    /// A point moved by a normal spread along x and along y.
    pub fn moved(&mut self, point: [f64; 2], sd: f64) -> [f64; 2] {
        [point[0] + sd * self.normal(), point[1] + sd * self.normal()]
    }
}
