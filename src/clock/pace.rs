//! How fast this paste really goes, by touch.
//!
//! The pace is the logarithm of how many times as fast as its card says a paste goes: 0 is as the
//! card says, 0.1 a tenth faster. It is known as a normal distribution. A fingertip that finds a
//! coat wet, tacky or firm at an age tells on which side of the card's times the paste is there,
//! and Bayes' rule moves the distribution ([`Touch`] has the chances). They are log-concave in the
//! pace, so an answer never makes it less sure, and the order of answers does not matter. The posterior is worked out on a grid and kept by its mean
//! and standard deviation.
//!
//! From job to job: each paste has its own constant distance from its card, and each job one more
//! by chance. What the touches of a job say by themselves is its posterior less its prior, as a
//! normal likelihood; the jobs together give the paste's distance, with its spread (the
//! hierarchical normal model with known variances: A. Gelman and others, Bayesian Data Analysis,
//! chapter 5; from memory).
//!
//! All ages are equivalent ages, in minutes at the card's reference temperature.

use super::touch::Touch;
use crate::coating::{Marked, MaterialCard, cure};
use crate::quantity::{Celsius, Estimate, Minutes, Z95, show};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Utc};

/// How far a paste lies from its card for good, as a standard deviation of the logarithm: sheets
/// round their times, and packs age. One paste in three is off by a fifth or more.
pub const CARD_SPREAD: Marked<f64> = Marked::made_up(0.2);
/// How far a job lies from its paste's own pace, as a standard deviation of the logarithm: the
/// ratio as weighed, the air, the thickness, and a thermometer that is a degree or two off.
pub const JOB_SPREAD: Marked<f64> = Marked::made_up(0.15);
/// Grid points to either side of the middle.
const POINTS: i32 = 200;
/// How far the grid reaches to either side, in standard deviations.
const REACH: f64 = 10.0;

/// What was felt of one paste in one job, all its pieces together.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// What the unknown rate at the job's temperature leaves open, as a standard deviation of the
    /// logarithm.
    rate_sd: f64,
    /// The answers, in any order.
    pub touches: Vec<Touch>,
}

impl Heard {
    /// These answers, of a job at that temperature.
    pub fn of(card: &MaterialCard, temperature: Celsius, touches: Vec<Touch>) -> Self {
        Self {
            rate_sd: rate_sd(card, temperature),
            touches,
        }
    }

    /// The answers since the paste was begun anew; all of them without such a moment.
    fn since(&self, begun: Option<DateTime<Utc>>) -> Vec<Touch> {
        let counts = |touch: &Touch| begun.is_none_or(|begun| touch.at >= begun);
        self.touches.iter().copied().filter(counts).collect()
    }

    /// What a job adds to its paste's own distance.
    fn job_variance(&self) -> f64 {
        JOB_SPREAD.value.powi(2) + self.rate_sd.powi(2)
    }
}

/// What the unknown rate of a card leaves open at a temperature, as a standard deviation of the
/// logarithm: nothing at the card's own, or where its sheet gives the rate.
fn rate_sd(card: &MaterialCard, temperature: Celsius) -> f64 {
    cure::band(temperature, card).map_or(0.0, |[a, b]| (b / a).ln().abs() / (2.0 * Z95))
}

/// How many times as fast as its card says a paste goes in a job, as a normal distribution of the
/// logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Its mean; 0 is as the card says.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
}

impl Pace {
    /// Before anything was felt: as the card says, within what its rate at this temperature, its
    /// paste and the job may differ.
    pub fn of_card(card: &MaterialCard, temperature: Celsius) -> Self {
        Self::remembered(card, temperature, &[], None)
    }

    /// The same after earlier jobs with this paste. What was felt before `begun` (a user who
    /// begins the paste anew) does not count.
    pub fn remembered(
        card: &MaterialCard,
        temperature: Celsius,
        earlier: &[Heard],
        begun: Option<DateTime<Utc>>,
    ) -> Self {
        let own = CARD_SPREAD.value.powi(2);
        let (mut precision, mut weighted) = (1.0 / own, 0.0);
        for job in earlier {
            let extra = job.job_variance();
            let alone = Self {
                mean: 0.0,
                sd: (own + extra).sqrt(),
            };
            let after = alone.after(&job.since(begun));
            // The likelihood alone: the posterior divided by the prior.
            let told = after.sd.powi(-2) - alone.sd.powi(-2);
            if told > 0.0 {
                let told_mean = after.mean * after.sd.powi(-2);
                precision += told / (1.0 + extra * told);
                weighted += told_mean / (1.0 + extra * told);
            }
        }
        let here = JOB_SPREAD.value.powi(2) + rate_sd(card, temperature).powi(2);
        Self {
            mean: weighted / precision,
            sd: (1.0 / precision + here).sqrt(),
        }
    }

