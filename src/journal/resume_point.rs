//! The resume point: the state of a class at the moment at which the class is resumed.

use std::time::Duration;

use class::change::{ChangeHistory, Course};
use class::time::Tick;

/// The state of a class to resume.
#[derive(Clone, Debug)]
pub struct ResumePoint {
    /// The course of the class: how it has run and how it will run. Its cues are planned again.
    pub course: Course,
    pub history: ChangeHistory,
    /// The class time to resume at.
    pub now: Tick,
    /// The time lost to pauses, waits and the gap so far.
    pub lost: Duration,
    /// How many moments the coach had marked.
    pub marks: usize,
    /// Whether the span that begins at `now` need not wait for the coach.
    pub gate_opened: bool,
    /// Whether class time runs at once, as if it had never stopped. Otherwise the class is paused.
    pub runs_at_once: bool,
    /// Whether the span that was cut off starts again.
    pub repeats_span: bool,
}
