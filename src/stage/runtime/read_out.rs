//! Cues read out one after the other, outside their places in the class.

use super::UpcomingSounds;
use class::schedule::{Cue, EventContent, ScheduleEvent};
use class::time::Tick;

/// The pause between two cues.
const PAUSE: Tick = Tick(700);

impl UpcomingSounds {
    /// Cues of a span, one after the other.
    pub fn of_cues<'a>(cues: impl Iterator<Item = &'a Cue>, span: usize) -> UpcomingSounds {
        let mut at = Tick::ZERO;
        let events = cues.map(|cue| {
            let event = ScheduleEvent { at, span, what: EventContent::Cue(cue.clone()) };
            at += cue.length + PAUSE;
            event
        });
        UpcomingSounds { from: Tick::ZERO, after_ms: 0, events: events.collect() }
    }
}
