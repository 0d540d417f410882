//! Class time as a piecewise map of the clock.

use super::clock::ClockTime;
use class::time::Tick;

/// The current piece of the map: class time stands still, or has run since a time on the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClassTime {
    tick: Tick,
    runs_since: Option<ClockTime>,
}

impl ClassTime {
    /// Class time that stands still at a tick.
    pub fn halted_at(tick: Tick) -> ClassTime {
        ClassTime { tick, runs_since: None }
    }

    /// Class time at a time on the clock.
    pub fn at(&self, clock: ClockTime) -> Tick {
        match self.runs_since {
            Some(since) => self.tick + Tick::of(clock.since(since)),
            None => self.tick,
        }
    }

    /// When class time reaches a tick. None while it stands still.
    pub fn clock_time_of(&self, tick: Tick) -> Option<ClockTime> {
        self.runs_since.map(|since| since.after(tick.saturating_sub(self.tick).duration()))
    }

    /// Lets class time run from a time on the clock on. Does nothing if it runs already.
    pub fn run(&mut self, clock: ClockTime) {
        self.runs_since.get_or_insert(clock);
    }

    /// Stops class time at a time on the clock.
    pub fn halt(&mut self, clock: ClockTime) {
        *self = ClassTime::halted_at(self.at(clock));
    }
}
