//! Whether the evidence contradicts itself, and which mark is to blame.

use super::fit::{Miss, View};
use super::gather::Rule;
use super::least_squares::Normal;
use super::scene::Scene;
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use nalgebra::{DMatrix, Matrix2};

/// The standard normal quantile of 99 %: evidence further off than chance allows in one case of
/// a hundred contradicts itself.
const Z99: f64 = 2.326_347_874;

/// The sum of so many squares that chance passes in one case of a hundred: E. Wilson and M.
/// Hilferty's cube for the quantile of chi-square, PNAS 17, 1931.
pub(super) fn most_by_chance(free: f64) -> f64 {
    let small = 2.0 / (9.0 * free);
    free * (1.0 - small + Z99 * small.sqrt()).powi(3)
}

impl View {
    /// Does the evidence agree with itself? The chi-square test at 99 %; where it fails, a
    /// sentence, and the factor by which the covariance must grow (R. Birge, Phys. Rev. 40,
    /// 1932).
    pub(super) fn contradiction(
        &self,
        scene: &Scene,
        covariance: &DMatrix<f64>,
    ) -> (Vec<String>, f64) {
        let Some(misses) = self.misses(scene) else {
            return (Vec::new(), 1.0);
        };
        let mut rest = Normal::zero(self.layout.len);
        self.add_down(scene, &mut rest);
        let of_lens: f64 = self.lens_miss(scene).iter().map(|m| m * m).sum();
        let of_marks: f64 = misses.iter().map(|m| m.off.norm_squared()).sum();
        let cost = rest.cost + of_lens + of_marks;
        let held = self.rules.iter();
        let held = held.filter(|rule| rule.level || rule.plumb).count();
        let of_down = self
            .layout
            .down
            .map_or(0, |_| 2 + self.stance.residuals() + held);
        let residuals = 2 * misses.len() + 5 + of_down;
        if residuals <= self.layout.len {
            return (Vec::new(), 1.0);
        }
        let free = (residuals - self.layout.len) as f64;
        if cost <= most_by_chance(free) {
            return (Vec::new(), 1.0);
        }
        let worst = misses
            .iter()
            .map(|miss| (gain_without(miss, covariance), miss))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let blame = match worst {
            Some((_, miss)) if misses.len() > 4 => self.blame(miss),
            _ => tr("Check every mark, and the size of the reference.").to_owned(),
        };
        let note = say!(
            "The marks contradict each other by more than chance allows. {blame} The range was \
             widened for it.",
            blame
        );
        (vec![note], cost / free)
    }

    fn blame(&self, miss: &Miss) -> String {
        let off = miss.off_px;
        let worst = |what: String| {
            say!(
                "{what} fits worst, {off} pixels off",
                what,
                off = show::fixed(off, 1)
            )
        };
        let number = miss.index + 1;
        if let Some(mark) = self.marks.iter().find(|mark| mark.spot.index == miss.index) {
            let [x, y] = mark.mm;
            let what = say!("Mark {number} (known place {x}, {y} mm)", number, x, y);
            return say!("{what}: is it really there?", what = worst(what));
        }
        let ticks = |rule: &'_ Rule| {
            let tick = rule
                .ticks
                .iter()
                .find(|tick| tick.spot.index == miss.index)?;
            let what = say!("Mark {number} on rule {name}", number, name = rule.name);
            let at = tick.at;
            Some(say!(
                "{what}: is the {at} mm mark really at {at} mm?",
                what = worst(what),
                at
            ))
        };
        self.rules.iter().find_map(ticks).unwrap_or_default()
    }
}

/// By how much the sum of squares would fall without this mark.
fn gain_without(miss: &Miss, covariance: &DMatrix<f64>) -> f64 {
    let hat = Matrix2::from_fn(|r, c| miss.slopes[r].dot(&(covariance * &miss.slopes[c])));
    match (Matrix2::identity() - hat).try_inverse() {
        Some(left) => miss.off.dot(&(left * miss.off)),
        None => 0.0,
    }
}
