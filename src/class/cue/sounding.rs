//! All that sounds in a class that is led as planned.

use super::clicks::clicks;
use super::speak::Voicing;
use crate::schedule::{Audience, Event, Schedule, What};
use crate::session::Level;
use crate::time::Tick;

impl Voicing {
    /// Whether an event of a class is for anyone's ears at the level that holds.
    pub fn sounds(&self, schedule: &Schedule, event: &Event) -> bool {
        let level = schedule.spans.get(event.span).map_or(Level::Changes, |span| self.level_in(schedule, span));
        match &event.what {
            What::Tone(_) => level >= Level::Tones,
            What::Call(..) => level >= Level::Calls,
            // It was planned by the level of what it prepares.
            What::Cue(cue) => cue.audience == Audience::Class || self.ear.is_some(),
        }
    }
}

/// What sounds from the first tick to the last, with the clicks of the tempo, in order: what the conductor has played
/// of a class whose cues are among its events, when it is led without a change and waits nowhere.
pub fn sounding(schedule: &Schedule, voicing: &Voicing) -> Vec<Event> {
    let clicks = clicks(schedule, Tick::ZERO, voicing);
    let all = schedule.events.iter().cloned().chain(clicks);
    let mut events: Vec<Event> = all.filter(|event| voicing.sounds(schedule, event)).collect();
    // The sort keeps the order of equals.
    events.sort_by_key(Event::order);
    events
}
