//! The course of a class: the plan, how the class has run, and how it will run.

use std::ops::Range;
use std::sync::Arc;

use crate::cue::{PlannedCue, ReplanPoint, SpeechSettings, plan_and_insert_cues};
use crate::schedule::{Activity, Cue, EventContent, Schedule, ScheduleEvent, Span, TimeCall, lay_out};
use crate::session::Session;
use crate::time::Tick;

/// A class as it runs. The spans before now are past: no change moves them by a tick. The spans from now on are
/// upcoming.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    plan: Arc<Schedule>,
    schedule: Schedule,
    /// For each span of the schedule, where it comes from.
    origins: Vec<SpanOrigin>,
    /// Side debts that the coach dismissed: block, activity, and left minus right in milliseconds.
    pub(super) waived: Vec<(usize, Activity, i64)>,
    /// Swapped stations: block, index of the old station, index of the new one.
    pub(super) swaps: Vec<(usize, usize, usize)>,
}

/// The origin of a span: which span of the plan it comes from, and who set its length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpanOrigin {
    /// Index of the plan's span that this span is, whole or in part. For an inserted span, the index of the span before
    /// it.
    pub plan: usize,
    pub length: LengthSource,
}

/// What set the length of a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthSource {
    /// The plan, or a fit.
    Planned,
    /// The coach. No fit changes the length.
    SetByCoach,
    /// A change that split the span: this is the part done, or the part left.
    Partial,
    /// The plan has no such span: an extra rest, or extra work for the side that was short.
    Inserted,
}

/// A span that is still to come, with its origin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct UpcomingSpan {
    pub(super) span: Span,
    pub(super) origin: SpanOrigin,
}

impl Course {
    /// The course of a class that has not begun: the same as the plan.
    pub fn new(plan: Schedule) -> Course {
        let origins = (0..plan.spans.len()).map(|plan| SpanOrigin { plan, length: LengthSource::Planned }).collect();
        Course { schedule: plan.clone(), plan: Arc::new(plan), origins, waived: vec![], swaps: vec![] }
    }

    /// The class as it was planned.
    pub fn plan(&self) -> &Schedule {
        &self.plan
    }

    /// The class as it has run, and as it will run unless it is changed again.
    pub fn schedule(&self) -> &Schedule {
        &self.schedule
    }

    /// Plans the cues from a tick on again, after a change of the class or of the level. Returns all cues that were
    /// planned.
    pub fn plan_cues(&mut self, from: impl Into<ReplanPoint>, voicing: &SpeechSettings) -> Vec<PlannedCue> {
        plan_and_insert_cues(&mut self.schedule, from, voicing)
    }

    /// Removes the cues that start within these ticks.
    pub fn remove_cues(&mut self, within: Range<Tick>) {
        self.schedule
            .events
            .retain(|event| !(within.contains(&event.at) && matches!(event.what, EventContent::Cue(_))));
    }

    /// Adds a cue.
    pub fn insert_cue(&mut self, at: Tick, cue: Cue) {
        let span = self.schedule.span_at(at).unwrap_or(self.schedule.spans.len().saturating_sub(1));
        self.schedule.events.push(ScheduleEvent { at, span, what: EventContent::Cue(cue) });
        self.schedule.events.sort_by_key(ScheduleEvent::order);
    }

    /// Whether this course runs the same as another. Cues and other events are not compared.
    pub(super) fn runs_like(&self, other: &Course) -> bool {
        let (session, its) = (&self.schedule.session, &other.schedule.session);
        self.schedule.spans == other.schedule.spans
            && (Arc::ptr_eq(session, its) || session == its)
            && self.origins == other.origins
            && self.waived == other.waived
            && self.swaps == other.swaps
    }

    /// The origin of a span of the schedule. None past the last span.
    pub fn origin(&self, span: usize) -> Option<SpanOrigin> {
        self.origins.get(span).copied()
    }

    /// A whole span of the plan, as still to come.
    pub(super) fn planned_span(&self, plan: usize) -> UpcomingSpan {
        let mut span = self.plan.spans[plan].clone();
        span.activity = self.swapped_in(span.block, span.activity);
        UpcomingSpan { span, origin: SpanOrigin { plan, length: LengthSource::Planned } }
    }

    /// The spans of the schedule from an index on, as still to come.
    pub(super) fn upcoming_from(&self, span: usize) -> impl Iterator<Item = UpcomingSpan> {
        let from = span.min(self.origins.len());
        let spans = self.schedule.spans[from..].iter().cloned();
        spans.zip(&self.origins[from..]).map(|(span, &origin)| UpcomingSpan { span, origin })
    }

