//! What a way is judged by.

/// Cost, then mass, then packs: less is better, and what comes first counts first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    /// In units of the price.
    pub cost: i64,
    /// In units of the mass.
    pub mass: i64,
    /// Packs in steps of [`OPENED`]; one that is bought counts a little more.
    pub packs: i64,
}

/// What a pack from the shelf counts: so much that the little more of those that are bought never
/// adds up to one.
pub(super) const OPENED: i64 = 1 << 31;

impl Worth {
    pub fn of_pack(mass: i64, cost: i64, on_shelf: bool) -> Self {
        Self {
            cost,
            mass,
            packs: OPENED + i64::from(!on_shelf),
        }
    }

    pub fn plus(self, more: Self) -> Self {
        Self {
            cost: self.cost + more.cost,
            mass: self.mass + more.mass,
            packs: self.packs + more.packs,
        }
    }

    /// So many of it; too much money for a number is the most that a number holds.
    pub fn times(self, count: i64) -> Self {
        Self {
            cost: self.cost.saturating_mul(count),
            mass: self.mass * count,
            packs: self.packs * count,
        }
    }
}
