//! The size of a session with all its rounds, computed before any round is laid out.

use super::Resolver;
use crate::movement::Sides;
use crate::session::fault::{Code, Fault, Here, Spot};
use crate::session::{Block, Format, Session, Station, Transitions, Work, bounds};
use crate::time::{Tick, clock};

/// The number of work spans, and their ticks with the rests. The types are wide enough for all allowed values.
#[derive(Clone, Copy, Default)]
struct Size {
    spans: u128,
    ticks: u128,
}

impl Size {
    fn times(self, n: usize) -> Size {
        Size { spans: self.spans * n as u128, ticks: self.ticks * n as u128 }
    }

    fn plus(self, other: Size) -> Size {
        Size { spans: self.spans + other.spans, ticks: self.ticks + other.ticks }
    }
}

impl Resolver<'_> {
    /// Reports a session that is too large.
    pub fn size(&mut self, session: &Session) {
        let top = Here::FILE;
        let blocks = top.field("blocks");
        let mut all = Size::default();
        for (index, block) in session.blocks.iter().enumerate() {
            all = all.plus(size(block));
            let too_much = if all.spans > u128::from(bounds::SPANS) {
                format!("with this block the session has more than {} spans of work", bounds::SPANS)
            } else if all.ticks > u128::from(bounds::TOTAL.0) {
                format!("with this block the session is longer than {}", clock(bounds::TOTAL))
            } else {
                continue;
            };
            let at = blocks.item(index);
            let spot = if block.rounds > 1 { at.field("rounds").value() } else { at.field("name").value() };
            let spot = if matches!(block.format, Format::Intervals { .. }) { format_count(at) } else { spot };
            return self
                .say(Fault::new(Code::TooMuch, spot, too_much).help("write fewer rounds, or less work in a round"));
        }
    }
}

fn format_count(block: Here<'_>) -> Spot {
    block.field("format").field("count").value()
}

/// The time for the work of a station when no changeover comes before it.
pub fn worked(station: &Station) -> Tick {
    match station.work {
        Work::Time(length) => length,
        Work::Reps(reps) => {
            let once = Tick(station.tempo.map_or(0, |tempo| tempo.rep().0) * u64::from(reps));
            match station.sides {
                Sides::Together | Sides::EachSide => once,
                Sides::Alternating => once + once,
                Sides::LeftThenRight => once + once + crate::movement::SIDE_SWITCH,
            }
        }
    }
}

fn size(block: &Block) -> Size {
    let rounds = block.rounds as usize;
    let put_in = match block.transitions {
        Transitions::Fixed(length) => length,
        Transitions::Inside | Transitions::Added => Tick::ZERO,
    };
    let sides = |station: &Station| if station.sides == Sides::EachSide { 2 } else { 1 };
    let of = |station: &Station, work: Tick| {
        Size { spans: 1, ticks: u128::from(work.0) + u128::from(station.rest.0) + u128::from(put_in.0) }
            .times(sides(station))
    };
    let pass = |work: &dyn Fn(&Station) -> Tick| {
        block.stations.iter().fold(Size::default(), |size, station| size.plus(of(station, work(station))))
    };
    let round_rest = Size { spans: 0, ticks: u128::from(block.round_rest.0) };
    let once = Size { spans: 0, ticks: u128::from((block.rest_after + block.briefing).0) };
    let rounds = match &block.format {
        Format::Circuit | Format::Sets | Format::Rotation => pass(&worked).plus(round_rest).times(rounds),
        Format::Emom { every } => pass(&|_| *every).times(rounds),
        Format::Amrap { time } => Size { spans: 1, ticks: u128::from(time.0) }.plus(round_rest).times(rounds),
        Format::Ladder { rungs } => {
            rungs.iter().fold(Size::default(), |size, rung| size.plus(pass(&|_| *rung)).plus(round_rest)).times(rounds)
        }
        Format::Intervals { count, .. } => {
            let passes = (*count as usize).div_ceil(block.stations.len().max(1));
            pass(&worked).times(passes).plus(round_rest).times(rounds)
        }
    };
    rounds.plus(once)
}
