//! What fingers (or a mouse) on the stage mean: tap, double tap, hold, drag, pan, pinch.
//!
//! Times are milliseconds from any fixed start, places CSS pixels of the stage.

use super::view::{Place, distance};

/// A finger that wanders less than this still taps.
const STILL: f64 = 7.0;
/// How long a finger rests before that means "hold".
pub const HOLD_MS: f64 = 350.0;
/// Two taps within this time, and near each other, are a double tap.
const DOUBLE_MS: f64 = 300.0;

/// What the hand did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Act {
    /// A short touch.
    Tap { at: Place },
    /// A second short touch at the same place; the first was told as a tap.
    DoubleTap { at: Place },
    /// A finger rested on bare picture: a mark is to be set there and dragged.
    Hold { at: Place },
    /// What the finger gripped was taken up; it moves with the finger from here on.
    Grip,
    /// What is held moves by this much from where it was taken up.
    Drag { by: Place },
    /// What is held is let go.
    Drop,
    /// A finger that draws has come here.
    Draw { at: Place },
    /// What was drawn is done.
    Drawn,
    /// The touch was taken away by the system, or a second finger ended a drawing: what is held
    /// goes back.
    GiveUp,
    /// The picture moves by this much.
    Pan { by: Place },
    /// The picture follows two fingers: their middle before and after, and the growth.
    Pinch { centres: [Place; 2], factor: f64 },
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Doing {
    Nothing,
    Pressing { from: Place, since: f64, grip: bool },
    Dragging { from: Place },
    Drawing,
    Moving,
}

/// The fingers on the stage and what they are doing.
#[derive(Clone, Debug)]
pub struct Hand {
    fingers: Vec<(i32, Place)>,
    doing: Doing,
    last_tap: Option<(f64, Place)>,
    /// Whether a finger on bare picture draws, rather than moving the picture.
    pub draws: bool,
}

impl Default for Hand {
    fn default() -> Self {
        Self {
            fingers: Vec::new(),
            doing: Doing::Nothing,
            last_tap: None,
            draws: false,
        }
    }
}

impl Hand {
    /// A finger comes down; `grip` says that something movable lies under it.
    pub fn down(&mut self, id: i32, at: Place, now: f64, grip: bool) -> Option<Act> {
        self.fingers.retain(|f| f.0 != id);
        self.fingers.push((id, at));
        let before = self.doing;
        if self.fingers.len() == 1 {
            self.doing = Doing::Pressing {
                from: at,
                since: now,
                grip,
            };
            return None;
        }
        self.doing = Doing::Moving;
        self.last_tap = None;
        match before {
            Doing::Dragging { .. } => Some(Act::Drop),
            Doing::Drawing => Some(Act::GiveUp),
            _ => None,
        }
    }

    /// A finger moves; finally perhaps two acts, the taking up and the first step.
    pub fn moved(&mut self, id: i32, at: Place) -> Vec<Act> {
        let Some(index) = self.fingers.iter().position(|f| f.0 == id) else {
            return Vec::new();
        };
        let was = self.fingers[index].1;
        let fingers_before = self.fingers.clone();
        self.fingers[index].1 = at;
        match self.doing {
            Doing::Nothing => Vec::new(),
            Doing::Pressing { from, .. } if distance(from, at) < STILL => Vec::new(),
            Doing::Pressing { from, grip, .. } => {
                self.last_tap = None;
                if grip {
                    self.doing = Doing::Dragging { from };
                    let by = between(from, at);
                    return vec![Act::Grip, Act::Drag { by }];
                }
                if self.draws {
                    self.doing = Doing::Drawing;
                    return vec![Act::Draw { at: from }, Act::Draw { at }];
                }
                self.doing = Doing::Moving;
                let by = between(from, at);
                vec![Act::Pan { by }]
            }
            Doing::Dragging { from } => {
                let by = between(from, at);
                vec![Act::Drag { by }]
            }
            Doing::Drawing => vec![Act::Draw { at }],
            Doing::Moving if self.fingers.len() == 1 => {
                let by = between(was, at);
                vec![Act::Pan { by }]
            }
            Doing::Moving => pinch(&fingers_before, &self.fingers).into_iter().collect(),
        }
    }

