//! The course of a class: the plan, and how it has run and will run.

use std::ops::Range;
use std::sync::Arc;

use crate::cue::{Anew, PlannedCue, Voicing, cue_up};
use crate::schedule::{Call, Cue, Doing, Event, Schedule, Span, What, lay_out};
use crate::session::Session;
use crate::time::Tick;

/// A class as it runs. Up to now it is past, which no change moves by a tick; from now on it is owed.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    plan: Arc<Schedule>,
    schedule: Schedule,
    /// For each span of the schedule, where it comes from.
    origins: Vec<Origin>,
    /// Debts of sides that the coach let be: block, doing, and left less right in milliseconds.
    pub(super) let_be: Vec<(usize, Doing, i64)>,
    /// Stations that stand in for others: block, which, and by which.
    pub(super) swaps: Vec<(usize, usize, usize)>,
}

/// Where a span of a course comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Origin {
    /// The plan's span that it is, whole or in part; of a span put in, the one that it follows.
    pub plan: usize,
    pub length: Length,
}

/// Who has decided on the length of a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Length {
    /// The plan, or the fit that stands in for it.
    Free,
    /// The coach: no fit changes it.
    Set,
    /// It is what was left of a span, or what was done of it.
    Part,
    /// The plan has no such span: a rest called for, a side repaid.
    PutIn,
}

/// A span that is still to come, with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Owed {
    pub(super) span: Span,
    pub(super) origin: Origin,
}

impl Course {
    /// The course of a class that has not begun: the plan itself.
    pub fn new(plan: Schedule) -> Course {
        let origins = (0..plan.spans.len()).map(|plan| Origin { plan, length: Length::Free }).collect();
        Course { schedule: plan.clone(), plan: Arc::new(plan), origins, let_be: vec![], swaps: vec![] }
    }

    /// The class as it was planned.
    pub fn plan(&self) -> &Schedule {
        &self.plan
    }

    /// The class as it has run and, unless changed again, will run.
    pub fn schedule(&self) -> &Schedule {
        &self.schedule
    }

    /// Plans the cues from a tick on anew, as a change leaves them or as the level asks. Gives back all that were planned.
    pub fn cue_up(&mut self, from: impl Into<Anew>, voicing: &Voicing) -> Vec<PlannedCue> {
        cue_up(&mut self.schedule, from, voicing)
    }

    /// Takes out the cues that were to begin within these ticks.
    pub fn unsay(&mut self, within: Range<Tick>) {
        self.schedule.events.retain(|event| !(within.contains(&event.at) && matches!(event.what, What::Cue(_))));
    }

    /// Puts in a cue.
    pub fn say(&mut self, at: Tick, cue: Cue) {
        let span = self.schedule.span_at(at).unwrap_or(self.schedule.spans.len().saturating_sub(1));
        self.schedule.events.push(Event { at, span, what: What::Cue(cue) });
        self.schedule.events.sort_by_key(Event::order);
    }

    /// Whether it runs as another does, whatever is said meanwhile.
    pub(super) fn runs_as(&self, other: &Course) -> bool {
        let (session, its) = (&self.schedule.session, &other.schedule.session);
        self.schedule.spans == other.schedule.spans
            && (Arc::ptr_eq(session, its) || session == its)
            && self.origins == other.origins
            && self.let_be == other.let_be
            && self.swaps == other.swaps
    }

    /// Where a span of the schedule comes from. None past the last.
    pub fn origin(&self, span: usize) -> Option<Origin> {
        self.origins.get(span).copied()
    }

    /// A span of the plan, owed whole.
    pub(super) fn whole(&self, plan: usize) -> Owed {
        let mut span = self.plan.spans[plan].clone();
        span.doing = self.last_doing(span.block, span.doing);
        Owed { span, origin: Origin { plan, length: Length::Free } }
    }

    /// The spans of the schedule from an index on, owed as they stand.
    pub(super) fn from(&self, span: usize) -> impl Iterator<Item = Owed> {
        let from = span.min(self.origins.len());
        let spans = self.schedule.spans[from..].iter().cloned();
        spans.zip(&self.origins[from..]).map(|(span, &origin)| Owed { span, origin })
    }

