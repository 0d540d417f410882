//! Cues read out one after the other, outside their places in the class.

use super::Sounding;
use class::schedule::{Cue, Event, What};
use class::time::Tick;

/// The pause between two cues.
const PAUSE: Tick = Tick(700);

impl Sounding {
    /// Cues of a span, one after the other.
    pub fn of_cues<'a>(cues: impl Iterator<Item = &'a Cue>, span: usize) -> Sounding {
        let mut at = Tick::ZERO;
        let events = cues.map(|cue| {
            let event = Event { at, span, what: What::Cue(cue.clone()) };
            at += cue.length + PAUSE;
            event
        });
        Sounding { from: Tick::ZERO, after_ms: 0, events: events.collect() }
    }
}
