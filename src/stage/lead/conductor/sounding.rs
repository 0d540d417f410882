//! What is told and what is played, and from which tick on.

use super::{Conductor, Effect, State};
use crate::runtime::Sounding;
use class::cue::{call_words, clicks, tone_length};
use class::schedule::{Event, Span, What};
use class::session::Level;
use class::time::Tick;
use journal::Happening;

/// No sound is as long as this.
const LONGEST: Tick = Tick::seconds(30);

impl Conductor {
    /// The next span that waits for the coach, if it has not begun.
    pub(super) fn gate(&self) -> Option<usize> {
        let spans = &self.schedule().spans;
        (self.begun..spans.len()).find(|&index| spans[index].gate && self.opened != Some(index))
    }

    /// Tells the spans that began and the events that came due, up to and including a tick. What is at a gate's tick
    /// and belongs to the waiting span is left for later.
    pub(super) fn tell_until(&mut self, now: Tick) {
        loop {
            let schedule = self.course.schedule();
            let due = schedule.events.get(self.told).filter(|event| event.at <= now);
            let span = schedule.spans.get(self.begun).filter(|span| span.start <= now);
            let gate = span.is_some() && self.gate() == Some(self.begun);
            match (due.map(|event| (event.at, event.span)), span.map(|span| (span.start, self.begun))) {
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
        let at = self.schedule().spans[self.begun].start;
        self.tell_at(at, Happening::Span(self.begun));
        self.begun += 1;
    }

    fn tell_event(&mut self) {
        let at = self.schedule().events[self.told].at;
        self.tell_at(at, Happening::Due(self.told));
        self.told += 1;
    }

    /// Plays everything from now on, up to the next gate, at the current level.
    pub(super) fn play(&mut self) {
        self.play_with(Vec::new());
    }

    /// Like `play`, but what sounds already continues to its end if `keep` says so.
    pub(super) fn play_on(&mut self, keep: impl Fn(&Event) -> bool) {
        let now = self.now();
        let ends = |event: &Event| event.at + self.length_of(&event.what);
        let level = self.voicing.level.unwrap_or(Level::Full);
        let wanted = |event: &Event| !matches!(event.what, What::Cue(_)) || level >= Level::Changes;
        let told = &self.schedule().events[..self.told];
        let recent = told.iter().rev().take_while(|event| event.at + LONGEST > now);
        let mut sounding: Vec<Event> = recent
            .filter(|event| event.at < now && ends(event) > now && self.sounds(event) && wanted(event) && keep(event))
            .cloned()
            .collect();
        sounding.reverse();
        self.play_with(sounding);
    }

    /// How long something sounds.
    pub(super) fn length_of(&self, what: &What) -> Tick {
        match what {
            What::Tone(tone) => tone_length(*tone),
            What::Call(call) => self.voicing.lengths.of(call_words(*call)),
            What::Cue(cue) => cue.length,
        }
    }

    fn play_with(&mut self, mut events: Vec<Event>) {
        self.pips_from = None;
        if self.muted {
            return;
        }
        let after_ms = match self.state {
            State::CountIn { until } => until.since(self.clock()),
            State::Running => 0,
            _ => return,
        };
        let schedule = self.schedule();
        let now = self.now();
        // At the gate's tick, the events of the span that ends come before the events of the waiting span.
        let gate = self.gate().map(|gate| (schedule.spans[gate].start, gate));
        let before_gate = |event: &&Event| gate.is_none_or(|gate| (event.at, event.span) < gate);
        let ahead = schedule.events[self.told..].iter().take_while(before_gate);
        // What is late is told, but no longer played.
        let ahead: Vec<Event> = ahead.filter(|event| event.at >= now && self.sounds(event)).cloned().collect();
        events.extend(ahead);
        let clicks = clicks(schedule, now, &self.voicing);
        events.extend(clicks.into_iter().filter(|event| before_gate(&event) && self.sounds(event)));
        // The sort is stable.
        events.sort_by_key(Event::order);
        self.effects.push(Effect::Play(Sounding { from: now, after_ms, events }));
    }

    /// How much is said in a span.
    pub(super) fn level_in(&self, span: &Span) -> Level {
        self.voicing.level_in(self.schedule(), span)
    }

    /// Whether the class hears an event at the current level.
    fn sounds(&self, event: &Event) -> bool {
        self.voicing.sounds(self.schedule(), event)
    }
}
