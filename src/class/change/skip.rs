//! Next, back and again: end a span early, go back a station, repeat a span.

use super::Course;
use super::course::{LengthSource, SpanOrigin, UpcomingSpan};
use crate::schedule::{SpanPurpose, WorkingSide};
use crate::time::Tick;

impl Course {
    /// Ends the span that contains `now` and begins the next one. Changes nothing after the end of the class.
    pub fn next(&self, now: Tick) -> Course {
        match self.schedule().span_at(now) {
            Some(current) => self.end_span_then(now, self.upcoming_from(current + 1)),
            None => self.clone(),
        }
    }

    /// Ends the span that contains `now` and goes back to the work span before it. That work span, the rests after it
    /// and the current span then follow whole, as planned. A second press therefore goes back to the work span before
    /// that.
    ///
    /// "Before" and "after" mean the order of the plan. A span that waits for the coach waits again, except the one
    /// gone back to. With no work span before, this is [`Course::again`]. After the end of the class, it goes back to
    /// the last work span.
    pub fn back(&self, now: Tick) -> Course {
        let current = self.schedule().span_at(now);
        let until = match current.and_then(|current| self.origin(current)) {
            Some(origin) if origin.length == LengthSource::Inserted => return self.again(now),
            Some(origin) => origin.plan,
            None => self.plan().spans.len(),
        };
        let work = (0..until).rev().find(|&origin| self.plan().spans[origin].purpose == SpanPurpose::Work);
        match (work, current) {
            (Some(work), Some(current)) => self.end_span_then(
                now,
                self.spans_again(work..=until).chain(self.upcoming_from(current + 1)).collect::<Vec<_>>(),
            ),
            (Some(work), None) => self.end_span_then(now, self.spans_again(work..=until - 1).collect::<Vec<_>>()),
            (None, _) => self.again(now),
        }
    }

    /// Ends the span that contains `now` and begins it again, whole, as planned: a station, or a rest. A span that was
    /// inserted is not repeated; the planned span before it is. Changes nothing after the end of the class.
    pub fn again(&self, now: Tick) -> Course {
        let Some(current) = self.schedule().span_at(now) else { return self.clone() };
        let Some(origin) = self.origin(current) else { return self.clone() };
        self.end_span_then(
            now,
            self.spans_again(origin.plan..=origin.plan).chain(self.upcoming_from(current + 1)).collect::<Vec<_>>(),
        )
    }

    /// Gives the span that ended last `by` more time, then begins the running span again, whole: for a coach who
    /// pressed a moment too late. Left and right get the same extra time. None when no span has ended yet, and after
    /// the end of the class.
    pub(super) fn extend_previous(&self, now: Tick, by: Tick) -> Option<Course> {
        let current = self.schedule().span_at(now)?;
        let last = current.checked_sub(1)?;
        let ended = &self.schedule().spans[last];
        let origin = SpanOrigin { plan: self.origin(last)?.plan, length: LengthSource::Inserted };
        let mut more = ended.clone();
        (more.start, more.end, more.settle, more.gate) = (Tick::ZERO, by, Tick::ZERO, false);
        (more.reps, more.change) = (None, Default::default());
        if let WorkingSide::LeftThenRight { switch, .. } = ended.side {
            let each = Tick(by.saturating_sub(switch).0 / 2);
            more.side = WorkingSide::LeftThenRight { each, switch: by - each - each };
        }
        let mut owed = vec![UpcomingSpan { span: more, origin }];
        let runs = self.origin(current)?;
        let running = &self.schedule().spans[current];
        let mut whole = self.upcoming_from(current).next()?;
        if runs.length == LengthSource::Planned {
            whole = self.planned_span(runs.plan);
        }
        whole.span.gate = false;
        // The right side gets the same extra time as its left side.
        if ended.side == WorkingSide::Left && running.side == WorkingSide::Right && ended.activity == running.activity {
            whole.span.end += by;
            whole.origin.length = LengthSource::SetByCoach;
        }
        owed.push(whole);
        owed.extend(self.upcoming_from(current + 1));
        Some(self.end_span_then(now, owed))
    }

    /// Whole spans of the plan, as still to come. The first one never waits for the coach, who has just asked for it.
    fn spans_again(&self, origins: std::ops::RangeInclusive<usize>) -> impl Iterator<Item = UpcomingSpan> {
        let first = *origins.start();
        origins.map(move |origin| {
            let mut owed = self.planned_span(origin);
            owed.span.gate &= origin != first;
            owed
        })
    }
}
