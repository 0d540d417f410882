//! The moment: everything that a screen may show of a running class.

use std::time::Duration;

use jiff::SignedDuration;

use super::keymap::Keymap;
use class::change::{SideDebt, SpanDeviation};
use class::cue::PlannedCue;
use class::schedule::Schedule;
use class::session::SpeechLevel;
use class::time::Tick;

/// A class at one instant, as the conductor hands it to the screen and to the plain lines. Those who draw it decide
/// nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment<'a> {
    pub schedule: &'a Schedule,
    /// Class time.
    pub now: Tick,
    pub phase: ClassPhase,
    /// The time of day at which the class ends or has ended, such as `18:59`. None if it is not known.
    pub ends_at: Option<String>,
    /// What is left of the slot when the class ends; negative if the class ends later. None without a slot.
    pub spare: Option<SignedDuration>,
    /// The time lost to pauses and to waits at gates so far.
    pub lost: Duration,
    /// All planned cues in order, said or unsaid.
    pub cues: &'a [PlannedCue],
    pub level: SpeechLevel,
    pub muted: bool,
    /// Which screen is shown.
    pub view: ScreenView,
    /// How the class differs from the plan.
    pub changed: ClassChanges<'a>,
    /// The offer that is shown, if the offers are open.
    pub offer: Option<ShownOffer<'a>>,
    /// A line for the coach: a lost device, a refused key. None if there is nothing to say.
    pub message: Option<&'a str>,
    /// The state of the computer for the ready screen: device, voice, power. Each has a label and a short value.
    pub machine: &'a [(String, String)],
    /// What the coach's buttons ask for.
    pub keymap: &'a Keymap,
}

/// How a class differs from the plan, and what follows from that.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ClassChanges<'a> {
    /// None if the class is as planned.
    pub plan: Option<&'a Schedule>,
    /// For each span of the schedule, how it differs from the plan. Empty if the class is as planned.
    pub deviations: &'a [SpanDeviation],
    /// How much the sides are short.
    pub debts: &'a [SideDebt],
    /// How many changes are in force.
    pub changes: usize,
    /// How many moments the coach has marked.
    pub marks: usize,
}

/// An offer as it is shown before it is taken.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ShownOffer<'a> {
    /// The change in a few words.
    pub words: &'a str,
    /// What the change does in full.
    pub detail: Option<&'a str>,
    /// When the class would end, as [`Moment::ends_at`].
    pub ends_at: Option<String>,
    /// The time that would then be spare, as [`Moment::spare`].
    pub spare: Option<SignedDuration>,
    /// The number of the offer, from 0, and how many offers there are.
    pub index: usize,
    pub count: usize,
}

/// What the class is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClassPhase {
    /// Before the first span, for `waited` so far. The class begins in `begins_in`. None: it begins on a key.
    Ready {
        begins_in: Option<Duration>,
        waited: Duration,
    },
    /// The last seconds before class time runs, at the start or after a pause. A second press skips them.
    CountIn {
        left: Duration,
    },
    Running,
    /// A block waits at its first tick for the coach's key, for `waited` so far.
    Gate {
        waited: Duration,
    },
    /// The class is paused, for `lasted` so far. `stopped`: by the stop key, so the emergency text is shown.
    Paused {
        lasted: Duration,
        stopped: bool,
    },
    /// The last span is over.
    Done,
}

/// Which screen is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ScreenView {
    #[default]
    Coach,
    /// Only what the class should see, for a second screen or the back row.
    Far,
    /// The list of keys.
    Help,
    /// The question whether to quit.
    Quit,
}
