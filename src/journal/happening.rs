//! What happens in a class, as it is told: to the plain lines, and to whatever keeps a record.

use class::change::Change;
use class::session::Level;
use class::time::Tick;

/// One thing that happened, at the class time it is told with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Happening {
    /// The count-in began; class time will run after so many milliseconds.
    CountIn {
        ms: u64,
    },
    /// A span of the schedule began.
    Span(usize),
    /// An event of the schedule came due: a tone, a call or a cue.
    Due(usize),
    /// A block waits for the coach at its first tick.
    Gate,
    /// The coach let the block begin, after so many milliseconds.
    Opened {
        waited_ms: u64,
    },
    /// The class was held. `stopped`: by the stop key.
    Held {
        stopped: bool,
    },
    /// Class time runs on after so many milliseconds, count-in included.
    Resumed {
        after_ms: u64,
    },
    /// The coach changed what is owed.
    Changed(Change),
    /// The last change that stood was undone.
    Undone,
    /// The change that was undone last was made again.
    Redone,
    /// The machine slept, or the program was stopped, for so many milliseconds.
    Slept {
        ms: u64,
    },
    Muted(bool),
    Level(Level),
    /// The coach marked this moment, to look at it later.
    Flagged,
    /// The line that the coach was shown.
    Said(String),
    /// The last span is over.
    Done,
    /// The coach ended the class before its end.
    Quit,
}

/// A happening with its class time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    pub at: Tick,
    /// How long the class then was in all. A step may change it more than once.
    pub total: Tick,
    pub what: Happening,
}
