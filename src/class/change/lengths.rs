//! Making spans longer or shorter, and a rest now.

use super::course::{Course, Length, Origin, Owed};
use super::families::{SHORTEST_REST, SHORTEST_WORK};
use crate::schedule::{Changeover, Doing, Purpose, Side, Span, in_reps};
use crate::session::Format;
use crate::time::Tick;

/// A running span does not end sooner than this from now (est.), so that its end can be announced.
const SOONEST: Tick = Tick::seconds(5);

/// The length of a rest that is put in (est.). It can be made longer.
const REST_NOW: Tick = Tick::seconds(30);

/// Which spans a change of length applies to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// The running span and, if that is a left side, its right side.
    This,
    /// All work of this block that is still to come or running.
    Block,
}

impl Course {
    /// Makes spans longer by `by` milliseconds, or shorter if `by` is below zero. A span is shortened by less when it
    /// reaches its shortest allowed length. None when nothing would change.
    ///
    /// A right side changes with its left side. Once the left side is over, [`Reach::This`] changes the right side
    /// alone and the ledger shows the difference; [`Reach::Block`] leaves that right side as it is. In an EMOM, work
    /// takes its extra time from the rest of the minute.
    pub fn stretch(&self, now: Tick, by: i64, reach: Reach) -> Option<Course> {
        let current = self.schedule().span_at(now)?;
        let mut owed: Vec<Owed> = self.from(current).collect();
        let block = owed[0].span.block;
        let mut done = vec![false; owed.len()];
        let targets: Vec<usize> = match reach {
            Reach::This => vec![0],
            Reach::Block => (0..owed.len()).filter(|&index| self.is_whole(&owed, index, now, block)).collect(),
        };
        let mut changed = false;
        for target in targets {
            if std::mem::replace(&mut done[target], true) {
                continue;
            }
            let mut alike = vec![target];
            alike.extend(right_of(&owed, target));
            let room = alike.iter().map(|&index| self.room(&owed, index, now, by)).min_by_key(|room| room.abs());
            let Some(by) = room.filter(|&room| room != 0) else { continue };
            for index in alike {
                done[index] = true;
                changed = true;
                self.stretch_one(&mut owed, index, now, by);
            }
        }
        changed.then(|| self.go_on(now, owed))
    }

    fn stretch_one(&self, owed: &mut [Owed], index: usize, now: Tick, by: i64) {
        let span = &owed[index].span;
        let tempo = self.schedule().station_of(span).and_then(|station| station.tempo);
        let minute = self.rest_of_minute(owed, index);
        let owed_one = &mut owed[index];
        owed_one.span = owed_one.span.stretched(by, now, tempo);
        owed_one.origin.length = set(owed_one.origin.length);
        if let Some(rest) = minute {
            let rest = &mut owed[rest].span;
            rest.end = Tick(rest.end.0.saturating_add_signed(-by)).max(rest.start);
        }
    }

    /// Whether a span is work of this block that can change on all its sides: no side of it is over.
    fn is_whole(&self, owed: &[Owed], index: usize, now: Tick, block: usize) -> bool {
        let span = &owed[index].span;
        let late = match span.side {
            Side::Right => !owed[..index].iter().any(|left| pairs(&left.span, span)),
            Side::LeftThenRight { .. } => span.switch_at().is_some_and(|switch_at| now >= switch_at) && index == 0,
            _ => false,
        };
        span.purpose == Purpose::Work && span.block == block && !late
    }