    /// Time has passed: a finger that rests long enough takes up what is under it or sets a mark.
    pub fn rest(&mut self, now: f64) -> Option<Act> {
        let Doing::Pressing { from, since, grip } = self.doing else {
            return None;
        };
        if now - since < HOLD_MS - 1.0 || self.draws && !grip {
            return None;
        }
        self.last_tap = None;
        self.doing = Doing::Dragging { from };
        Some(if grip {
            Act::Grip
        } else {
            Act::Hold { at: from }
        })
    }

    /// A finger is lifted. Two taps within `double_reach` of each other are a double tap.
    pub fn up(&mut self, id: i32, now: f64, double_reach: f64) -> Option<Act> {
        let known = self.fingers.len();
        self.fingers.retain(|f| f.0 != id);
        if self.fingers.len() == known {
            return None;
        }
        let doing = self.doing;
        self.doing = if self.fingers.is_empty() {
            Doing::Nothing
        } else {
            Doing::Moving
        };
        match doing {
            Doing::Pressing { from, .. } => {
                let again = self
                    .last_tap
                    .take()
                    .is_some_and(|(t, p)| now - t < DOUBLE_MS && distance(p, from) < double_reach);
                if again {
                    return Some(Act::DoubleTap { at: from });
                }
                self.last_tap = Some((now, from));
                Some(Act::Tap { at: from })
            }
            Doing::Dragging { .. } => Some(Act::Drop),
            Doing::Drawing => Some(Act::Drawn),
            Doing::Nothing | Doing::Moving => None,
        }
    }

    /// The system took a finger away.
    pub fn cancelled(&mut self, id: i32) -> Option<Act> {
        let act = self.up(id, f64::NEG_INFINITY, 0.0)?;
        self.last_tap = None;
        matches!(act, Act::Drop | Act::Drawn).then_some(Act::GiveUp)
    }

    /// Where the finger is while it drags something.
    pub fn dragging_at(&self) -> Option<Place> {
        match self.doing {
            Doing::Dragging { .. } => self.fingers.first().map(|f| f.1),
            _ => None,
        }
    }
}

fn between(from: Place, to: Place) -> Place {
    [to[0] - from[0], to[1] - from[1]]
}

