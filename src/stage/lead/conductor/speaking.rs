//! What is said outside the plan: the words that open a class, cues that the coach repeats, and silence.

use std::time::Duration;

use super::sounding::LONGEST;
use super::{Conductor, ConductorState, Effect};
use crate::runtime::ClockTime;
use crate::runtime::UpcomingSounds;
use class::cue::{CueOutcome, GRID, PIPS, PlannedCue, apart, count_in, opening_words, words_and_pips};
use class::schedule::{Audience, Cue, CueKind, EventContent, ScheduleEvent};
use class::session::SpeechLevel;
use class::time::Tick;
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Cuts off the current cue. Nothing more is said in this span but the time.
    pub(super) fn silence_span(&mut self) {
        let span = self.current().filter(|_| self.state == ConductorState::Running);
        let Some(span) = span.map(|span| &self.schedule().spans[span]) else {
            return self.show_message(WORDS.lead.messages.nothing_to_drop.clone());
        };
        let (start, end) = (span.start, span.end);
        self.silenced_span = Some(start);
        let from = self.now() + Tick(1);
        self.replan_cues(from);
        self.play_keeping(|event| !matches!(event.what, EventContent::Cue(_)));
        let time = class::time::clock(Tick::seconds(end.0 / 1000));
        self.show_message(fill(&WORDS.lead.messages.not_now, &[("time", &time)]));
    }

    /// Repeats the last cue that the class must hear, as soon as nothing else sounds.
    pub(super) fn repeat_cue(&mut self) {
        let now = self.now();
        let said = |cue: &&PlannedCue| cue.rank == 0 && cue.audience == Audience::Class;
        let last = self.cues.iter().rev().filter(said).find(|cue| match cue.outcome {
            CueOutcome::Spoken { at, .. } => at <= now,
            CueOutcome::LeftUnsaid(_) => false,
        });
        let last = last.map(|cue| (cue.kind, cue.text.clone()));
        let Some((kind, text)) = last.or_else(|| Some((CueKind::Next, opening_words(self.schedule())?))) else {
            return self.show_message(WORDS.lead.messages.nothing_said.clone());
        };
        let length = self.voicing.lengths.of(&text);
        let cue = Cue { kind, audience: Audience::Class, length, text: text.clone() };
        match self.state {
            ConductorState::Running => match self.free_tick_for(length) {
                Some(at) => {
                    self.course.remove_cues(now + Tick(1)..at + Tick(1));
                    self.course.insert_cue(at, cue);
                    self.replan_cues(at + Tick(1));
                    self.play_keeping(|_| true);
                }
                None => self.show_message(fill(&WORDS.lead.messages.no_room_again, &[("cue", &text)])),
            },
            // In a count-in the pips need the room.
            ConductorState::CountIn { .. } => {
                self.show_message(fill(&WORDS.lead.messages.no_room_again, &[("cue", &text)]))
            }
            // Class time stands still, so nothing else can sound.
            ConductorState::Ready { .. }
            | ConductorState::Gate { .. }
            | ConductorState::Paused { .. }
            | ConductorState::Done { .. } => {
                self.speak(cue);
                self.show_message(text);
            }
        }
    }

    /// The next tick of the running span at which a sound of this length meets no tone, no call and no cue that is
    /// being said.
    fn free_tick_for(&self, length: Tick) -> Option<Tick> {
        let now = self.now();
        let schedule = self.schedule();
        let span = &schedule.spans[self.current()?];
        let first = schedule.events.partition_point(|event| event.at + LONGEST < now);
        let near = schedule.events[first..].iter().take_while(|event| event.at <= span.end);
        let stays = |event: &&ScheduleEvent| !matches!(event.what, EventContent::Cue(_)) || event.at <= now;
        let fixed: Vec<_> = near.filter(stays).map(|event| event.at..event.at + self.length_of(&event.what)).collect();
        let starts = (1..).map(|step| Tick(now.0 + step * GRID.0)).take_while(|&at| at + length <= span.end);
        starts.into_iter().find(|&at| fixed.iter().all(|sounds| apart(sounds, &(at..at + length))))
    }

    /// Says something now, while nothing else sounds.
    fn speak(&mut self, cue: Cue) {
        if !self.muted {
            let now = self.now();
            let event =
                ScheduleEvent { at: now, span: self.spans_begun.saturating_sub(1), what: EventContent::Cue(cue) };
            self.effects.push(Effect::Play(UpcomingSounds { from: now, after: Duration::ZERO, events: vec![event] }));
        }
    }

    /// The cue before the class begins, which names the first station. None if the voice does not have it ready. Only
    /// for a class that has not begun.
    fn opening_cue(&self) -> Option<Cue> {
        let level = self.schedule().spans.first().map(|span| self.level_in(span))?;
        if self.muted || self.now() > Tick::ZERO || level < SpeechLevel::Changes {
            return None;
        }
        let text = opening_words(self.schedule()).filter(|text| self.voicing.lengths.knows(text))?;
        let length = self.voicing.lengths.of(&text);
        Some(Cue { kind: CueKind::Next, audience: Audience::Class, length, text })
    }

    /// How long the first count-in takes: as long as the others, or as long as the opening words need before its pips.
    pub(super) fn first_count_in(&self) -> Duration {
        count_in(self.opening_cue().map(|cue| cue.length))
    }

    /// Begins the class with a count-in, and with its opening words if they fit before the pips.
    pub(super) fn begin_class(&mut self, until: ClockTime) {
        let left = until.since(self.clock());
        let Some(cue) = self.opening_cue().filter(|cue| words_and_pips(cue.length) <= left) else {
            return self.count_in(until);
        };
        let pips_from = Some(until.before(PIPS));
        self.state = ConductorState::CountIn { until, pips_from, halted_since: None };
        self.tell(Happening::CountIn { length: left });
        self.show_message(cue.text.clone());
        self.speak(cue);
    }
}
