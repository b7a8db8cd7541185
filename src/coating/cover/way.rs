//! Parts of ways, and the list of them.

use super::Kind;
use super::goal::{Goal, Outside};
use super::worth::Worth;

/// A part of a way: some packs, together less than the need.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Way {
    pub worth: Worth,
    /// Its mass is so many base packs
    pub whole: i64,
    /// and this much above.
    pub above: i64,
    /// Where its packs are noted, but for the kind that is being added.
    pub note: u32,
    /// How many of the kind that is being added.
    pub count: u32,
}

/// So many of a kind besides what was noted before; the first note says nothing.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Note {
    pub before: u32,
    pub kind: u32,
    pub count: u32,
}

/// The size of the base; larger than any mass if there is none.
pub(super) fn round(base: Option<Kind>) -> i64 {
    base.map_or(i64::MAX / 2, |base| base.size)
}

/// The ways of a list, and each with one lot of a kind more. Both lists are in the order of what
/// is above base packs. Ways that can't lead to anything better are left out; of those that cover
/// the need by themselves the best is given beside.
pub(super) fn with_lot(
    list: &[Way],
    kind: &Kind,
    lot: i64,
    goal: &Goal,
    outside: &Outside,
) -> (Vec<Way>, Option<Way>) {
    let round = round(goal.base);
    let more = kind.worth().times(lot);
    let (whole, above) = (more.mass / round, more.mass % round);
    // Moved on along a circle, the list starts elsewhere.
    let turn = list.partition_point(|way| way.above < round - above);
    let moved = list[turn..].iter().chain(&list[..turn]).map(|way| {
        let over = way.above + above >= round;
        Way {
            worth: way.worth.plus(more),
            whole: way.whole + whole + i64::from(over),
            above: way.above + above - if over { round } else { 0 },
            note: way.note,
            count: way.count + lot as u32,
        }
    });
    let key = |way: &Way| (way.above, way.whole, way.worth);

    let mut both: Vec<Way> = Vec::with_capacity(2 * list.len());
    let mut covering: Option<Way> = None;
    let mut still = list.iter().copied().peekable();
    let mut moved = moved.peekable();
    loop {
        let next = match (still.peek(), moved.peek()) {
            (Some(a), Some(b)) if key(a) <= key(b) => still.next(),
            (Some(_), None) => still.next(),
            _ => moved.next(),
        };
        let Some(way) = next else {
            return (both, covering);
        };
        if way.worth.mass >= goal.need {
            if covering.is_none_or(|best| way.worth < best.worth) {
                covering = Some(way);
            }
            continue;
        }
        if let Some(last) = both.last()
            && last.above == way.above
        {
            let packs = goal.base.map_or(Worth::default(), |base| base.worth());
            if last.worth.plus(packs.times(way.whole - last.whole)) <= way.worth {
                continue;
            }
        }
        if goal.promises(&way.worth, outside, true) {
            both.push(way);
        }
    }
}