fn pinch(before: &[(i32, Place)], after: &[(i32, Place)]) -> Option<Act> {
    let (&[(_, a0), (_, b0), ..], &[(_, a1), (_, b1), ..]) = (before, after) else {
        return None;
    };
    let middle = |a: Place, b: Place| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
    // Fingers that nearly touch tell no sensible growth.
    let (was, is) = (distance(a0, b0).max(10.0), distance(a1, b1).max(10.0));
    Some(Act::Pinch {
        centres: [middle(a0, b0), middle(a1, b1)],
        factor: is / was,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const REACH: f64 = 18.0;

    #[test]
    fn a_short_touch_is_a_tap_even_if_the_finger_trembles() {
        let mut hand = Hand::default();
        assert_eq!(hand.down(1, [50.0, 50.0], 0.0, false), None);
        assert!(hand.moved(1, [53.0, 52.0]).is_empty());
        assert_eq!(hand.up(1, 90.0, REACH), Some(Act::Tap { at: [50.0, 50.0] }));
    }

    #[test]
    fn two_taps_at_one_place_are_a_double_tap_and_at_two_places_are_not() {
        let mut hand = Hand::default();
        hand.down(1, [50.0, 50.0], 0.0, false);
        hand.up(1, 50.0, REACH);
        hand.down(1, [55.0, 50.0], 150.0, false);
        assert_eq!(
            hand.up(1, 200.0, REACH),
            Some(Act::DoubleTap { at: [55.0, 50.0] })
        );
        hand.down(1, [50.0, 50.0], 1000.0, false);
        hand.up(1, 1050.0, REACH);
        hand.down(1, [75.0, 50.0], 1100.0, false);
        assert_eq!(
            hand.up(1, 1150.0, REACH),
            Some(Act::Tap { at: [75.0, 50.0] })
        );
    }

    #[test]
    fn three_quick_taps_are_one_double_tap_and_a_tap() {
        let mut hand = Hand::default();
        let mut acts = Vec::new();
        for i in 0..3 {
            let t = f64::from(i) * 100.0;
            hand.down(1, [50.0, 50.0], t, false);
            acts.extend(hand.up(1, t + 30.0, REACH));
        }
        let at = [50.0, 50.0];
        assert_eq!(
            acts,
            [Act::Tap { at }, Act::DoubleTap { at }, Act::Tap { at }]
        );
    }

    #[test]
    fn a_gripped_handle_moves_by_exactly_what_the_finger_moved() {
        let mut hand = Hand::default();
        hand.down(1, [50.0, 50.0], 0.0, true);
        assert_eq!(
            hand.moved(1, [60.0, 50.0]),
            [Act::Grip, Act::Drag { by: [10.0, 0.0] }]
        );
        assert_eq!(
            hand.moved(1, [70.0, 45.0]),
            [Act::Drag { by: [20.0, -5.0] }]
        );
        assert_eq!(hand.dragging_at(), Some([70.0, 45.0]));
        assert_eq!(hand.up(1, 500.0, REACH), Some(Act::Drop));
    }

    #[test]
    fn a_finger_on_bare_picture_pans() {
        let mut hand = Hand::default();
        hand.down(1, [50.0, 50.0], 0.0, false);
        assert_eq!(hand.moved(1, [60.0, 50.0]), [Act::Pan { by: [10.0, 0.0] }]);
        assert_eq!(hand.moved(1, [61.0, 50.0]), [Act::Pan { by: [1.0, 0.0] }]);
        assert_eq!(hand.up(1, 100.0, REACH), None);
    }

    #[test]
    fn a_finger_that_draws_leaves_its_way_and_a_second_one_gives_it_up() {
        let mut hand = Hand {
            draws: true,
            ..Hand::default()
        };
        let (a, b) = ([50.0, 50.0], [60.0, 50.0]);
        hand.down(1, a, 0.0, false);
        assert_eq!(hand.rest(HOLD_MS), None);
        assert_eq!(hand.moved(1, b), [Act::Draw { at: a }, Act::Draw { at: b }]);
        assert_eq!(hand.moved(1, a), [Act::Draw { at: a }]);
        assert_eq!(hand.up(1, 500.0, REACH), Some(Act::Drawn));
        hand.down(1, a, 600.0, false);
        hand.moved(1, b);
        assert_eq!(hand.down(2, a, 700.0, false), Some(Act::GiveUp));
    }

    #[test]
    fn resting_on_bare_picture_sets_a_mark_and_drags_it() {
        let mut hand = Hand::default();
        hand.down(1, [50.0, 50.0], 0.0, false);
        assert_eq!(hand.rest(200.0), None);
        assert_eq!(hand.rest(HOLD_MS), Some(Act::Hold { at: [50.0, 50.0] }));
        assert_eq!(hand.moved(1, [51.0, 50.0]), [Act::Drag { by: [1.0, 0.0] }]);
        assert_eq!(hand.up(1, 900.0, REACH), Some(Act::Drop));
    }

    #[test]
    fn two_fingers_pinch_about_their_middle() {
        let mut hand = Hand::default();
        hand.down(1, [100.0, 100.0], 0.0, true);
        assert_eq!(hand.down(2, [200.0, 100.0], 20.0, false), None);
        let acts = hand.moved(2, [300.0, 100.0]);
        let centres = [[150.0, 100.0], [200.0, 100.0]];
        assert_eq!(
            acts,
            [Act::Pinch {
                centres,
                factor: 2.0
            }]
        );
        // The finger that stays goes on panning and does not tap when it leaves.
        assert_eq!(hand.up(2, 300.0, REACH), None);
        assert_eq!(
            hand.moved(1, [110.0, 100.0]),
            [Act::Pan { by: [10.0, 0.0] }]
        );
        assert_eq!(hand.up(1, 350.0, REACH), None);
    }

    #[test]
    fn a_second_finger_lets_go_of_what_is_dragged() {
        let mut hand = Hand::default();
        hand.down(1, [100.0, 100.0], 0.0, true);
        hand.moved(1, [120.0, 100.0]);
        assert_eq!(hand.down(2, [200.0, 100.0], 60.0, false), Some(Act::Drop));
    }

    #[test]
    fn a_touch_taken_by_the_system_neither_taps_nor_drops() {
        let mut hand = Hand::default();
        hand.down(1, [50.0, 50.0], 0.0, false);
        assert_eq!(hand.cancelled(1), None);
        hand.down(1, [50.0, 50.0], 0.0, true);
        hand.moved(1, [80.0, 50.0]);
        assert_eq!(hand.cancelled(1), Some(Act::GiveUp));
        assert_eq!(hand.up(1, 10.0, REACH), None);
    }
}
