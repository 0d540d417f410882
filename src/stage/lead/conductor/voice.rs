//! How much is said, and when it is said.

use std::time::Duration;

use strum::IntoEnumIterator;

use super::{Conductor, State};
use class::cue::{Anew, Fate, Reason, level_words};
use class::session::Level;
use class::time::Tick;
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Plans the cues again from a tick on, after a change.
    pub(super) fn cue_up(&mut self, anew: impl Into<Anew>) {
        let mut anew = anew.into();
        // Cues that were said stay. Cues that were left unsaid may find room now, and are planned with the rest.
        self.cues.retain(|cue| matches!(cue.fate, Fate::Said { at, .. } if at < anew.from));
        let span = self.current().map(|span| &self.schedule().spans[span]);
        let quiet_until = span.filter(|span| self.not_now == Some(span.start)).map(|span| span.end);
        if let Some(end) = quiet_until {
            self.course.unsay(anew.from..end);
            anew = Anew::from(end.max(anew.from));
        }
        let mut planned = self.course.cue_up(anew, &self.voicing);
        for cue in &mut planned {
            if matches!(cue.fate, Fate::Unsaid(_)) && quiet_until.is_some_and(|end| cue.window.end <= end) {
                cue.fate = Fate::Unsaid(Reason::NotNow);
            }
        }
        self.cues.extend(planned);
    }

    /// Learns how long the voice takes. Before the class, the cues are planned again with these lengths. During the
    /// class, the lengths count only from the next planning on, so that nothing changes without a key.
    pub(super) fn learn(&mut self, lengths: &[(String, Duration)]) {
        self.voicing.lengths.learn(lengths.iter().cloned());
        if let State::Ready { .. } = self.state {
            let now = self.now();
            self.cue_up(now);
            let events = &self.schedule().events;
            self.told = events.partition_point(|event| (event.at, event.span) < (now, self.begun));
        }
    }

    pub(super) fn set_level(&mut self, more: bool) {
        let level = self.level_now();
        let mut levels = Level::iter();
        let level = if more {
            levels.find(|&other| other > level).unwrap_or(level)
        } else {
            levels.take_while(|&other| other < level).last().unwrap_or(level)
        };
        self.voicing.level = Some(level);
        self.not_now = None;
        self.tell(Happening::Level(level));
        self.say(fill(&WORDS.lead.messages.level, &[("level", level_words(level))]));
        // What is due at this tick may have been told already.
        let from = self.now() + Tick(1);
        self.cue_up(from);
        self.play_on(|_| true);
    }
}
