//! The length of a work span, and how settle, sides and repetitions share it.

use super::WorkingSide;
use crate::movement::Sides;
use crate::session::WorkAmount;
use crate::time::{Tempo, Tick};

/// A work span's shape: its length, sides and repetitions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WorkShape {
    pub(super) length: Tick,
    pub(super) settle: Tick,
    pub(super) side: WorkingSide,
    pub(super) reps: Option<u64>,
}

/// The tempo for the repetitions of a station that names no tempo: a moderate 2-0-2-0 (each phase 1 to 2 s: ACSM
/// position stand 2009).
pub const MODERATE: Tempo = Tempo { counts: [2, 0, 2, 0] };

/// Shapes the span of one station.
///
/// Timed work keeps its length; the settle (at most half of it) and the switch are inside it. Work in repetitions takes
/// as long as the repetitions, plus the settle and the switch. `side` is the side of the span when each side has its
/// own span.
pub(super) fn shape(
    work: WorkAmount,
    sides: Sides,
    tempo: Option<Tempo>,
    settle: Tick,
    switch: Tick,
    side: Option<WorkingSide>,
) -> WorkShape {
    let rep = tempo.unwrap_or(MODERATE).rep();
    let (length, settle) = match work {
        WorkAmount::Time(length) => (length, settle.min(Tick(length.0 / 2))),
        WorkAmount::Reps(reps) => {
            let once = Tick(rep.0 * u64::from(reps));
            let work = match sides {
                Sides::Together | Sides::EachSide => once,
                Sides::Alternating => once + once,
                Sides::LeftThenRight => once + switch + once,
            };
            (settle + work, settle)
        }
    };
    let working = length - settle;
    let (side, turn) = match (sides, side) {
        (Sides::EachSide, Some(side)) => (side, working),
        (Sides::Together | Sides::EachSide, _) => (WorkingSide::Both, working),
        (Sides::Alternating, _) => (WorkingSide::Alternating, Tick(working.0 / 2)),
        (Sides::LeftThenRight, _) => {
            // The switch takes the odd tick, so that both sides are equal to the tick.
            let each = Tick(working.saturating_sub(switch).0 / 2);
            (WorkingSide::LeftThenRight { each, switch: working - each - each }, each)
        }
    };
    WorkShape { length, settle, side, reps: tempo.map(|tempo| tempo.reps_in(turn)) }
}
