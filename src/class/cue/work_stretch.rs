//! Cutting a schedule into stretches, which are planned one by one.

use std::ops::Range;

use crate::schedule::{Schedule, Span, SpanPurpose};
use crate::time::Tick;

/// A work span and everything up to the next work span, or everything before the first work span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct WorkStretch {
    /// Indices of its spans. Never empty.
    pub spans: Range<usize>,
    /// Index of the work span that it begins with.
    pub work: Option<usize>,
    /// Index of the work span after it.
    pub next: Option<usize>,
}

impl WorkStretch {
    /// All stretches of a schedule, in order.
    pub(super) fn all(schedule: &Schedule) -> Vec<WorkStretch> {
        let is_work = |index: &usize| schedule.spans[*index].purpose == SpanPurpose::Work;
        let count = schedule.spans.len();
        let works: Vec<usize> = (0..count).filter(is_work).collect();
        let mut stretches = Vec::with_capacity(works.len() + 1);
        let first = works.first().copied();
        if first != Some(0) && count > 0 {
            stretches.push(WorkStretch { spans: 0..first.unwrap_or(count), work: None, next: first });
        }
        for (place, &work) in works.iter().enumerate() {
            let next = works.get(place + 1).copied();
            stretches.push(WorkStretch { spans: work..next.unwrap_or(count), work: Some(work), next });
        }
        stretches
    }

    /// The ticks of the stretch, from its start to its end.
    pub(super) fn ticks(&self, schedule: &Schedule) -> Range<Tick> {
        schedule.spans[self.spans.start].start..schedule.spans[self.spans.end - 1].end
    }

    /// The first span after the work, if there is one.
    pub(super) fn after_work<'a>(&self, schedule: &'a Schedule) -> Option<&'a Span> {
        let first = self.work.map_or(self.spans.start, |work| work + 1);
        (first < self.spans.end).then(|| &schedule.spans[first])
    }
}
