//! Making spans longer or shorter, and a rest now.

use super::course::{Course, LengthSource, SpanOrigin, UpcomingSpan};
use super::span_families::{SHORTEST_REST, SHORTEST_WORK};
use crate::schedule::{Activity, Changeover, Span, SpanPurpose, WorkingSide, in_reps};
use crate::session::BlockFormat;
use crate::time::Tick;

/// A running span does not end sooner than this from now (est.), so that its end can be announced.
const SOONEST: Tick = Tick::seconds(5);

/// The length of a rest that is inserted (est.). It can be made longer.
const REST_NOW: Tick = Tick::seconds(30);

/// Which spans a change of length applies to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangeReach {
    /// The running span and, if that is a left side, its right side.
    Current,
    /// All work of this block that is still to come or running.
    Block,
}

impl Course {
    /// Makes spans longer by `by` milliseconds, or shorter if `by` is below zero. A span is shortened by less when it
    /// reaches its shortest allowed length. None when nothing would change.
    ///
    /// A right side changes with its left side. Once the left side is over, [`ChangeReach::Current`] changes the right
    /// side alone, and the difference becomes a side debt; [`ChangeReach::Block`] leaves that right side as it is. In
    /// an EMOM, work takes its extra time from the rest of the minute.
    pub fn adjust_length(&self, now: Tick, by: i64, reach: ChangeReach) -> Option<Course> {
        let current = self.schedule().span_at(now)?;
        let mut owed: Vec<UpcomingSpan> = self.upcoming_from(current).collect();
        let block = owed[0].span.block;
        let mut done = vec![false; owed.len()];
        let targets: Vec<usize> = match reach {
            ChangeReach::Current => vec![0],
            ChangeReach::Block => (0..owed.len()).filter(|&index| self.is_whole(&owed, index, now, block)).collect(),
        };
        let mut changed = false;
        for target in targets {
            if std::mem::replace(&mut done[target], true) {
                continue;
            }
            let mut alike = vec![target];
            alike.extend(right_of(&owed, target));
            let room =
                alike.iter().map(|&index| self.possible_change(&owed, index, now, by)).min_by_key(|room| room.abs());
            let Some(by) = room.filter(|&room| room != 0) else { continue };
            for index in alike {
                done[index] = true;
                changed = true;
                self.adjust_span(&mut owed, index, now, by);
            }
        }
        changed.then(|| self.continue_span_then(now, owed))
    }

    fn adjust_span(&self, owed: &mut [UpcomingSpan], index: usize, now: Tick, by: i64) {
        let span = &owed[index].span;
        let tempo = self.schedule().station_of(span).and_then(|station| station.tempo);
        let minute = self.rest_of_minute(owed, index);
        let owed_one = &mut owed[index];
        owed_one.span = owed_one.span.lengthened(by, now, tempo);
        owed_one.origin.length = after_coach_change(owed_one.origin.length);
        if let Some(rest) = minute {
            let rest = &mut owed[rest].span;
            rest.end = Tick(rest.end.0.saturating_add_signed(-by)).max(rest.start);
        }
    }

    /// Whether a span is work of this block that can change on all its sides: no side of it is over.
    fn is_whole(&self, owed: &[UpcomingSpan], index: usize, now: Tick, block: usize) -> bool {
        let span = &owed[index].span;
        let late = match span.side {
            WorkingSide::Right => !owed[..index].iter().any(|left| is_right_of(&left.span, span)),
            WorkingSide::LeftThenRight { .. } => {
                span.switch_start().is_some_and(|switch_at| now >= switch_at) && index == 0
            }
            _ => false,
        };
        span.purpose == SpanPurpose::Work && span.block == block && !late
    }

