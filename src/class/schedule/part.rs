//! Spans cut, continued and given another length.

use super::{Side, Span};
use crate::time::{Tempo, Tick};

impl Span {
    /// The part of the span before a tick in it: what is past when it ends there.
    pub fn cut_at(&self, now: Tick) -> Span {
        let mut past = self.clone();
        past.end = now.clamp(self.start, self.end);
        past.settle = self.settle.min(past.length());
        // How many fitted until the cut, nobody counted.
        past.reps = None;
        if let Side::LeftThenRight { each, switch } = self.side {
            let left_ends = self.working_from() + each;
            past.side = match past.end.checked_sub(left_ends) {
                None | Some(Tick::ZERO) => Side::Left,
                Some(after) => Side::LeftThenRight { each, switch: switch.min(after) },
            };
        }
        past
    }

    /// The part of the span from a tick in it: what is owed of it. How many repetitions fit is not known.
    pub fn rest_from(&self, now: Tick) -> Span {
        let now = now.clamp(self.start, self.end);
        let mut owed = self.clone();
        owed.start = now;
        owed.settle = self.working_from().less(now);
        owed.reps = None;
        owed.gate &= now == self.start;
        if let (Side::LeftThenRight { .. }, Some(left_ends), Some(right)) =
            (self.side, self.switch_at(), self.right_at())
        {
            let left_from = now.max(self.working_from());
            owed.side = if now >= right {
                Side::Right
            } else {
                Side::LeftThenRight { each: left_ends.less(left_from), switch: right - left_ends.max(left_from) }
            };
        }
        owed
    }

    /// The span from its start on at another length: settle at most half of it, left and right equal to the tick,
    /// and as many whole repetitions at this tempo as then fit, where it had any.
    pub fn resized(&self, length: Tick, tempo: Option<Tempo>) -> Span {
        let mut span = self.clone();
        span.end = span.start + length;
        span.settle = self.settle.min(Tick(length.0 / 2));
        let working = length - span.settle;
        let turn = match self.side {
            Side::Both | Side::Left | Side::Right => working,
            Side::Alternating => Tick(working.0 / 2),
            Side::LeftThenRight { switch, .. } => {
                let each = Tick(working.less(switch).0 / 2);
                span.side = Side::LeftThenRight { each, switch: working - each - each };
                each
            }
        };
        span.reps = self.reps.and(tempo).map(|tempo| tempo.reps_in(turn));
        span
    }

    /// The span longer (or, below zero, shorter) by so many milliseconds, as it runs at `now`. Before the switch left
    /// and right share them alike; after it only right is left to change. The same repetitions a tick fit as did.
    ///
    /// The caller sees to it that there is as much to take away.
    pub fn stretched(&self, by: i64, now: Tick, tempo: Option<Tempo>) -> Span {
        let mut span = self.clone();
        match self.side {
            Side::LeftThenRight { each, switch } if self.switch_at().is_some_and(|switch_at| now < switch_at) => {
                let each = Tick(each.0.saturating_add_signed(by / 2));
                span.side = Side::LeftThenRight { each, switch };
                span.end = Tick(self.end.0.saturating_add_signed(by / 2 * 2));
            }
            _ => span.end = Tick(self.end.0.saturating_add_signed(by)).max(self.start),
        }
        let working = span.length().less(span.settle);
        let turn = match self.side {
            Side::Both | Side::Left | Side::Right => working,
            Side::Alternating => Tick(working.0 / 2),
            Side::LeftThenRight { .. } => {
                let (left, right) = span.by_side();
                left.min(right)
            }
        };
        span.reps = self.reps.and(tempo).map(|tempo| tempo.reps_in(turn));
        span
    }

    /// How long left and right work in the span by turns of their own: nothing where both work together or a
    /// repetition each.
    pub fn by_side(&self) -> (Tick, Tick) {
        let working = self.length().less(self.settle);
        match self.side {
            Side::Both | Side::Alternating => (Tick::ZERO, Tick::ZERO),
            Side::Left => (working, Tick::ZERO),
            Side::Right => (Tick::ZERO, working),
            Side::LeftThenRight { each, switch } => (each.min(working), working.less(each + switch)),
        }
    }
}