    /// What is known after these answers, of any coats and pieces of the job, in any order.
    pub fn after(&self, touches: &[Touch]) -> Self {
        if touches.is_empty() {
            return *self;
        }
        let touches: Vec<Touch> = touches.iter().map(|t| t.believed(self)).collect();
        let log_weight = |pace: f64| {
            let told: f64 = touches.iter().map(|t| t.log_chance(pace)).sum();
            told - 0.5 * ((pace - self.mean) / self.sd).powi(2)
        };
        // Each look is over what the one before left, so that a narrow peak is seen as well.
        let mut found = *self;
        let mut reach = REACH * self.sd;
        for _ in 0..3 {
            let step = reach / f64::from(POINTS);
            let looked = moments(found.mean, step, log_weight);
            if !(looked.mean.is_finite() && looked.sd.is_finite()) {
                // No pace at all fits these answers: they tell nothing.
                return *self;
            }
            reach = REACH * looked.sd.max(step);
            found = looked;
        }
        found
    }

    /// The likely number of times as fast as the card says.
    pub fn times(&self) -> f64 {
        self.mean.exp()
    }

    /// A time of the card at this pace, with its range: an equivalent age still, to be taken to
    /// the temperature of the site by its likely rate alone. The spread of an unknown rate is in
    /// it already.
    pub fn span(&self, of_card: Minutes) -> Estimate<Minutes> {
        let value = of_card / self.times();
        let relative = self.sd.powi(2).exp_m1().sqrt();
        Estimate::positive(value, value.0 * relative)
    }

    /// What was learned, in words.
    pub fn said(&self, answers: usize) -> String {
        let times = |deviations: f64| show::number((self.mean + deviations * self.sd).exp(), 2);
        let so = match answers {
            0 => tr("Before the first touch this paste is taken to go").to_owned(),
            1 => tr("By 1 touch this paste goes").to_owned(),
            n => say!("By {n} touches this paste goes", n),
        };
        say!(
            "{so} {times} times as fast as its card says ({low} to {high}).",
            so,
            times = times(0.0),
            low = times(-Z95),
            high = times(Z95)
        )
    }
}