    /// How much of `by` a span can take, in milliseconds.
    fn possible_change(&self, owed: &[UpcomingSpan], index: usize, now: Tick, by: i64) -> i64 {
        let span = &owed[index].span;
        let both =
            matches!(span.side, WorkingSide::LeftThenRight { .. }) && span.switch_start().is_some_and(|at| now < at);
        let by = if both { by / 2 * 2 } else { by };
        if by >= 0 {
            let most = self.rest_of_minute(owed, index).map(|rest| owed[rest].span.length());
            let minute = self.is_minute(span).then(|| most.unwrap_or(Tick::ZERO));
            let room = minute.map_or(by, |most| by.min(i64::try_from(most.0).unwrap_or(i64::MAX)));
            return if both { room / 2 * 2 } else { room };
        }
        let planned = match owed[index].origin.length {
            LengthSource::Planned | LengthSource::SetByCoach => self.plan().spans[owed[index].origin.plan].length(),
            LengthSource::Partial | LengthSource::Inserted => span.length(),
        };
        let floor = match span.purpose {
            // The length of work in repetitions includes its settle time, so its shortest length does too.
            SpanPurpose::Work if in_reps(&self.schedule().session, span) => {
                let settle = match owed[index].origin.length {
                    LengthSource::Planned | LengthSource::SetByCoach => {
                        self.plan().spans[owed[index].origin.plan].settle
                    }
                    LengthSource::Partial | LengthSource::Inserted => span.settle,
                };
                (SHORTEST_WORK.min(planned.saturating_sub(settle)) + span.settle).max(span.settle + span.settle)
            }
            SpanPurpose::Work => SHORTEST_WORK.min(planned).max(span.settle + span.settle),
            _ => SHORTEST_REST.min(planned),
        };
        let least = if index == 0 { floor.max(now - span.start + SOONEST) } else { floor };
        let mut room = span.length().saturating_sub(least);
        if both && let WorkingSide::LeftThenRight { each, .. } = span.side {
            let spent = if index == 0 { now.saturating_sub(span.work_start()) + SOONEST } else { SOONEST };
            let (_, right) = span.by_side();
            let half = each.saturating_sub(spent).min(right.saturating_sub(SOONEST)).0;
            room = Tick(room.0.min(half * 2) / 2 * 2);
        }
        by.max(-i64::try_from(room.0).unwrap_or(i64::MAX))
    }

    /// Whether a span is the work of an EMOM.
    fn is_minute(&self, span: &Span) -> bool {
        span.purpose == SpanPurpose::Work && matches!(self.schedule().block_of(span).format, BlockFormat::Emom { .. })
    }

    /// The rest that fills the EMOM minute of a work span.
    fn rest_of_minute(&self, owed: &[UpcomingSpan], index: usize) -> Option<usize> {
        let span = &owed[index].span;
        let rest =
            owed.get(index + 1).filter(|rest| rest.span.purpose == SpanPurpose::Rest && rest.span.block == span.block);
        rest.filter(|_| self.is_minute(span)).map(|_| index + 1)
    }

    /// Ends the running span and begins a rest: the rest that follows, or an inserted one. If people are still
    /// getting ready for the running work, the whole work comes after the rest. Changes nothing during a rest or after
    /// the end of the class.
    pub fn rest_now(&self, now: Tick) -> Course {
        let Some(current) = self.schedule().span_at(now) else { return self.clone() };
        let span = &self.schedule().spans[current];
        if span.purpose.is_rest() {
            return self.clone();
        }
        let not_begun = span.purpose == SpanPurpose::Work && now <= span.work_start();
        let from = if not_begun { current } else { current + 1 };
        let mut owed: Vec<UpcomingSpan> = self.upcoming_from(from).collect();
        let Some(first) = owed.first_mut() else { return self.next(now) };
        if first.span.purpose.is_rest() {
            return self.next(now);
        }
        first.span.gate &= !not_begun;
        let doing = if first.span.block == span.block { first.span.activity } else { Activity::Nothing };
        let plan = self.origin(current).map_or(0, |origin| origin.plan);
        let rest = UpcomingSpan {
            span: Span {
                start: Tick::ZERO,
                end: REST_NOW,
                purpose: SpanPurpose::Rest,
                activity: doing,
                side: WorkingSide::Both,
                settle: Tick::ZERO,
                reps: None,
                change: Changeover::default(),
                gate: false,
                ..span.clone()
            },
            origin: SpanOrigin { plan, length: LengthSource::Inserted },
        };
        owed.insert(0, rest);
        self.end_span_then(now, owed)
    }
}

/// What sets a length after the coach has changed it.
fn after_coach_change(length: LengthSource) -> LengthSource {
    if length == LengthSource::Planned { LengthSource::SetByCoach } else { length }
}

fn is_right_of(left: &Span, right: &Span) -> bool {
    left.side == WorkingSide::Left
        && right.side == WorkingSide::Right
        && (left.block, left.activity, left.round) == (right.block, right.activity, right.round)
}

/// The index of the right side that belongs to a left side.
fn right_of(owed: &[UpcomingSpan], left: usize) -> Option<usize> {
    (left + 1..owed.len()).find(|&right| is_right_of(&owed[left].span, &owed[right].span))
}
