//! A change as data: one live adjustment, to be shown before it is applied, written to the journal, and replayed.

use std::sync::Arc;

use super::{ChangeReach, Course, SideDebt};
use crate::movement::Movement;
use crate::time::Tick;

/// One live adjustment. Applied at the same tick to the same course, it always gives the same course.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LiveChange {
    /// Begin the next span now.
    Next,
    /// Go back to the station before.
    Back,
    /// Begin this span again.
    Again,
    /// Begin a rest now.
    RestNow,
    /// Make spans longer by `by` milliseconds, or shorter if `by` is below zero.
    AdjustLength { by: i64, reach: ChangeReach },
    /// Give the span that has just ended `by` more milliseconds, then begin the running span again.
    ExtendPrevious { by: i64 },
    /// One round fewer in this block.
    DropRound,
    /// One more round in this block.
    AddRound,
    /// Change lengths so that the class ends at the tick `end` of class time.
    Fit { end: Tick },
    /// Leave something out so that the class ends at the tick `end` of class time.
    Cut { end: Tick },
    /// Swap a station's movement for another, given by id.
    Swap { block: usize, station: usize, movement: String },
    /// Show everybody a station's easier option.
    Easier { block: usize, station: usize },
    /// Insert, after the running span, the work that a side is short of.
    RepayDebt(SideDebt),
    /// Dismiss a side debt: leave the side short.
    WaiveDebt(SideDebt),
}

impl Course {
    /// The course after a change. None when the change would change nothing. `movements`: the movements that a swap may
    /// use.
    pub fn with_change(&self, now: Tick, change: &LiveChange, movements: &[Arc<Movement>]) -> Option<Course> {
        let course = match change {
            LiveChange::Next => self.next(now),
            LiveChange::Back => self.back(now),
            LiveChange::Again => self.again(now),
            LiveChange::RestNow => self.rest_now(now),
            LiveChange::AdjustLength { by, reach } => self.adjust_length(now, *by, *reach)?,
            LiveChange::ExtendPrevious { by } => self.extend_previous(now, Tick(u64::try_from(*by).ok()?))?,
            LiveChange::DropRound => self.drop_round(now)?,
            LiveChange::AddRound => self.add_round(now)?,
            LiveChange::Fit { end } => self.fit(now, *end).course,
            LiveChange::Cut { end } => self.cut(now, *end).course,
            LiveChange::Swap { block, station, movement } => {
                let new = movements.iter().find(|new| new.id == *movement)?;
                self.swap(now, *block, *station, self.swapped_station(*block, *station, new)?)
            }
            LiveChange::Easier { block, station } => {
                self.swap(now, *block, *station, self.easier(*block, *station, movements)?)
            }
            LiveChange::RepayDebt(debt) => self.repay(now, debt),
            LiveChange::WaiveDebt(debt) => self.waive_debt(debt),
        };
        (!course.runs_like(self)).then_some(course)
    }
}
