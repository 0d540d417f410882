//! The course of a class: the plan, and how it has run and will run.

use std::sync::Arc;

use crate::schedule::{Event, Schedule, Span, lay_out};
use crate::time::Tick;

/// A class as it runs. Up to now it is past, which no change moves by a tick; from now on it is owed.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    plan: Arc<Schedule>,
    schedule: Schedule,
    /// For each span of the schedule, the plan's span that it is, whole or in part.
    origins: Vec<usize>,
}

/// A span that is still to come, with the plan's span that it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Owed {
    pub(super) span: Span,
    pub(super) origin: usize,
}

impl Course {
    /// The course of a class that has not begun: the plan itself.
    pub fn new(plan: Schedule) -> Course {
        let origins = (0..plan.spans.len()).collect();
        Course { schedule: plan.clone(), plan: Arc::new(plan), origins }
    }

    /// The class as it was planned.
    pub fn plan(&self) -> &Schedule {
        &self.plan
    }

    /// The class as it has run and, unless changed again, will run.
    pub fn schedule(&self) -> &Schedule {
        &self.schedule
    }

    /// The plan's index of the span that a span of the schedule is, whole or in part. None past the last.
    pub fn origin(&self, span: usize) -> Option<usize> {
        self.origins.get(span).copied()
    }

    /// A span of the plan, owed whole.
    pub(super) fn whole(&self, origin: usize) -> Owed {
        Owed { span: self.plan.spans[origin].clone(), origin }
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
            cut.end = now;
            cut.settle = cut.settle.min(cut.length());
            // How many fitted until the cut, nobody counted.
            cut.reps = None;
        }
        for Owed { span, origin } in owed {
            spans.push(span);
            origins.push(origin);
        }
        let mut schedule = lay_out(Arc::clone(&self.schedule.session), spans);
        let old = self.schedule.events.iter().take_while(|event| event.at < now);
        // What was told of a span that is no longer to come was told in the last one that was.
        let mut events: Vec<Event> =
            old.map(|event| Event { span: event.span.min(past.saturating_sub(1)), ..event.clone() }).collect();
        events.extend(schedule.events.into_iter().filter(|event| event.at >= now));
        schedule.events = events;
        Course { plan: Arc::clone(&self.plan), schedule, origins }
    }
}
