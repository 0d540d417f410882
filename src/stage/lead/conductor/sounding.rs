//! What is told and what is played, and from which tick on.

use std::time::Duration;

use super::{Conductor, ConductorState, Effect};
use crate::runtime::UpcomingSounds;
use class::cue::{call_words, clicks, tone_length};
use class::schedule::{EventContent, ScheduleEvent, Span};
use class::session::SpeechLevel;
use class::time::Tick;
use journal::Happening;

/// No sound is as long as this.
pub(super) const LONGEST: Tick = Tick::seconds(30);

impl Conductor {
    /// The next span that waits for the coach, if it has not begun.
    pub(super) fn gate(&self) -> Option<usize> {
        let spans = &self.schedule().spans;
        let opened = |index: usize| self.next_is_opened && index == self.spans_begun;
        (self.spans_begun..spans.len()).find(|&index| spans[index].gate && !opened(index))
    }

    /// Tells the spans that began and the events that came due, up to and including a tick. What is at a gate's tick
    /// and belongs to the waiting span is left for later.
    pub(super) fn tell_until(&mut self, now: Tick) {
        loop {
            let schedule = self.course.schedule();
            let due = schedule.events.get(self.events_told).filter(|event| event.at <= now);
            let span = schedule.spans.get(self.spans_begun).filter(|span| span.start <= now);
            let gate = span.is_some() && self.gate() == Some(self.spans_begun);
            match (due.map(|event| (event.at, event.span)), span.map(|span| (span.start, self.spans_begun))) {
                (Some(due), Some(span)) if due < span => self.tell_event(),
                (_, Some(_)) if gate => return,
                (_, Some(_)) => self.begin_span(),
                (Some(_), None) => self.tell_event(),
                (None, None) => return,
            }
        }
    }

    /// Tells that the next span begins.
    pub(super) fn begin_span(&mut self) {
        let at = self.schedule().spans[self.spans_begun].start;
        self.tell_at(at, Happening::Span(self.spans_begun));
        self.spans_begun += 1;
        self.next_is_opened = false;
    }

    fn tell_event(&mut self) {
        let at = self.schedule().events[self.events_told].at;
        self.tell_at(at, Happening::Due(self.events_told));
        self.events_told += 1;
    }

    /// Plays everything from now on, up to the next gate, at the current level.
    pub(super) fn play(&mut self) {
        self.play_with(Vec::new());
    }

    /// Like `play`, but what sounds already continues to its end if `keep` says so.
    pub(super) fn play_keeping(&mut self, keep: impl Fn(&ScheduleEvent) -> bool) {
        let now = self.now();
        let ends = |event: &ScheduleEvent| event.at + self.length_of(&event.what);
        let level = self.voicing.level.unwrap_or(SpeechLevel::Full);
        let wanted =
            |event: &ScheduleEvent| !matches!(event.what, EventContent::Cue(_)) || level >= SpeechLevel::Changes;
        let told = &self.schedule().events[..self.events_told];
        let recent = told.iter().rev().take_while(|event| event.at + LONGEST > now);
        let mut sounding: Vec<ScheduleEvent> = recent
            .filter(|event| {
                event.at < now && ends(event) > now && self.is_audible(event) && wanted(event) && keep(event)
            })
            .cloned()
            .collect();
        sounding.reverse();
        self.play_with(sounding);
    }

    /// How long something sounds.
    pub(super) fn length_of(&self, what: &EventContent) -> Tick {
        match what {
            EventContent::Tone(tone) => tone_length(*tone),
            EventContent::Call(call) => self.voicing.lengths.of(call_words(*call)),
            EventContent::Cue(cue) => cue.length,
        }
    }

    fn play_with(&mut self, mut events: Vec<ScheduleEvent>) {
        if let ConductorState::CountIn { pips_from, .. } = &mut self.state {
            *pips_from = None;
        }
        if self.muted {
            return;
        }
        let after = match self.state {
            ConductorState::CountIn { until, .. } => until.since(self.clock()),
            ConductorState::Running => Duration::ZERO,
            _ => return,
        };
        let schedule = self.schedule();
        let now = self.now();
        // At the gate's tick, the events of the span that ends come before the events of the waiting span.
        let gate = self.gate().map(|gate| (schedule.spans[gate].start, gate));
        let before_gate = |event: &&ScheduleEvent| gate.is_none_or(|gate| (event.at, event.span) < gate);
        let ahead = schedule.events[self.events_told..].iter().take_while(before_gate);
        // What is late is told, but no longer played.
        let ahead: Vec<ScheduleEvent> =
            ahead.filter(|event| event.at >= now && self.is_audible(event)).cloned().collect();
        events.extend(ahead);
        let clicks = clicks(schedule, now, &self.voicing);
        events.extend(clicks.into_iter().filter(|event| before_gate(&event) && self.is_audible(event)));
        // The sort is stable.
        events.sort_by_key(ScheduleEvent::order);
        self.effects.push(Effect::Play(UpcomingSounds { from: now, after, events }));
    }

    /// How much is said in a span.
    pub(super) fn level_in(&self, span: &Span) -> SpeechLevel {
        self.voicing.level_in(self.schedule(), span)
    }

    /// Whether the class hears an event at the current level.
    fn is_audible(&self, event: &ScheduleEvent) -> bool {
        self.voicing.is_audible(self.schedule(), event)
    }
}
