//! The size of a session with all its rounds, computed before any round is laid out.

use super::SessionResolver;
use crate::movement::Sides;
use crate::session::fault::{Fault, FaultCode, FaultSpot, LazyPath};
use crate::session::{Block, BlockFormat, Session, Station, TransitionMode, WorkAmount, limits};
use crate::time::{Tick, clock};

/// The number of work spans, and their ticks with the rests. The types are wide enough for all allowed values.
#[derive(Clone, Copy, Default)]
struct SessionSize {
    spans: u128,
    ticks: u128,
}

impl SessionSize {
    fn times(self, n: usize) -> SessionSize {
        SessionSize { spans: self.spans * n as u128, ticks: self.ticks * n as u128 }
    }

    fn plus(self, other: SessionSize) -> SessionSize {
        SessionSize { spans: self.spans + other.spans, ticks: self.ticks + other.ticks }
    }
}

impl SessionResolver<'_> {
    /// Reports a session that is too large.
    pub(super) fn size(&mut self, session: &Session) {
        let top = LazyPath::FILE;
        let blocks = top.field("blocks");
        let mut all = SessionSize::default();
        for (index, block) in session.blocks.iter().enumerate() {
            all = all.plus(size(block));
            let too_much = if all.spans > u128::from(limits::SPANS) {
                format!("with this block the session has more than {} spans of work", limits::SPANS)
            } else if all.ticks > u128::from(limits::TOTAL.0) {
                format!("with this block the session is longer than {}", clock(limits::TOTAL))
            } else {
                continue;
            };
            let at = blocks.item(index);
            let spot = if block.rounds > 1 { at.field("rounds").value() } else { at.field("name").value() };
            let spot = if matches!(block.format, BlockFormat::Intervals { .. }) { format_count(at) } else { spot };
            return self.say(
                Fault::new(FaultCode::TooMuch, spot, too_much).help("write fewer rounds, or less work in a round"),
            );
        }
    }
}

fn format_count(block: LazyPath<'_>) -> FaultSpot {
    block.field("format").field("count").value()
}

/// The time for the work of a station when no changeover comes before it.
pub(super) fn worked(station: &Station) -> Tick {
    match station.work {
        WorkAmount::Time(length) => length,
        WorkAmount::Reps(reps) => {
            let once = Tick(station.tempo.map_or(0, |tempo| tempo.rep().0) * u64::from(reps));
            match station.sides {
                Sides::Together | Sides::EachSide => once,
                Sides::Alternating => once + once,
                Sides::LeftThenRight => once + once + crate::movement::SIDE_SWITCH,
            }
        }
    }
}

fn size(block: &Block) -> SessionSize {
    let rounds = block.rounds as usize;
    let put_in = match block.transitions {
        TransitionMode::Fixed(length) => length,
        TransitionMode::Inside | TransitionMode::Added => Tick::ZERO,
    };
    let sides = |station: &Station| if station.sides == Sides::EachSide { 2 } else { 1 };
    let of = |station: &Station, work: Tick| {
        SessionSize { spans: 1, ticks: u128::from(work.0) + u128::from(station.rest.0) + u128::from(put_in.0) }
            .times(sides(station))
    };
    let pass = |work: &dyn Fn(&Station) -> Tick| {
        block.stations.iter().fold(SessionSize::default(), |size, station| size.plus(of(station, work(station))))
    };
    let round_rest = SessionSize { spans: 0, ticks: u128::from(block.round_rest.0) };
    let once = SessionSize { spans: 0, ticks: u128::from((block.rest_after + block.briefing).0) };
    let rounds = match &block.format {
        BlockFormat::Circuit | BlockFormat::Sets | BlockFormat::Rotation => {
            pass(&worked).plus(round_rest).times(rounds)
        }
        BlockFormat::Emom { every } => pass(&|_| *every).times(rounds),
        BlockFormat::Amrap { time } => {
            SessionSize { spans: 1, ticks: u128::from(time.0) }.plus(round_rest).times(rounds)
        }
        BlockFormat::Ladder { rungs } => rungs
            .iter()
            .fold(SessionSize::default(), |size, rung| size.plus(pass(&|_| *rung)).plus(round_rest))
            .times(rounds),
        BlockFormat::Intervals { count, .. } => {
            let passes = (*count as usize).div_ceil(block.stations.len().max(1));
            pass(&worked).times(passes).plus(round_rest).times(rounds)
        }
    };
    rounds.plus(once)
}
