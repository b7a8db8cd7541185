//! A question for a plan, as it travels to another thread and back as JSON text.

use super::{Clash, Day, DayPlan, DayStep, plan, replan};
use serde::{Deserialize, Serialize};

/// Asks for the plan of a day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// The day.
    pub day: Day,
    /// The plan before, where there was one: what follows is changed as little as possible.
    pub before: Option<Vec<DayStep>>,
}

impl Ask {
    /// The plan, or why there is none.
    pub fn answer(&self) -> Result<DayPlan, Clash> {
        match &self.before {
            Some(before) => replan(&self.day, before),
            None => plan(&self.day),
        }
    }
}
