//! How much is said, and when it is said.

use std::time::Duration;

use strum::IntoEnumIterator;

use super::{Conductor, ConductorState};
use class::cue::{CueOutcome, ReplanPoint, UnsaidReason, level_words};
use class::session::SpeechLevel;
use class::time::Tick;
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Plans the cues again from a tick on, after a change.
    pub(super) fn replan_cues(&mut self, anew: impl Into<ReplanPoint>) {
        let mut anew = anew.into();
        // Cues that were said stay. Cues that were left unsaid may find room now, and are planned with the rest.
        self.cues.retain(|cue| matches!(cue.outcome, CueOutcome::Spoken { at, .. } if at < anew.from));
        let span = self.current().map(|span| &self.schedule().spans[span]);
        let quiet_until = span.filter(|span| self.silenced_span == Some(span.start)).map(|span| span.end);
        if let Some(end) = quiet_until {
            self.course.remove_cues(anew.from..end);
            anew = ReplanPoint::from(end.max(anew.from));
        }
        let mut planned = self.course.plan_cues(anew, &self.voicing);
        for cue in &mut planned {
            if matches!(cue.outcome, CueOutcome::LeftUnsaid(_)) && quiet_until.is_some_and(|end| cue.window.end <= end)
            {
                cue.outcome = CueOutcome::LeftUnsaid(UnsaidReason::NotNow);
            }
        }
        self.cues.extend(planned);
    }

    /// Learns how long the voice takes. Before the class, the cues are planned again with these lengths. During the
    /// class, the lengths count only from the next planning on, so that nothing changes without a key.
    pub(super) fn learn_lengths(&mut self, lengths: &[(String, Duration)]) {
        self.voicing.lengths.learn(lengths.iter().cloned());
        if let ConductorState::Ready { .. } = self.state {
            let now = self.now();
            self.replan_cues(now);
            let events = &self.schedule().events;
            self.events_told = events.partition_point(|event| (event.at, event.span) < (now, self.spans_begun));
        }
    }

    pub(super) fn set_level(&mut self, more: bool) {
        let level = self.level_now();
        let mut levels = SpeechLevel::iter();
        let level = if more {
            levels.find(|&other| other > level).unwrap_or(level)
        } else {
            levels.take_while(|&other| other < level).last().unwrap_or(level)
        };
        self.voicing.level = Some(level);
        self.silenced_span = None;
        self.tell(Happening::Level(level));
        self.show_message(fill(&WORDS.lead.messages.level, &[("level", level_words(level))]));
        // What is due at this tick may have been told already.
        let from = self.now() + Tick(1);
        self.replan_cues(from);
        self.play_keeping(|_| true);
    }
}
