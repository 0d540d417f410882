//! Everything that sounds in a class that is led as planned.

use super::clicks::clicks;
use super::speak::Voicing;
use crate::schedule::{Audience, Event, Schedule, What};
use crate::session::Level;
use crate::time::Tick;

impl Voicing {
    /// Whether an event of a class is heard by anybody at the level of its span.
    pub fn sounds(&self, schedule: &Schedule, event: &Event) -> bool {
        let level = schedule.spans.get(event.span).map_or(Level::Changes, |span| self.level_in(schedule, span));
        match &event.what {
            What::Tone(_) => level >= Level::Tones,
            What::Call(..) => level >= Level::Calls,
            // The planner has already applied the level of the block that the cue prepares.
            What::Cue(cue) => cue.audience == Audience::Class || self.ear.is_some(),
        }
    }
}

/// Everything that sounds in a class from start to end, with the tempo clicks, in order. The cues must be among the
/// schedule's events. The conductor plays the same when the class is led without changes and without waits.
pub fn sounding(schedule: &Schedule, voicing: &Voicing) -> Vec<Event> {
    let clicks = clicks(schedule, Tick::ZERO, voicing);
    let all = schedule.events.iter().cloned().chain(clicks);
    let mut events: Vec<Event> = all.filter(|event| voicing.sounds(schedule, event)).collect();
    // A stable sort, so that equal events keep their order.
    events.sort_by_key(Event::order);
    events
}
