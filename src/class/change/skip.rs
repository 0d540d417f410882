//! Next, back, again: going on sooner, going back, doing it once more.

use super::Course;
use super::course::{Length, Origin, Owed};
use crate::schedule::{Purpose, Side};
use crate::time::Tick;

impl Course {
    /// Ends the span that holds `now`; what follows it begins. From the end of the class on, nothing changes.
    pub fn next(&self, now: Tick) -> Course {
        match self.schedule().span_at(now) {
            Some(current) => self.owe(now, self.from(current + 1)),
            None => self.clone(),
        }
    }

    /// Ends the span that holds `now` and owes the work span before it whole, and after that everything since, as
    /// planned: the rests between, and the current span whole. A second press so goes to the one before that.
    ///
    /// Before and after mean the order of the plan. A span that waits for the coach waits again on the way, but not
    /// the one gone back to. Before the first work span it is [`Course::again`]; from the end of the class on the
    /// last work span is owed.
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

    /// Ends the span that holds `now` and owes it whole, as planned: a station, or a rest in a rest. From the end of
    /// the class on, nothing changes. Of a span put in, the one that it followed is owed.
    pub fn again(&self, now: Tick) -> Course {
        let Some(current) = self.schedule().span_at(now) else { return self.clone() };
        let Some(origin) = self.origin(current) else { return self.clone() };
        self.owe(now, self.once_more(origin.plan..=origin.plan).chain(self.from(current + 1)).collect::<Vec<_>>())
    }

    /// What ended last goes on for so long, and after it what runs is owed whole: for a press that came a moment too
    /// late. Both sides get the same of it. None where nothing has ended, and from the end of the class on.
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
        // The right to a left that had more gets as much.
        if ended.side == Side::Left && running.side == Side::Right && ended.doing == running.doing {
            whole.span.end += by;
            whole.origin.length = Length::Set;
        }
        owed.push(whole);
        owed.extend(self.from(current + 1));
        Some(self.owe(now, owed))
    }

    /// Spans of the plan, owed whole. The first begins at once, since the coach has just asked for it.
    fn once_more(&self, origins: std::ops::RangeInclusive<usize>) -> impl Iterator<Item = Owed> {
        let first = *origins.start();
        origins.map(move |origin| {
            let mut owed = self.whole(origin);
            owed.span.gate &= origin != first;
            owed
        })
    }
}