    /// How much of `by` a span can take, in milliseconds.
    fn room(&self, owed: &[Owed], index: usize, now: Tick, by: i64) -> i64 {
        let span = &owed[index].span;
        let both = matches!(span.side, Side::LeftThenRight { .. }) && span.switch_at().is_some_and(|at| now < at);
        let by = if both { by / 2 * 2 } else { by };
        if by >= 0 {
            let most = self.rest_of_minute(owed, index).map(|rest| owed[rest].span.length());
            let minute = self.is_minute(span).then(|| most.unwrap_or(Tick::ZERO));
            let room = minute.map_or(by, |most| by.min(i64::try_from(most.0).unwrap_or(i64::MAX)));
            return if both { room / 2 * 2 } else { room };
        }
        let planned = match owed[index].origin.length {
            Length::Free | Length::Set => self.plan().spans[owed[index].origin.plan].length(),
            Length::Part | Length::PutIn => span.length(),
        };
        let floor = match span.purpose {
            // The length of work in repetitions includes its settle time, so its shortest length does too.
            Purpose::Work if in_reps(&self.schedule().session, span) => {
                let settle = match owed[index].origin.length {
                    Length::Free | Length::Set => self.plan().spans[owed[index].origin.plan].settle,
                    Length::Part | Length::PutIn => span.settle,
                };
                (SHORTEST_WORK.min(planned.less(settle)) + span.settle).max(span.settle + span.settle)
            }
            Purpose::Work => SHORTEST_WORK.min(planned).max(span.settle + span.settle),
            _ => SHORTEST_REST.min(planned),
        };
        let least = if index == 0 { floor.max(now - span.start + SOONEST) } else { floor };
        let mut room = span.length().less(least);
        if both && let Side::LeftThenRight { each, .. } = span.side {
            let spent = if index == 0 { now.less(span.working_from()) + SOONEST } else { SOONEST };
            let (_, right) = span.by_side();
            let half = each.less(spent).min(right.less(SOONEST)).0;
            room = Tick(room.0.min(half * 2) / 2 * 2);
        }
        by.max(-i64::try_from(room.0).unwrap_or(i64::MAX))
    }

    /// Whether a span is the work of an EMOM.
    fn is_minute(&self, span: &Span) -> bool {
        span.purpose == Purpose::Work && matches!(self.schedule().block_of(span).format, Format::Emom { .. })
    }

    /// The rest that fills the EMOM minute of a work span.
    fn rest_of_minute(&self, owed: &[Owed], index: usize) -> Option<usize> {
        let span = &owed[index].span;
        let rest =
            owed.get(index + 1).filter(|rest| rest.span.purpose == Purpose::Rest && rest.span.block == span.block);
        rest.filter(|_| self.is_minute(span)).map(|_| index + 1)
    }

    /// Ends the running span and begins a rest: the rest that follows, or one that is put in. If people are still
    /// getting ready for the running work, the whole work comes after the rest. Changes nothing during a rest or after
    /// the end of the class.
    pub fn rest_now(&self, now: Tick) -> Course {
        let Some(current) = self.schedule().span_at(now) else { return self.clone() };
        let span = &self.schedule().spans[current];
        if span.purpose.is_rest() {
            return self.clone();
        }
        let not_begun = span.purpose == Purpose::Work && now <= span.working_from();
        let from = if not_begun { current } else { current + 1 };
        let mut owed: Vec<Owed> = self.from(from).collect();
        let Some(first) = owed.first_mut() else { return self.next(now) };
        if first.span.purpose.is_rest() {
            return self.next(now);
        }
        first.span.gate &= !not_begun;
        let doing = if first.span.block == span.block { first.span.doing } else { Doing::Nothing };
        let plan = self.origin(current).map_or(0, |origin| origin.plan);
        let rest = Owed {
            span: Span {
                start: Tick::ZERO,
                end: REST_NOW,
                purpose: Purpose::Rest,
                doing,
                side: Side::Both,
                settle: Tick::ZERO,
                reps: None,
                change: Changeover::default(),
                gate: false,
                ..span.clone()
            },
            origin: Origin { plan, length: Length::PutIn },
        };
        owed.insert(0, rest);
        self.owe(now, owed)
    }
}

/// What sets a length after the coach has changed it.
fn set(length: Length) -> Length {
    if length == Length::Free { Length::Set } else { length }
}

fn pairs(left: &Span, right: &Span) -> bool {
    left.side == Side::Left
        && right.side == Side::Right
        && (left.block, left.doing, left.round) == (right.block, right.doing, right.round)
}

/// The index of the right side that belongs to a left side.
fn right_of(owed: &[Owed], left: usize) -> Option<usize> {
    (left + 1..owed.len()).find(|&right| pairs(&owed[left].span, &owed[right].span))
}
