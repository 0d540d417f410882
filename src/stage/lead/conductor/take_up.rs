//! Resuming a class that was cut off because the program or the computer stopped.

use super::{Conductor, Opening, State};
use crate::runtime::ClassTime;
use crate::runtime::Reading;
use class::change::Change;
use class::time::Tick;
use journal::Happening;
use journal::Stand;

impl Conductor {
    /// Resumes a class that another program left. The opening's `from` is ignored. If the opening has a time to begin,
    /// the class is paused first and counts in to this time.
    pub fn take_up(stand: Stand, opening: Opening, reading: Reading) -> Conductor {
        let at = reading.at;
        let now = stand.now.min(stand.course.schedule().total());
        let begins = opening.begins;
        let mut conductor = Conductor::new(stand.course.plan().clone(), opening, reading);
        conductor.course = stand.course;
        conductor.stands_against_plan();
        conductor.history = stand.history;
        conductor.cues = conductor.course.cue_up(Tick::ZERO, &conductor.voicing);
        conductor.class = ClassTime::standing(now);
        conductor.began = true;
        conductor.lost = stand.lost_ms;
        conductor.flags = stand.flags;
        let schedule = conductor.course.schedule();
        conductor.begun = schedule.spans.partition_point(|span| span.start < now);
        conductor.told = schedule.events.partition_point(|event| event.at < now);
        conductor.opened = stand.open.then_some(conductor.begun);
        conductor.state = State::Held { since: at, stopped: false };
        if stand.again {
            conductor.take(&Change::Again);
        }
        if stand.runs {
            conductor.state = State::Running;
            conductor.class.run(at);
            conductor.play();
            return conductor;
        }
        // The record needs this too: if the class is cut off again, it was cut off in a pause.
        conductor.tell(Happening::Held { stopped: false });
        conductor.stood_since = Some(at);
        if let Some(begins) = begins {
            conductor.count_in(begins);
        }
        conductor
    }
}
