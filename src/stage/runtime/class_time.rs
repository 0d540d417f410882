//! Class time as a piecewise map of the clock.

use super::clock::ClockTime;
use class::time::Tick;

/// The piece of the map that holds now: class time stands, or runs since a time on the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClassTime {
    tick: Tick,
    runs_since: Option<ClockTime>,
}

impl ClassTime {
    /// Class time that stands at a tick.
    pub fn standing(tick: Tick) -> ClassTime {
        ClassTime { tick, runs_since: None }
    }

    /// Class time at a time on the clock.
    pub fn at(&self, clock: ClockTime) -> Tick {
        match self.runs_since {
            Some(since) => self.tick + Tick(clock.since(since)),
            None => self.tick,
        }
    }

    /// When it reaches a tick, if it runs.
    pub fn reaches(&self, tick: Tick) -> Option<ClockTime> {
        self.runs_since.map(|since| since.after(tick.less(self.tick).0))
    }

    /// Runs on from where it stands, from a time on the clock on.
    pub fn run(&mut self, clock: ClockTime) {
        self.runs_since.get_or_insert(clock);
    }

    /// Stands from a time on the clock on.
    pub fn stand(&mut self, clock: ClockTime) {
        *self = ClassTime::standing(self.at(clock));
    }
}