    /// The course with everything before `now` as its past, followed by the spans in `owed`.
    ///
    /// The span that contains `now` ends at `now`. If it starts at `now`, it is removed. Tones and calls before `now`
    /// stay as they were; those from `now` on follow the spans.
    pub(super) fn end_span_then(&self, now: Tick, owed: impl IntoIterator<Item = UpcomingSpan>) -> Course {
        let past = self.schedule.spans.partition_point(|span| span.start < now);
        let mut spans: Vec<Span> = self.schedule.spans[..past].to_vec();
        let mut origins = self.origins[..past].to_vec();
        if let Some(cut) = spans.last_mut().filter(|span| span.end > now) {
            *cut = cut.before(now);
            origins[past - 1].length = match origins[past - 1].length {
                LengthSource::Inserted => LengthSource::Inserted,
                _ => LengthSource::Partial,
            };
        }
        self.lay_out(now, spans, origins, owed)
    }

    /// The course in which the span that contains `now` continues, from its own start, as the first span of `owed`. The
    /// other spans of `owed` follow. After the end of the class, all spans of `owed` follow the last span.
    pub(super) fn continue_span_then(&self, now: Tick, owed: impl IntoIterator<Item = UpcomingSpan>) -> Course {
        let past = self.schedule.spans.partition_point(|span| span.end <= now);
        self.lay_out(now, self.schedule.spans[..past].to_vec(), self.origins[..past].to_vec(), owed)
    }

    fn lay_out(
        &self,
        now: Tick,
        mut spans: Vec<Span>,
        mut origins: Vec<SpanOrigin>,
        owed: impl IntoIterator<Item = UpcomingSpan>,
    ) -> Course {
        let past = self.schedule.spans.partition_point(|span| span.start < now);
        for UpcomingSpan { span, origin } in owed {
            if span.length() > Tick::ZERO {
                spans.push(span);
                origins.push(origin);
            }
        }
        let mut schedule = lay_out(Arc::clone(&self.schedule.session), Arc::clone(&self.schedule.costs), spans);
        let old = self.schedule.events.iter().take_while(|event| event.at < now);
        // A past event may point to a span that is no longer there: it then belongs to the last past span.
        let mut events: Vec<ScheduleEvent> =
            old.map(|event| ScheduleEvent { span: event.span.min(past.saturating_sub(1)), ..event.clone() }).collect();
        let told = events.len();
        for event in schedule.events {
            if event.at >= now && !is_outdated(&event, &events[..told], &origins) {
                events.push(event);
            }
        }
        schedule.events = events;
        // A clone of `self` would copy every event of the old schedule for nothing.
        let (let_be, swaps) = (self.waived.clone(), self.swaps.clone());
        Course { plan: Arc::clone(&self.plan), schedule, origins, waived: let_be, swaps }
    }

    /// The past of another course of the same class, with the dismissed side debts and the swaps of this one. Spans
    /// still to come can then be put after that past.
    pub(super) fn with_past_of(&self, other: &Course) -> Course {
        let mut course = other.clone();
        course.waived = self.waived.clone();
        course.swaps = self.swaps.clone();
        // Stations are only ever added, so the session with more stations contains all of them.
        let stations = |session: &Session| session.blocks.iter().map(|block| block.stations.len()).sum::<usize>();
        if stations(&self.schedule.session) > stations(&course.schedule.session) {
            course.schedule.session = Arc::clone(&self.schedule.session);
        }
        course
    }

    /// This course with another session, which must contain every station of the old one at the same index.
    pub(super) fn with_session(&self, session: Arc<Session>) -> Course {
        let mut course = self.clone();
        course.schedule.session = session;
        course
    }

    /// The activity that is done now in place of this activity of the plan.
    pub(super) fn swapped_in(&self, block: usize, doing: Activity) -> Activity {
        self.swaps.iter().fold(doing, |doing, &(swapped, from, to)| {
            if swapped == block && doing == Activity::Station(from) { Activity::Station(to) } else { doing }
        })
    }

    /// The activity of the plan in place of which `doing` is done now.
    pub(super) fn planned_activity(&self, block: usize, doing: Activity) -> Activity {
        self.swaps.iter().rev().fold(doing, |doing, &(swapped, from, to)| {
            if swapped == block && doing == Activity::Station(to) { Activity::Station(from) } else { doing }
        })
    }
}

/// Whether a halfway call must not be made: it was made already, or the span is only a part of a span.
fn is_outdated(event: &ScheduleEvent, told: &[ScheduleEvent], origins: &[SpanOrigin]) -> bool {
    event.what == EventContent::Call(TimeCall::Halfway)
        && (origins[event.span].length == LengthSource::Partial
            || told.iter().any(|old| old.span == event.span && old.what == event.what))
}