/// Mean and standard deviation of a weight on a grid about a middle.
fn moments(middle: f64, step: f64, log_weight: impl Fn(f64) -> f64) -> Pace {
    let grid = || (-POINTS..=POINTS).map(|i| middle + f64::from(i) * step);
    let logs: Vec<f64> = grid().map(log_weight).collect();
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - top).exp()).collect();
    let mean_of = |value: &dyn Fn(f64) -> f64| {
        let sum: f64 = grid().zip(&weights).map(|(x, w)| value(x) * w).sum();
        sum / weights.iter().sum::<f64>()
    };
    let mean = mean_of(&|x| x);
    Pace {
        mean,
        sd: mean_of(&|x| (x - mean).powi(2)).sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{FINGER_SPREAD, Feel};
    use crate::coating::{Source, starter_cards};
    use proptest::collection::vec;
    use proptest::prelude::*;
    use proptest::sample::select;
    use std::f64::consts::PI;

    /// An hour to the next coat, two to demould; the sheet gives the rate.
    fn card() -> MaterialCard {
        let mut card = starter_cards().remove(0);
        (card.recoat_from, card.demould) = (Minutes(60.0), Minutes(120.0));
        card.marks.q10 = Source::YourSheet;
        card
    }

    fn prior() -> Pace {
        Pace::of_card(&card(), card().reference)
    }

    fn coat(age: f64, feel: Feel) -> Touch {
        Touch::of_coat(DateTime::UNIX_EPOCH, Minutes(age), feel, &card()).unwrap()
    }

    fn skin(age: f64, comes_off: bool) -> Touch {
        Touch::of_skin(DateTime::UNIX_EPOCH, Minutes(age), comes_off, &card()).unwrap()
    }

    fn touch() -> impl Strategy<Value = Touch> {
        let feel = select(vec![Feel::Wet, Feel::Tacky, Feel::Firm]);
        let of_coat = (0.0..500.0, feel).prop_map(|(age, feel)| coat(age, feel));
        let of_skin = (0.0..500.0, any::<bool>()).prop_map(|(age, off)| skin(age, off));
        prop_oneof![of_coat, of_skin]
    }

    /// The same posterior by Simpson's rule on a hundred times as many points.
    fn finely(prior: Pace, touches: &[Touch]) -> Pace {
        let touches: Vec<Touch> = touches.iter().map(|t| t.believed(&prior)).collect();
        const STEPS: i32 = 40_000;
        let at =
            |i: i32| prior.mean + 12.0 * prior.sd * (2.0 * f64::from(i) / f64::from(STEPS) - 1.0);
        let log = |x: f64| {
            let told: f64 = touches.iter().map(|t| t.log_chance(x)).sum();
            told - 0.5 * ((x - prior.mean) / prior.sd).powi(2)
        };
        let logs: Vec<f64> = (0..=STEPS).map(|i| log(at(i))).collect();
        let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum = |power: i32, middle: f64| -> f64 {
            let term = |i: i32| {
                let share = if i == 0 || i == STEPS {
                    1.0
                } else {
                    f64::from(2 + 2 * (i % 2))
                };
                share * (logs[i as usize] - top).exp() * (at(i) - middle).powi(power)
            };
            (0..=STEPS).map(term).sum()
        };
        let mean = sum(1, 0.0) / sum(0, 0.0);
        let sd = (sum(2, mean) / sum(0, 0.0)).sqrt();
        Pace { mean, sd }
    }

    fn close(a: Pace, b: Pace, by: f64) {
        assert!(
            (a.mean - b.mean).abs() < by && (a.sd - b.sd).abs() < by,
            "{a:?} {b:?}"
        );
    }

    #[test]
    fn an_answer_that_fits_no_pace_tells_nothing() {
        let hot = Pace::of_card(&card(), Celsius(18_000.0));
        for prior in [prior(), hot] {
            let after = prior.after(&[coat(f64::MAX, Feel::Wet)]);
            assert!(after.mean.is_finite() && after.sd > 0.0, "{after:?}");
        }
    }

    #[test]
    fn one_wet_touch_is_the_probit_in_closed_form() {
        // A normal prior times a normal distribution function: C. E. Rasmussen and C. K. I.
        // Williams, Gaussian Processes for Machine Learning, equations 3.85 to 3.87 (from memory).
        let prior = prior();
        for age in [30.0, 60.0, 75.0] {
            let whole = prior.sd.hypot(FINGER_SPREAD.value);
            let k = ((60.0_f64 / age).ln() - prior.mean) / whole;
            let density = (-0.5 * k * k).exp() / (2.0 * PI).sqrt();
            let ratio = density / crate::clock::normal::log_cdf(k).exp();
            let wanted = Pace {
                mean: prior.mean - prior.sd.powi(2) / whole * ratio,
                sd: prior.sd * (1.0 - (prior.sd / whole).powi(2) * ratio * (k + ratio)).sqrt(),
            };
            close(prior.after(&[coat(age, Feel::Wet)]), wanted, 1e-9);
        }
    }

    #[test]
    fn a_short_tacky_time_is_a_reading_with_a_normal_error() {
        // The limit of a window that is narrow beside the finger's spread: a reading of the
        // middle of the window, with its own variance added.
        let mut short = card();
        short.demould = short.recoat_from;
        let window = 0.1;
        let touch = |age| Touch::of_coat(DateTime::UNIX_EPOCH, Minutes(age), Feel::Tacky, &short);
        let prior = prior();
        let read = |age: f64| window / 2.0 - (age / 60.0).ln();
        let error = FINGER_SPREAD.value.powi(2) + window * window / 12.0;
        let ages = [48.0, 55.0, 70.0, 52.0];
        let precision = prior.sd.powi(-2) + ages.len() as f64 / error;
        let sum: f64 = ages.iter().map(|age| read(*age) / error).sum();
        let wanted = Pace {
            mean: sum / precision,
            sd: precision.powf(-0.5),
        };
        let touches = ages.map(|age| touch(age).unwrap());
        close(prior.after(&touches), wanted, 1e-4);
    }

    #[test]
    fn the_prior_opens_away_from_the_reference_unless_the_sheet_gives_the_rate() {
        let mut card = card();
        let cold = card.reference - Celsius(10.0);
        let here = CARD_SPREAD.value.hypot(JOB_SPREAD.value);
        assert!((Pace::of_card(&card, cold).sd - here).abs() < 1e-12);
        card.marks.q10 = Source::FromMemory;
        assert!((Pace::of_card(&card, card.reference).sd - here).abs() < 1e-12);
        let rate = (2.5_f64 / 1.7).ln() / (2.0 * Z95);
        assert!((Pace::of_card(&card, cold).sd - here.hypot(rate)).abs() < 1e-9);
        let span = Pace::of_card(&card, cold).span(card.recoat_from);
        assert!((span.value - card.recoat_from).0.abs() < 1e-9);
        let band = (span.high95 / span.low95).ln() / (2.0 * Z95);
        assert!((band - here.hypot(rate)).abs() < 1e-9);
    }

    #[test]
    fn nonsense_moves_it_no_further_than_a_rare_paste() {
        let prior = prior();
        for touch in [
            coat(0.0, Feel::Tacky),
            coat(0.0, Feel::Firm),
            coat(1e9, Feel::Wet),
            skin(1e12, false),
        ] {
            let after = prior.after(&[touch]);
            assert!(
                (after.mean - prior.mean).abs() < 2.5 * prior.sd,
                "{after:?}"
            );
        }
        let none = |age, card: &MaterialCard| {
            Touch::of_coat(DateTime::UNIX_EPOCH, Minutes(age), Feel::Wet, card)
        };
        assert_eq!(none(f64::NAN, &card()), None);
        let blank = MaterialCard {
            recoat_from: Minutes(0.0),
            ..card()
        };
        assert_eq!(none(60.0, &blank), None);
        // A tap too many, five hundred times over.
        let after = prior.after(&[coat(0.0, Feel::Tacky); 500]);
        assert!(after.mean.is_finite() && after.sd > 0.0, "{after:?}");
    }

    #[test]
    fn earlier_jobs_are_remembered_until_the_paste_is_begun_anew() {
        let card = card();
        let heard = |at: i64| {
            let mut touch = coat(45.0, Feel::Tacky);
            touch.at = DateTime::from_timestamp(at, 0).unwrap();
            Heard::of(&card, card.reference, vec![touch; 3])
        };
        let jobs = [heard(10), heard(20)];
        let now = |jobs: &[Heard], begun: Option<i64>| {
            let begun = begun.map(|at| DateTime::from_timestamp(at, 0).unwrap());
            Pace::remembered(&card, card.reference, jobs, begun)
        };
        let (none, one, two) = (now(&[], None), now(&jobs[..1], None), now(&jobs, None));
        assert!(none.mean == 0.0 && one.mean > 0.0 && two.mean > one.mean);
        assert!(none.sd > one.sd && one.sd > two.sd && two.sd > JOB_SPREAD.value);
        assert_eq!(now(&jobs, Some(15)), now(&jobs[1..], None));
        assert_eq!(now(&jobs, Some(21)), none);
        assert_eq!(now(&[Heard::of(&card, card.reference, vec![])], None), none);
    }

    #[test]
    fn what_was_learned_is_said() {
        let pace = Pace { mean: 0.2, sd: 0.1 };
        assert_eq!(
            pace.said(2),
            "By 2 touches this paste goes 1.22 times as fast as its card says (1 to 1.49)."
        );
        assert!(pace.said(1).starts_with("By 1 touch this"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn the_grid_is_exact_to_a_millionth(touches in vec(touch(), 1..12)) {
            close(prior().after(&touches), finely(prior(), &touches), 1e-6);
        }
    }

    proptest! {
        #[test]
        fn a_wet_touch_never_makes_it_faster_and_a_firm_one_never_slower(
            touches in vec(touch(), 0..8), age in 0.0..500.0,
        ) {
            let with = |more: Touch| {
                let mut all = touches.clone();
                all.push(more);
                prior().after(&all).mean
            };
            let without = prior().after(&touches).mean;
            for wet in [coat(age, Feel::Wet), skin(age, false)] {
                prop_assert!(with(wet) <= without + 1e-9);
            }
            for firm in [coat(age, Feel::Firm), skin(age, true)] {
                prop_assert!(with(firm) >= without - 1e-9);
            }
        }

        #[test]
        fn answers_count_in_any_order_and_never_widen(touches in vec(touch(), 1..9), by in 0..9_usize) {
            let mut turned = touches.clone();
            turned.rotate_left(by % touches.len());
            let after = prior().after(&touches);
            close(after, prior().after(&turned), 1e-9);
            let mut sd = prior().sd;
            for count in 1..=touches.len() {
                let now = prior().after(&touches[..count]).sd;
                prop_assert!(now <= sd + 1e-9);
                sd = now;
            }
        }
    }
}
