//! What happens in a class, as reported to the plain lines and to the journal.

use std::time::Duration;

use class::change::LiveChange;
use class::session::SpeechLevel;
use class::time::Tick;

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Happening {
    /// The count-in began; class time will run after `length`.
    CountIn {
        length: Duration,
    },
    /// A span of the schedule began.
    Span(usize),
    /// An event of the schedule came due: a tone, a call or a cue.
    Due(usize),
    /// A block waits for the coach at its first tick.
    Gate,
    /// The waiting block began, after `waited`.
    Opened {
        waited: Duration,
    },
    /// The class was paused. `stopped`: by the stop key.
    Paused {
        stopped: bool,
    },
    /// Class time runs again, after `after`, count-in included.
    Resumed {
        after: Duration,
    },
    /// The coach changed what is left of the class.
    Changed(LiveChange),
    /// The last change was undone.
    Undone,
    /// The change that was undone last was redone.
    Redone,
    /// The computer slept, or the program was stopped, for `length`.
    Slept {
        length: Duration,
    },
    Muted(bool),
    Level(SpeechLevel),
    /// The coach marked this moment, to look at it later.
    Marked,
    /// A message was shown to the coach.
    Said(String),
    /// The last span is over.
    Done,
    /// The coach ended the class before its end.
    Quit,
}

/// A happening with its class time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TimedHappening {
    pub at: Tick,
    /// The length of the whole class at that time. One step may change it more than once.
    pub total: Tick,
    pub what: Happening,
}
