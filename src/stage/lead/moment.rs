//! The moment: all that a screen may show of a running class.

use super::keymap::Keymap;
use class::change::{Debt, Mark};
use class::cue::PlannedCue;
use class::schedule::Schedule;
use class::session::Level;
use class::time::Tick;

/// A class at one instant, as the conductor hands it to the screen and to the plain lines. Nothing in it is
/// decided by whoever draws it.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment<'a> {
    pub schedule: &'a Schedule,
    /// Class time.
    pub now: Tick,
    pub phase: Phase,
    /// When the class ends, or has ended, on the clock on the wall, such as `18:59`; None while that is not known.
    pub ends_at: Option<String>,
    /// What is left of the slot when the class ends: negative when over. None without a slot. In milliseconds.
    pub spare_ms: Option<i64>,
    /// Milliseconds that holds and waits at gates have cost so far.
    pub lost_ms: u64,
    /// What was planned to be said, whether it is or not, in order.
    pub cues: &'a [PlannedCue],
    pub level: Level,
    pub muted: bool,
    /// Which screen is shown.
    pub view: View,
    /// What of the class is other than planned.
    pub changed: Changed<'a>,
    /// The offer that is shown, if they are open.
    pub offer: Option<Offered<'a>>,
    /// A line for the coach: a device lost, a key refused. None when there is nothing to say.
    pub message: Option<&'a str>,
    /// How the machine stands, for the ready screen: device, voice, power. Each a label and a short value.
    pub machine: &'a [(String, String)],
    /// What the coach's buttons mean.
    pub keymap: &'a Keymap,
}

/// What of a class is other than planned, and what follows from it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Changed<'a> {
    /// None where the class is as planned.
    pub plan: Option<&'a Schedule>,
    /// For each span of the schedule how it stands against the plan. Empty where it is as planned.
    pub marks: &'a [Mark],
    /// What one side owes the other.
    pub debts: &'a [Debt],
    /// How many changes stand.
    pub changes: usize,
    /// How many moments the coach has marked, to look at them later.
    pub flags: usize,
}

/// A change as it is shown before it is taken.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Offered<'a> {
    /// In a few words.
    pub words: &'a str,
    /// What it does in full.
    pub detail: Option<&'a str>,
    /// When the class would end, as [`Moment::ends_at`].
    pub ends_at: Option<String>,
    /// What would then be to spare, as [`Moment::spare_ms`].
    pub spare_ms: Option<i64>,
    /// Which of the offers, from 0, and how many there are.
    pub index: usize,
    pub count: usize,
}

/// What the class is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Before the first span, so long by now; to begin in so many milliseconds where a time was given, else on a key.
    Ready {
        begins_in_ms: Option<u64>,
        waited_ms: u64,
    },
    /// The last seconds before class time runs (again), at the start or after a hold. A second press skips it.
    CountIn {
        left_ms: u64,
    },
    Running,
    /// A block waits for the coach's key at its first tick, so long by now.
    Gate {
        waited_ms: u64,
    },
    /// The coach holds the class, so long by now. `stopped`: by the stop key, so the emergency text shows.
    Held {
        for_ms: u64,
        stopped: bool,
    },
    /// The last span is over.
    Done,
}

/// Which screen is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum View {
    #[default]
    Coach,
    /// Class-safe, for a second screen or the back row.
    Far,
    /// The keys.
    Help,
    /// Whether to quit is asked.
    Quit,
}
