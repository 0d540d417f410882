//! Next, back and again: end a span early, go back a station, repeat a span.

use super::Course;
use super::course::{Length, Origin, Owed};
use crate::schedule::{Purpose, Side};
use crate::time::Tick;

impl Course {
    /// Ends the span that contains `now` and begins the next one. Changes nothing after the end of the class.
    pub fn next(&self, now: Tick) -> Course {
        match self.schedule().span_at(now) {
            Some(current) => self.owe(now, self.from(current + 1)),
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
            Some(origin) if origin.length == Length::PutIn => return self.again(now),
            Some(origin) => origin.plan,
            None => self.plan().spans.len(),
        };
        let work = (0..until).rev().find(|&origin| self.plan().spans[origin].purpose == Purpose::Work);
        match (work, current) {
            (Some(work), Some(current)) => {
                self.owe(now, self.once_more(work..=until).chain(self.from(current + 1)).collect::<Vec<_>>())
            }
            (Some(work), None) => self.owe(now, self.once_more(work..=until - 1).collect::<Vec<_>>()),
            (None, _) => self.again(now),
        }
    }

    /// Ends the span that contains `now` and begins it again, whole, as planned: a station, or a rest. A span that was
    /// put in is not repeated; the planned span before it is. Changes nothing after the end of the class.
    pub fn again(&self, now: Tick) -> Course {
        let Some(current) = self.schedule().span_at(now) else { return self.clone() };
        let Some(origin) = self.origin(current) else { return self.clone() };
        self.owe(now, self.once_more(origin.plan..=origin.plan).chain(self.from(current + 1)).collect::<Vec<_>>())
    }

    /// Gives the span that ended last `by` more time, then begins the running span again, whole: for a coach who
    /// pressed a moment too late. Left and right get the same extra time. None when no span has ended yet, and after
    /// the end of the class.
    pub(super) fn return_to(&self, now: Tick, by: Tick) -> Option<Course> {
        let current = self.schedule().span_at(now)?;
        let last = current.checked_sub(1)?;
        let ended = &self.schedule().spans[last];
        let origin = Origin { plan: self.origin(last)?.plan, length: Length::PutIn };
        let mut more = ended.clone();
        (more.start, more.end, more.settle, more.gate) = (Tick::ZERO, by, Tick::ZERO, false);
        (more.reps, more.change) = (None, Default::default());
        if let Side::LeftThenRight { switch, .. } = ended.side {
            let each = Tick(by.less(switch).0 / 2);
            more.side = Side::LeftThenRight { each, switch: by - each - each };
        }
        let mut owed = vec![Owed { span: more, origin }];
        let runs = self.origin(current)?;
        let running = &self.schedule().spans[current];
        let mut whole = self.from(current).next()?;
        if runs.length == Length::Free {
            whole = self.whole(runs.plan);
        }
        whole.span.gate = false;
        // The right side gets the same extra time as its left side.
        if ended.side == Side::Left && running.side == Side::Right && ended.doing == running.doing {
            whole.span.end += by;
            whole.origin.length = Length::Set;
        }
        owed.push(whole);
        owed.extend(self.from(current + 1));
        Some(self.owe(now, owed))
    }

    /// Whole spans of the plan, as still to come. The first one never waits for the coach, who has just asked for it.
    fn once_more(&self, origins: std::ops::RangeInclusive<usize>) -> impl Iterator<Item = Owed> {
        let first = *origins.start();
        origins.map(move |origin| {
            let mut owed = self.whole(origin);
            owed.span.gate &= origin != first;
            owed
        })
    }
}
