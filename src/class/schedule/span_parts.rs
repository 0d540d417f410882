//! Cuts spans, continues them and changes their lengths.

use super::{Span, WorkingSide};
use crate::time::{Tempo, Tick};

impl Span {
    /// The part of the span before a tick in it: what is left of a span that ends early.
    pub fn before(&self, now: Tick) -> Span {
        let mut past = self.clone();
        past.end = now.clamp(self.start, self.end);
        past.settle = self.settle.min(past.length());
        // Nobody counted the repetitions up to the cut.
        past.reps = None;
        if let WorkingSide::LeftThenRight { each, switch } = self.side {
            let left_ends = self.work_start() + each;
            past.side = match past.end.checked_sub(left_ends) {
                None | Some(Tick::ZERO) => WorkingSide::Left,
                Some(after) => WorkingSide::LeftThenRight { each, switch: switch.min(after) },
            };
        }
        past
    }

    /// The part of the span from a tick in it to its end. The number of repetitions in it is not known.
    pub fn after(&self, now: Tick) -> Span {
        let now = now.clamp(self.start, self.end);
        let mut owed = self.clone();
        owed.start = now;
        owed.settle = self.work_start().saturating_sub(now);
        owed.reps = None;
        owed.gate &= now == self.start;
        if let (WorkingSide::LeftThenRight { .. }, Some(left_ends), Some(right)) =
            (self.side, self.switch_start(), self.right_start())
        {
            let left_from = now.max(self.work_start());
            owed.side = if now >= right {
                WorkingSide::Right
            } else {
                WorkingSide::LeftThenRight {
                    each: left_ends.saturating_sub(left_from),
                    switch: right - left_ends.max(left_from),
                }
            };
        }
        owed
    }

    /// The span with the same start and another length. The settle is at most half of the length, and left and right
    /// are equal to the tick. A span with repetitions gets as many whole repetitions at this tempo as fit.
    pub fn with_length(&self, length: Tick, tempo: Option<Tempo>) -> Span {
        let mut span = self.clone();
        span.end = span.start + length;
        span.settle = self.settle.min(Tick(length.0 / 2));
        let working = length - span.settle;
        let turn = match self.side {
            WorkingSide::Both | WorkingSide::Left | WorkingSide::Right => working,
            WorkingSide::Alternating => Tick(working.0 / 2),
            WorkingSide::LeftThenRight { switch, .. } => {
                let each = Tick(working.saturating_sub(switch).0 / 2);
                span.side = WorkingSide::LeftThenRight { each, switch: working - each - each };
                each
            }
        };
        span.reps = self.reps.and(tempo).map(|tempo| tempo.reps_in(turn));
        span
    }

    /// The span made longer by `by` milliseconds (shorter when negative) while it runs at `now`. Before the switch,
    /// left and right get half of them each. After it, only the right side changes. Repetitions are counted again at
    /// `tempo`.
    ///
    /// The caller makes sure that there is enough time to take away.
    pub fn lengthened(&self, by: i64, now: Tick, tempo: Option<Tempo>) -> Span {
        let mut span = self.clone();
        match self.side {
            WorkingSide::LeftThenRight { each, switch }
                if self.switch_start().is_some_and(|switch_at| now < switch_at) =>
            {
                let each = Tick(each.0.saturating_add_signed(by / 2));
                span.side = WorkingSide::LeftThenRight { each, switch };
                span.end = Tick(self.end.0.saturating_add_signed(by / 2 * 2));
            }
            _ => span.end = Tick(self.end.0.saturating_add_signed(by)).max(self.start),
        }
        let working = span.length().saturating_sub(span.settle);
        let turn = match self.side {
            WorkingSide::Both | WorkingSide::Left | WorkingSide::Right => working,
            WorkingSide::Alternating => Tick(working.0 / 2),
            WorkingSide::LeftThenRight { .. } => {
                let (left, right) = span.by_side();
                left.min(right)
            }
        };
        span.reps = self.reps.and(tempo).map(|tempo| tempo.reps_in(turn));
        span
    }

    /// How long the left and the right side work in the span. Both are 0 when the sides work together or alternate.
    pub fn by_side(&self) -> (Tick, Tick) {
        let working = self.length().saturating_sub(self.settle);
        match self.side {
            WorkingSide::Both | WorkingSide::Alternating => (Tick::ZERO, Tick::ZERO),
            WorkingSide::Left => (working, Tick::ZERO),
            WorkingSide::Right => (Tick::ZERO, working),
            WorkingSide::LeftThenRight { each, switch } => (each.min(working), working.saturating_sub(each + switch)),
        }
    }
}
