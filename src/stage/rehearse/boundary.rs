//! Boundaries: where one work span ends and the class gets ready for the next.

use std::ops::Range;

use class::schedule::{Schedule, SpanPurpose, TransitionKind};
use class::time::Tick;

/// The end of a work span, with the work that follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Boundary {
    /// The work span that ends.
    pub before: usize,
    /// The next work span.
    pub after: usize,
    pub at: Tick,
    /// The time that the class has until the next work itself begins: rest, transition and settle.
    pub given: Tick,
    /// The time that the change needs by the plan.
    pub needs: Tick,
    pub kind: TransitionKind,
}

/// How much of the class around a boundary is rehearsed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RehearsalWindow {
    pub before: Tick,
    pub after: Tick,
}

impl Default for RehearsalWindow {
    fn default() -> RehearsalWindow {
        RehearsalWindow { before: Tick::seconds(15), after: Tick::seconds(10) }
    }
}

/// How long after its window a boundary still waits for the coach to be ready.
pub(super) const PATIENCE: Tick = Tick::seconds(20);

impl Boundary {
    /// The part of the class that is rehearsed: from `window.before` before the boundary to `window.after` after it.
    pub fn rehearsed_range(&self, window: RehearsalWindow) -> Range<Tick> {
        self.at.saturating_sub(window.before)..self.at + window.after
    }
}

/// The boundaries of a class at which more than the movement changes, in order. With `all`, also those where only the
/// movement changes. There is no boundary before a block that waits for the coach: nobody presses the key before
/// everybody is ready.
pub fn boundaries(schedule: &Schedule, all: bool) -> Vec<Boundary> {
    let work: Vec<usize> =
        (0..schedule.spans.len()).filter(|&index| schedule.spans[index].purpose == SpanPurpose::Work).collect();
    let pairs = work.windows(2).map(|pair| (pair[0], pair[1]));
    let boundary = |(before, after): (usize, usize)| {
        let (from, to) = (&schedule.spans[before], &schedule.spans[after]);
        let kind = TransitionKind::of(&to.change);
        let changes = kind != TransitionKind::default() || to.change.needs > Tick::ZERO || (all && to.change.movement);
        (changes && !to.gate).then(|| Boundary {
            before,
            after,
            at: from.end,
            given: to.work_start() - from.end,
            needs: to.change.needs,
            kind,
        })
    };
    pairs.filter_map(boundary).collect()
}
