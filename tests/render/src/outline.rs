//! The outline of a relief on the wall, as a user would draw it: 60 to 150 points.

use crate::Point;
use crate::field::Field;

const FEWEST: usize = 60;
const MOST: usize = 150;

/// The outline of all that the relief covers, clockwise as seen.
pub fn outline(field: &Field) -> Vec<Point> {
    let stairs = edge(field);
    // The middles of the stairs' steps: a slanted edge becomes straight.
    let middles: Vec<Point> = (0..stairs.len())
        .map(|i| {
            let (a, b) = (stairs[i], stairs[(i + 1) % stairs.len()]);
            [0, 1].map(|k| field.origin[k] + field.step * (a[k] + b[k]) as f64 / 2.0)
        })
        .collect();
    let mut away = field.step;
    let mut simple = simplified(&middles, away);
    while simple.len() > MOST {
        away *= 1.1;
        simple = simplified(&middles, away);
    }
    while simple.len() < FEWEST {
        let n = simple.len();
        let long = |i: usize| {
            let (a, b) = (simple[i], simple[(i + 1) % n]);
            (b[0] - a[0]).hypot(b[1] - a[1])
        };
        let longest = (0..n)
            .max_by(|a, b| long(*a).total_cmp(&long(*b)))
            .unwrap_or(0);
        let (a, b) = (simple[longest], simple[(longest + 1) % n]);
        simple.insert(longest + 1, [0, 1].map(|k| (a[k] + b[k]) / 2.0));
    }
    simple
}

/// The border of the covered cells, from node to node, with the covered side to the right.
fn edge(field: &Field) -> Vec<[i64; 2]> {
    let covers = |c: i64, r: i64| c >= 0 && r >= 0 && field.covers(c as usize, r as usize);
    let (columns, rows) = (field.columns as i64, field.rows as i64);
    let start = (0..rows)
        .flat_map(|r| (0..columns).map(move |c| [c, r]))
        .find(|[c, r]| covers(*c, *r))
        .expect("a relief covers something");
    let mut at = start;
    let mut ahead: [i64; 2] = [1, 0];
    let mut border = Vec::new();
    loop {
        border.push(at);
        at = [at[0] + ahead[0], at[1] + ahead[1]];
        // The cells in front, to the left and to the right of the way.
        let cell = |side: i64| {
            let right = [-ahead[1] * side, ahead[0] * side];
            let near = |k: usize| at[k] + (ahead[k] + right[k] - 1).div_euclid(2);
            covers(near(0), near(1))
        };
        if cell(-1) && cell(1) {
            ahead = [ahead[1], -ahead[0]];
        } else if !cell(1) {
            ahead = [-ahead[1], ahead[0]];
        }
        if at == start {
            return border;
        }
    }
}

/// Leaves out points that lie nearer to the line between those kept (U. Ramer, 1972; D. Douglas
/// and T. Peucker, 1973).
fn simplified(ring: &[Point], away: f64) -> Vec<Point> {
    let far = |i: &usize| (ring[*i][0] - ring[0][0]).hypot(ring[*i][1] - ring[0][1]);
    let half = (0..ring.len())
        .max_by(|a, b| far(a).total_cmp(&far(b)))
        .unwrap_or(0);
    let mut closed = ring.to_vec();
    closed.push(ring[0]);
    let mut kept = thinned(&closed[..=half], away);
    kept.pop();
    kept.extend(thinned(&closed[half..], away));
    kept.pop();
    kept
}

fn thinned(line: &[Point], away: f64) -> Vec<Point> {
    let (a, b) = (line[0], line[line.len() - 1]);
    let long = (b[0] - a[0]).hypot(b[1] - a[1]).max(1e-9);
    let off =
        |p: &Point| ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])).abs() / long;
    let farthest = (0..line.len()).max_by(|i, k| off(&line[*i]).total_cmp(&off(&line[*k])));
    match farthest {
        Some(i) if off(&line[i]) > away => {
            let mut kept = thinned(&line[..=i], away);
            kept.pop();
            kept.extend(thinned(&line[i..], away));
            kept
        }
        _ => vec![a, b],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::named;

    #[test]
    fn an_outline_encloses_the_footprint() {
        for name in ["cap", "box", "rosette", "torus", "cartouche"] {
            let field = named(name).unwrap();
            let ring = outline(&field);
            let n = ring.len();
            assert!((FEWEST..=MOST).contains(&n), "{name}: {n}");
            let twice: f64 = (0..n)
                .map(|i| {
                    let (a, b) = (ring[i], ring[(i + 1) % n]);
                    a[0] * b[1] - b[0] * a[1]
                })
                .sum();
            let share = twice / 2.0 / field.measures().footprint;
            assert!((share - 1.0).abs() < 0.01, "{name}: {share}");
        }
    }
}
