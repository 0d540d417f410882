//! What of a course is other than planned, span by span, for whoever draws it.

use super::course::{Course, Length};
use crate::schedule::Doing;
use crate::time::Tick;

/// How a span stands against the plan. All zero where it is as planned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Mark {
    /// By how much it is longer or, below zero, shorter, in milliseconds; all of it where the plan has no such span.
    /// Work done in pieces counts with its last.
    pub by: i64,
    /// How much the plan has right before it, of its block, that is left out.
    pub gone_before: Tick,
    /// How much the plan has right after it that is left out.
    pub gone_after: Tick,
    /// What the plan does here, where something else stands in for it.
    pub instead_of: Option<Doing>,
}

impl Course {
    /// How each span of the schedule stands against the plan.
    pub fn marks(&self) -> Vec<Mark> {
        let (spans, planned) = (&self.schedule().spans, &self.plan().spans);
        let mut marks = vec![Mark::default(); spans.len()];
        // What has been done, or will be, of each span of the plan, and where the last of it stands.
        let mut done: Vec<Option<(Tick, usize)>> = vec![None; planned.len()];
        for (index, span) in spans.iter().enumerate() {
            let Some(origin) = self.origin(index) else { continue };
            if origin.length == Length::PutIn {
                marks[index].by = span.length().0 as i64;
                continue;
            }
            let doing = planned[origin.plan].doing;
            marks[index].instead_of = Some(doing).filter(|&doing| doing != span.doing);
            let before = done[origin.plan].map_or(Tick::ZERO, |(length, _)| length);
            done[origin.plan] = Some((before + span.length(), index));
        }
        for (planned, done) in planned.iter().zip(&done) {
            if let Some((length, index)) = *done {
                marks[index].by = length.0 as i64 - planned.length().0 as i64;
            }
        }
        let mut last: Option<usize> = None;
        let mut next = 0;
        for (plan, span) in planned.iter().enumerate() {
            if let Some((_, index)) = done[plan] {
                (last, next) = (Some(index), index + 1);
                continue;
            }
            // With its own block if it can be; else at the end of what comes before.
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
