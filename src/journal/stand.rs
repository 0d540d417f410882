//! Where a class stands that is resumed.

use class::change::{Course, History};
use class::time::Tick;

/// How a class stands that is taken up again.
#[derive(Clone, Debug)]
pub struct Stand {
    /// As it has run and will run; its cues are planned anew.
    pub course: Course,
    pub history: History,
    /// Class time to go on at.
    pub now: Tick,
    /// Milliseconds that holds, waits and the gap have cost so far.
    pub lost_ms: u64,
    /// How many moments the coach had marked.
    pub flags: usize,
    /// The span that begins at `now` need not wait for the coach.
    pub open: bool,
    /// Class time runs on at once, as if it had never stood. Else the class is held.
    pub runs: bool,
    /// The span that ran is done once more from its start.
    pub again: bool,
}
