//! How a phone is held: from the angles its sensors tell to where down is in its pictures.

/// The direction of gravity in the frame of the rear camera (x right, y down, z forward, upright
/// as the picture is shown), from a device-orientation reading (W3C Device Orientation and
/// Motion: `beta` about the phone's x axis, `gamma` about its y axis, in degrees) and the angle by
/// which the screen is turned (W3C Screen Orientation, in degrees).
///
/// ```
/// use peelcast::survey::gravity_of_phone;
/// // Held upright before a wall, in portrait.
/// let down = gravity_of_phone(90.0, 0.0, 0.0);
/// assert!((down[1] - 1.0).abs() < 1e-12);
/// ```
pub fn gravity_of_phone(beta: f64, gamma: f64, screen: f64) -> [f64; 3] {
    let (beta, gamma, screen) = (beta.to_radians(), gamma.to_radians(), screen.to_radians());
    // Up in the phone's own frame (x right, y to its head, z out of the screen) is the last row
    // of the rotation Z(alpha) X(beta) Y(gamma).
    let up = [
        -beta.cos() * gamma.sin(),
        beta.sin(),
        beta.cos() * gamma.cos(),
    ];
    // The screen's right and head, turned against the phone's.
    let right = up[0] * screen.cos() - up[1] * screen.sin();
    let head = up[0] * screen.sin() + up[1] * screen.cos();
    [-right, head, up[2]]
}

/// By how many degrees a picture is turned in its own plane, clockwise as seen, against down;
/// `None` where the camera looks straight up or down.
pub fn roll(gravity: [f64; 3]) -> Option<f64> {
    let [x, y, _] = gravity;
    (x.hypot(y) > 0.1).then(|| x.atan2(y).to_degrees())
}

/// By how many degrees the camera looks above the horizon; below it, if less than nothing.
pub fn pitch(gravity: [f64; 3]) -> f64 {
    (-gravity[2]).clamp(-1.0, 1.0).asin().to_degrees()
}

/// A hand is still while the phone turns by less than this, in degrees.
const STILL_DEG: f64 = 0.35;
/// For so long, in milliseconds.
const STILL_MS: f64 = 350.0;

/// Feels whether a hand has come to rest: the readings of the last moments agree.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rest {
    /// A direction of gravity, and since when the phone has kept to it.
    since: Option<([f64; 3], f64)>,
}

impl Rest {
    /// Takes in a reading at a time in milliseconds; true once the hand has been still for long
    /// enough.
    pub fn feels(&mut self, gravity: [f64; 3], now: f64) -> bool {
        let (direction, begun) = *self.since.get_or_insert((gravity, now));
        let along: f64 = direction.iter().zip(gravity).map(|(a, b)| a * b).sum();
        if along.clamp(-1.0, 1.0).acos().to_degrees() > STILL_DEG {
            self.since = Some((gravity, now));
            return false;
        }
        now - begun >= STILL_MS
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: [f64; 3], b: [f64; 3]) {
        assert!(
            a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9),
            "{a:?} {b:?}"
        );
    }

    #[test]
    fn down_is_where_it_is_however_the_phone_is_held() {
        // On its back on a table: the rear camera looks down.
        close(gravity_of_phone(0.0, 0.0, 0.0), [0.0, 0.0, 1.0]);
        // Upright, its head to the left, the screen turned along (angle 90).
        let landscape = gravity_of_phone(0.0, -90.0, 90.0);
        close(landscape, [0.0, 1.0, 0.0]);
        // Upright, its head to the right (angle 270).
        close(gravity_of_phone(0.0, 90.0, 270.0), [0.0, 1.0, 0.0]);
        // Leant back by ten degrees, it looks up at what is above.
        let up = gravity_of_phone(100.0, 0.0, 0.0);
        assert!((pitch(up) - 10.0).abs() < 1e-9 && roll(up).unwrap().abs() < 1e-9);
    }

    #[test]
    fn a_hand_is_at_rest_once_it_has_not_turned_for_a_while() {
        let held = |degrees: f64| gravity_of_phone(90.0 + degrees, 0.0, 0.0);
        let mut rest = Rest::default();
        assert!(!rest.feels(held(0.0), 0.0));
        assert!(!rest.feels(held(2.0), 300.0), "it turns");
        assert!(!rest.feels(held(2.1), 600.0), "not for long enough");
        assert!(rest.feels(held(1.9), 700.0));
    }

    #[test]
    fn a_phone_turned_clockwise_sees_down_to_its_right() {
        // Portrait, turned clockwise by 20 degrees about the line of sight: gravity then has a
        // part towards the picture's right.
        let (sin, cos) = 20_f64.to_radians().sin_cos();
        // Up in the phone's frame lies to its left.
        let beta = cos.asin().to_degrees();
        let gamma = 90.0;
        let down = gravity_of_phone(beta, gamma, 0.0);
        close(down, [sin, cos, 0.0]);
        assert!((roll(down).unwrap() - 20.0).abs() < 1e-9);
    }
}
