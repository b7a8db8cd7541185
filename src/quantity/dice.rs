//! Chance from a seed: the same numbers each time.

/// Standard normal numbers by G. Marsaglia's polar method (SIAM Review 6, 1964): two at a time.
pub(crate) struct Dice {
    rng: fastrand::Rng,
    kept: Option<f64>,
}

impl Dice {
    /// From a seed.
    pub(crate) fn seeded(seed: u64) -> Self {
        Self {
            rng: fastrand::Rng::with_seed(seed),
            kept: None,
        }
    }

    /// A number from 0 to 1, all equally likely.
    pub(crate) fn even(&mut self) -> f64 {
        self.rng.f64()
    }

    /// A standard normal number.
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(kept) = self.kept.take() {
            return kept;
        }
        loop {
            let [x, y] = [0, 0].map(|_| 2.0 * self.rng.f64() - 1.0);
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                let stretch = (-2.0 * square.ln() / square).sqrt();
                self.kept = Some(y * stretch);
                return x * stretch;
            }
        }
    }
}
