//! Resuming a class that was cut off because the program or the computer stopped.

use super::{ClassOpening, Conductor, ConductorState};
use crate::runtime::ClassTime;
use crate::runtime::ClockReading;
use class::change::LiveChange;
use class::time::Tick;
use journal::Happening;
use journal::ResumePoint;

impl Conductor {
    /// Resumes a class that another program left. The opening's `from` is ignored. If the opening has a time to begin,
    /// the class is paused first and counts in to this time.
    pub fn resume(stand: ResumePoint, opening: ClassOpening, reading: ClockReading) -> Conductor {
        let at = reading.at;
        let now = stand.now.min(stand.course.schedule().total());
        let begins = opening.begins;
        let mut conductor = Conductor::new(stand.course.plan().clone(), opening, reading);
        conductor.course = stand.course;
        conductor.update_deviations();
        conductor.history = stand.history;
        conductor.cues = conductor.course.plan_cues(Tick::ZERO, &conductor.voicing);
        conductor.class = ClassTime::halted_at(now);
        conductor.lost = stand.lost;
        conductor.marks = stand.marks;
        let schedule = conductor.course.schedule();
        conductor.spans_begun = schedule.spans.partition_point(|span| span.start < now);
        conductor.events_told = schedule.events.partition_point(|event| event.at < now);
        conductor.next_is_opened = stand.gate_opened;
        conductor.state = ConductorState::Paused { since: at, halted_since: Some(at), stopped: false };
        if stand.repeats_span {
            conductor.apply(&LiveChange::Again);
        }
        if stand.runs_at_once {
            conductor.state = ConductorState::Running;
            conductor.class.run(at);
            conductor.play();
            return conductor;
        }
        // The record needs this too: if the class is cut off again, it was cut off in a pause.
        conductor.tell(Happening::Paused { stopped: false });
        if let Some(begins) = begins {
            conductor.count_in(begins);
        }
        conductor
    }
}
