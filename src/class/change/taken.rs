//! A change as data: one live adjustment, to be shown before it is taken, written down, and made again.

use std::sync::Arc;

use super::{Course, Debt, Reach};
use crate::movement::Movement;
use crate::time::Tick;

/// One live adjustment. Made at the same tick of the same course it gives the same course.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// What follows, now.
    Next,
    /// The station before, once more.
    Back,
    /// This span, once more.
    Again,
    /// A rest, now.
    RestNow,
    /// Longer or, below zero, shorter, in milliseconds.
    Stretch { by: i64, reach: Reach },
    /// What has just ended for so many milliseconds more, and then what runs, whole.
    Return { by: i64 },
    /// One round of this block less.
    DropRound,
    /// One round of this block more.
    AddRound,
    /// New lengths, so that the class ends at a tick of class time.
    Fit { end: Tick },
    /// Something left out, so that the class ends at a tick of class time.
    Cut { end: Tick },
    /// Another movement in place of a station's, by block and station.
    StandIn { block: usize, station: usize, movement: String },
    /// The easier tier of a station as what is shown, by block and station.
    Easier { block: usize, station: usize },
    /// What a side owes, after the span that runs.
    Repay(Debt),
    /// A debt that is let be.
    LetBe(Debt),
}

impl Course {
    /// The course after a change. None where it would change nothing. `movements`: those that a swap may find.
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
