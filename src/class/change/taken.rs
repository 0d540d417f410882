//! A change as data: one live adjustment, to be shown before it is applied, written to the journal, and replayed.

use std::sync::Arc;

use super::{Course, Debt, Reach};
use crate::movement::Movement;
use crate::time::Tick;

/// One live adjustment. Applied at the same tick to the same course, it always gives the same course.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Begin the next span now.
    Next,
    /// Go back to the station before.
    Back,
    /// Begin this span again.
    Again,
    /// Begin a rest now.
    RestNow,
    /// Make spans longer by `by` milliseconds, or shorter if `by` is below zero.
    Stretch { by: i64, reach: Reach },
    /// Give the span that has just ended `by` more milliseconds, then begin the running span again.
    Return { by: i64 },
    /// One round fewer in this block.
    DropRound,
    /// One more round in this block.
    AddRound,
    /// Change lengths so that the class ends at the tick `end` of class time.
    Fit { end: Tick },
    /// Leave something out so that the class ends at the tick `end` of class time.
    Cut { end: Tick },
    /// Swap a station's movement for another, given by id.
    StandIn { block: usize, station: usize, movement: String },
    /// Show everybody a station's easier option.
    Easier { block: usize, station: usize },
    /// Put in, after the running span, the work that a side is short of.
    Repay(Debt),
    /// Dismiss a debt: leave the side short.
    LetBe(Debt),
}

impl Course {
    /// The course after a change. None when the change would change nothing. `movements`: the movements that a swap may
    /// use.
    pub fn changed(&self, now: Tick, change: &Change, movements: &[Arc<Movement>]) -> Option<Course> {
        let course = match change {
            Change::Next => self.next(now),
            Change::Back => self.back(now),
            Change::Again => self.again(now),
            Change::RestNow => self.rest_now(now),
            Change::Stretch { by, reach } => self.stretch(now, *by, *reach)?,
            Change::Return { by } => self.return_to(now, Tick(u64::try_from(*by).ok()?))?,
            Change::DropRound => self.drop_round(now)?,
            Change::AddRound => self.add_round(now)?,
            Change::Fit { end } => self.fit(now, *end).course,
            Change::Cut { end } => self.cut(now, *end).course,
            Change::StandIn { block, station, movement } => {
                let new = movements.iter().find(|new| new.id == *movement)?;
                self.swap(now, *block, *station, self.standing_in(*block, *station, new)?)
            }
            Change::Easier { block, station } => {
                self.swap(now, *block, *station, self.easier(*block, *station, movements)?)
            }
            Change::Repay(debt) => self.repay(now, debt),
            Change::LetBe(debt) => self.dismiss(debt),
        };
        (!course.runs_as(self)).then_some(course)
    }
}
