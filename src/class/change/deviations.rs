//! How a course differs from the plan, span by span, for drawing it.

use super::course::{Course, LengthSource};
use crate::schedule::Activity;
use crate::time::Tick;

/// How a span differs from the plan. All fields are zero or None for a span that is as planned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct SpanDeviation {
    /// How much longer than planned the span is, in milliseconds; below zero, how much shorter. For a span that the
    /// plan does not have, its whole length. A planned span done in pieces is compared at its last piece.
    pub length_change: i64,
    /// How much planned time of the same block is left out directly before the span.
    pub gone_before: Tick,
    /// How much planned time is left out directly after the span.
    pub gone_after: Tick,
    /// What the plan does here, when something else is done instead.
    pub instead_of: Option<Activity>,
}

impl Course {
    /// How each span of the schedule differs from the plan.
    pub fn deviations(&self) -> Vec<SpanDeviation> {
        let (spans, planned) = (&self.schedule().spans, &self.plan().spans);
        let mut marks = vec![SpanDeviation::default(); spans.len()];
        // For each span of the plan: how much of it is done or still to come, and the index of its last piece.
        let mut done: Vec<Option<(Tick, usize)>> = vec![None; planned.len()];
        for (index, span) in spans.iter().enumerate() {
            let Some(origin) = self.origin(index) else { continue };
            if origin.length == LengthSource::Inserted {
                marks[index].length_change = span.length().0 as i64;
                continue;
            }
            let doing = planned[origin.plan].activity;
            marks[index].instead_of = Some(doing).filter(|&doing| doing != span.activity);
            let before = done[origin.plan].map_or(Tick::ZERO, |(length, _)| length);
            done[origin.plan] = Some((before + span.length(), index));
        }
        for (planned, done) in planned.iter().zip(&done) {
            if let Some((length, index)) = *done {
                marks[index].length_change = length.0 as i64 - planned.length().0 as i64;
            }
        }
        let mut last: Option<usize> = None;
        let mut next = 0;
        for (plan, span) in planned.iter().enumerate() {
            if let Some((_, index)) = done[plan] {
                (last, next) = (Some(index), index + 1);
                continue;
            }
            // Left-out time is marked at a neighbour of the same block if there is one, else after the span before it.
            let of_block = |&index: &usize| spans.get(index).is_some_and(|other| other.block == span.block);
            match (last, Some(next).filter(of_block)) {
                (Some(last), next) if of_block(&last) || next.is_none() => marks[last].gone_after += span.length(),
                (_, Some(next)) => marks[next].gone_before += span.length(),
                (_, None) => {}
            }
        }
        marks
    }
}
