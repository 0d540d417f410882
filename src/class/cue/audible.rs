//! Everything that sounds in a class that is led as planned.

use super::clicks::clicks;
use super::plan_cues::SpeechSettings;
use crate::schedule::{Audience, EventContent, Schedule, ScheduleEvent};
use crate::session::SpeechLevel;
use crate::time::Tick;

impl SpeechSettings {
    /// Whether an event of a class is heard by anybody at the level of its span.
    pub fn is_audible(&self, schedule: &Schedule, event: &ScheduleEvent) -> bool {
        let level = schedule.spans.get(event.span).map_or(SpeechLevel::Changes, |span| self.level_in(schedule, span));
        match &event.what {
            EventContent::Tone(_) => level >= SpeechLevel::Tones,
            EventContent::Call(..) => level >= SpeechLevel::Calls,
            // The planner has already applied the level of the block that the cue prepares.
            EventContent::Cue(cue) => cue.audience == Audience::Class || self.ear.is_some(),
        }
    }
}

/// Everything that sounds in a class from start to end, with the tempo clicks, in order. The cues must be among the
/// schedule's events. The conductor plays the same when the class is led without changes and without waits.
pub fn audible_events(schedule: &Schedule, voicing: &SpeechSettings) -> Vec<ScheduleEvent> {
    let clicks = clicks(schedule, Tick::ZERO, voicing);
    let all = schedule.events.iter().cloned().chain(clicks);
    let mut events: Vec<ScheduleEvent> = all.filter(|event| voicing.is_audible(schedule, event)).collect();
    // A stable sort, so that equal events keep their order.
    events.sort_by_key(ScheduleEvent::order);
    events
}
