//! Side debts: how much more work one side of a station gets than the other.

use super::course::{Course, LengthSource, SpanOrigin, UpcomingSpan};
use crate::schedule::{Activity, Span, SpanPurpose, TransitionKind, WorkingSide};
use crate::time::Tick;

/// The work by which one side of a station is short of the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SideDebt {
    /// Index into the session's blocks.
    pub block: usize,
    pub doing: Activity,
    /// The side that is short: left or right.
    pub side: WorkingSide,
    pub by: Tick,
}

impl Course {
    /// How much work sides are short of, over the whole class as it has run and will run, in order of first work. A
    /// station is left out when left and right are equal to the tick, or when the coach has dismissed the difference.
    pub fn side_debts(&self) -> Vec<SideDebt> {
        let debts = self.balances().into_iter().filter_map(|(block, doing, balance)| {
            let let_be: i64 = self.waived.iter().filter(|it| (it.0, it.1) == (block, doing)).map(|it| it.2).sum();
            let balance = balance - let_be;
            let side = if balance > 0 { WorkingSide::Right } else { WorkingSide::Left };
            (balance != 0).then_some(SideDebt { block, doing, side, by: Tick(balance.unsigned_abs()) })
        });
        debts.collect()
    }

    /// For each station with sides: the work of the left side minus that of the right, in milliseconds.
    fn balances(&self) -> Vec<(usize, Activity, i64)> {
        let mut balances: Vec<(usize, Activity, i64)> = Vec::new();
        for span in self.schedule().spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
            let (left, right) = span.by_side();
            let doing = self.planned_activity(span.block, span.activity);
            let more = left.0 as i64 - right.0 as i64;
            match balances.iter_mut().find(|it| (it.0, it.1) == (span.block, doing)) {
                Some(known) => known.2 += more,
                None => balances.push((span.block, doing, more)),
            }
        }
        balances
    }

    /// Inserts, after the running span, the work that a side is short of. Changes nothing after the end of the class.
    pub fn repay(&self, now: Tick, debt: &SideDebt) -> Course {
        let Some(current) = self.schedule().span_at(now) else { return self.clone() };
        let mut owed: Vec<UpcomingSpan> = self.upcoming_from(current).collect();
        let running = &owed[0];
        let doing = self.swapped_in(debt.block, debt.doing);
        let of_debt =
            |span: &&Span| span.block == debt.block && span.activity == doing && span.purpose == SpanPurpose::Work;
        let round = self.schedule().spans.iter().rfind(of_debt).map_or(0, |span| span.round);
        let other_side = self.schedule().costs.estimate(TransitionKind { side: true, ..TransitionKind::default() });
        let span = Span {
            start: Tick::ZERO,
            end: debt.by + other_side,
            purpose: SpanPurpose::Work,
            block: debt.block,
            activity: doing,
            side: debt.side,
            settle: other_side,
            round,
            reps: None,
            change: Default::default(),
            gate: false,
        };
        let origin = SpanOrigin { plan: running.origin.plan, length: LengthSource::Inserted };
        owed.insert(1, UpcomingSpan { span, origin });
        self.continue_span_then(now, owed)
    }

    /// Dismisses a side debt: the side stays short, and [`Course::side_debts`] no longer lists it.
    pub fn waive_debt(&self, debt: &SideDebt) -> Course {
        let balance = if debt.side == WorkingSide::Right { debt.by.0 as i64 } else { -(debt.by.0 as i64) };
        let mut course = self.clone();
        course.waived.push((debt.block, debt.doing, balance));
        course
    }
}
