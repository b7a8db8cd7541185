//! Whether two records of a job say the same.

use super::Job;
use chrono::DateTime;
use serde_json::Value;

/// Numbers may lose their last digit on the way through JSON: reading them to the last digit
/// would cost every first download 9 kB and no user a hair's breadth.
const LAST_DIGIT: f64 = 1e-12;

impl Job {
    /// Whether both say the same, apart from the count and the time of their
    /// changes, and from what was taken out.
    pub fn says_the_same(&self, other: &Self) -> bool {
        let content = |job: &Self| {
            serde_json::to_value(Self {
                rev: 0,
                changed: DateTime::UNIX_EPOCH,
                ..job.without_removed()
            })
        };
        matches!((content(self), content(other)), (Ok(a), Ok(b)) if same(&a, &b))
    }
}

fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => match (a.as_f64(), b.as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= LAST_DIGIT * a.abs().max(b.abs()),
            _ => a == b,
        },
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            let found = |(key, a): (&String, &Value)| b.get(key).is_some_and(|b| same(a, b));
            a.len() == b.len() && a.iter().all(found)
        }
        _ => a == b,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Piece;
    use crate::quantity::Celsius;

    fn at(temperature: f64) -> Job {
        Job {
            pieces: vec![Piece {
                temperature: Celsius(temperature),
                ..Piece::default()
            }],
            ..Job::default()
        }
    }

    #[test]
    fn a_last_digit_is_the_same_and_a_thousandth_is_not() {
        assert!(at(20.1).says_the_same(&at(20.1 + 4e-15)));
        assert!(!at(20.1).says_the_same(&at(20.101)));
        let renamed = Job {
            name: "Frieze".into(),
            ..at(20.1)
        };
        assert!(!at(20.1).says_the_same(&renamed));
    }
}