    /// The course in which everything before `now` is past and this is owed.
    ///
    /// The span that holds `now` ends there; nothing of it is left when it has only begun. Tones and calls before
    /// `now` stay as they were; those from `now` on follow the spans.
    pub(super) fn owe(&self, now: Tick, owed: impl IntoIterator<Item = Owed>) -> Course {
        let past = self.schedule.spans.partition_point(|span| span.start < now);
        let mut spans: Vec<Span> = self.schedule.spans[..past].to_vec();
        let mut origins = self.origins[..past].to_vec();
        if let Some(cut) = spans.last_mut().filter(|span| span.end > now) {
            *cut = cut.cut_at(now);
            origins[past - 1].length = match origins[past - 1].length {
                Length::PutIn => Length::PutIn,
                _ => Length::Part,
            };
        }
        self.laid(now, spans, origins, owed)
    }

    /// The course in which the span that holds `now` goes on as the first of these, from its own start, and the
    /// others follow. From the end of the class on, they are owed as they are.
    pub(super) fn go_on(&self, now: Tick, owed: impl IntoIterator<Item = Owed>) -> Course {
        let past = self.schedule.spans.partition_point(|span| span.end <= now);
        self.laid(now, self.schedule.spans[..past].to_vec(), self.origins[..past].to_vec(), owed)
    }

    fn laid(
        &self,
        now: Tick,
        mut spans: Vec<Span>,
        mut origins: Vec<Origin>,
        owed: impl IntoIterator<Item = Owed>,
    ) -> Course {
        let past = self.schedule.spans.partition_point(|span| span.start < now);
        for Owed { span, origin } in owed {
            if span.length() > Tick::ZERO {
                spans.push(span);
                origins.push(origin);
            }
        }
        let mut schedule = lay_out(Arc::clone(&self.schedule.session), Arc::clone(&self.schedule.costs), spans);
        let old = self.schedule.events.iter().take_while(|event| event.at < now);
        // What was told of a span that is no longer to come was told in the last one that was.
        let mut events: Vec<Event> =
            old.map(|event| Event { span: event.span.min(past.saturating_sub(1)), ..event.clone() }).collect();
        let told = events.len();
        for event in schedule.events {
            if event.at >= now && !stale(&event, &events[..told], &origins) {
                events.push(event);
            }
        }
        schedule.events = events;
        // Not out of a clone: that would copy every event of the old schedule for nothing.
        let (let_be, swaps) = (self.let_be.clone(), self.swaps.clone());
        Course { plan: Arc::clone(&self.plan), schedule, origins, let_be, swaps }
    }

    /// This course with the past of another of the same class, for what is owed to be put after it.
    pub(super) fn with_past_of(&self, other: &Course) -> Course {
        let mut course = other.clone();
        course.let_be = self.let_be.clone();
        course.swaps = self.swaps.clone();
        // Stations are only ever added: the session with more of them has a place for all.
        let stations = |session: &Session| session.blocks.iter().map(|block| block.stations.len()).sum::<usize>();
        if stations(&self.schedule.session) > stations(&course.schedule.session) {
            course.schedule.session = Arc::clone(&self.schedule.session);
        }
        course
    }

    /// This course with another session, in which every station of the old one has its place.
    pub(super) fn with_session(&self, session: Arc<Session>) -> Course {
        let mut course = self.clone();
        course.schedule.session = session;
        course
    }

    /// What stands in now for what the plan does.
    pub(super) fn last_doing(&self, block: usize, doing: Doing) -> Doing {
        self.swaps.iter().fold(doing, |doing, &(swapped, from, to)| {
            if swapped == block && doing == Doing::Station(from) { Doing::Station(to) } else { doing }
        })
    }

    /// What the plan does where this stands in for it.
    pub(super) fn first_doing(&self, block: usize, doing: Doing) -> Doing {
        self.swaps.iter().rev().fold(doing, |doing, &(swapped, from, to)| {
            if swapped == block && doing == Doing::Station(to) { Doing::Station(from) } else { doing }
        })
    }
}

/// Half of a span is over once, and never of what is only the rest of it.
fn stale(event: &Event, told: &[Event], origins: &[Origin]) -> bool {
    event.what == What::Call(Call::Halfway)
        && (origins[event.span].length == Length::Part
            || told.iter().any(|old| old.span == event.span && old.what == event.what))
}
