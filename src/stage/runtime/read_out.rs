//! Cues read out one after the other, outside their places in the class.

use std::time::Duration;

use super::UpcomingSounds;
use class::cue::GAP;
use class::schedule::{Cue, EventContent, ScheduleEvent};
use class::time::Tick;

impl UpcomingSounds {
    /// Cues of a span, one after the other.
    pub fn of_cues<'a>(cues: impl Iterator<Item = &'a Cue>, span: usize) -> UpcomingSounds {
        let mut at = Tick::ZERO;
        let events = cues.map(|cue| {
            let event = ScheduleEvent { at, span, what: EventContent::Cue(cue.clone()) };
            at += cue.length + GAP;
            event
        });
        UpcomingSounds { from: Tick::ZERO, after: Duration::ZERO, events: events.collect() }
    }
}
