//! The clock that a class is led by. Class time is computed from this clock, but is not the same.

use std::cell::RefCell;
use std::rc::Rc;
use std::time::{Duration, Instant};

use class::time::Tick;
use jiff::{SignedDuration, ZonedDateTime};

/// A time on the clock: how long after the start of the clock. A pause does not stop the clock. Never class time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct ClockTime(pub Duration);

impl ClockTime {
    /// The time that is later by `length`.
    pub fn after(self, length: Duration) -> ClockTime {
        ClockTime(self.0.saturating_add(length))
    }

    /// The time that is earlier by `length`, but not before the start of the clock.
    pub fn before(self, length: Duration) -> ClockTime {
        ClockTime(self.0.saturating_sub(length))
    }

    /// How long after an earlier time; zero after a later one.
    pub fn since(self, earlier: ClockTime) -> Duration {
        self.0.saturating_sub(earlier.0)
    }
}

/// What the clock shows.
#[derive(Clone, Debug, PartialEq)]
pub struct ClockReading {
    pub at: ClockTime,
    /// The time of day. On a scaled clock it runs as fast as the clock.
    pub wall: ZonedDateTime,
    /// How long the computer slept, or the program was stopped, since the reading before this. None if neither
    /// happened. This time is part of [`ClockReading::at`].
    pub slept: Option<Duration>,
}

/// A clock to lead by.
pub trait Clock {
    /// Reads the clock. Readings never go back.
    fn read(&mut self) -> ClockReading;

    /// When the clock shows a time, or showed it.
    fn instant(&self, at: ClockTime) -> Instant;

    /// How long it takes until the clock shows a time. Zero if that time is past.
    fn until(&self, at: ClockTime) -> Duration {
        self.instant(at).saturating_duration_since(Instant::now())
    }
}

/// If the wall clock gains more than this on the steady clock, the computer has slept. Daily corrections are far
/// smaller.
const JUMP: Duration = Duration::from_secs(2);
/// If more than this passes between two readings, the program was stopped. The loop reads the clock at least once a
/// second.
const GAP: Duration = Duration::from_secs(10);

/// The computer's clock, or a multiple of it.
///
/// It reads the steady clock, which on most systems stands still while the computer sleeps. To notice sleep, it
/// compares the steady clock with the wall clock. Its readings are whole milliseconds, as class time is.
#[derive(Debug)]
pub struct RealClock {
    began: Instant,
    wall_began: ZonedDateTime,
    speed: u32,
    /// Steady time and wall time of the last reading, since the start, and how long the computer slept until then.
    steady: Duration,
    wall: Duration,
    slept: Duration,
}

impl RealClock {
    /// A clock that runs `speed` times as fast as the computer's. A speed of 0 counts as 1.
    pub fn new(speed: u32) -> RealClock {
        RealClock {
            began: Instant::now(),
            wall_began: ZonedDateTime::now(),
            speed: speed.max(1),
            steady: Duration::ZERO,
            wall: Duration::ZERO,
            slept: Duration::ZERO,
        }
    }

    /// Takes one reading of both clocks. Returns how long the computer slept or the program was stopped since the last
    /// reading.
    fn compare(&mut self, steady: Duration, wall: Duration) -> Option<Duration> {
        let ran = steady.saturating_sub(self.steady);
        // The wall clock may be set back: that is not sleep.
        let passed = wall.saturating_sub(self.wall);
        (self.steady, self.wall) = (steady.max(self.steady), wall);
        let unseen = passed.saturating_sub(ran);
        if unseen > JUMP {
            self.slept += unseen;
            Some(unseen)
        } else {
            (ran > GAP).then_some(ran)
        }
    }
}

impl Clock for RealClock {
    fn read(&mut self) -> ClockReading {
        let steady = whole_millis(self.began.elapsed());
        let wall = ZonedDateTime::now();
        // A wall clock that was set back to before the start counts as at the start.
        let passed = Duration::try_from(wall.duration_since(&self.wall_began)).unwrap_or_default();
        let slept = self.compare(steady, whole_millis(passed));
        let at = (self.steady + self.slept).saturating_mul(self.speed);
        let wall = if self.speed == 1 { wall } else { wall_after(&self.wall_began, at) };
        ClockReading { at: ClockTime(at), wall, slept: slept.map(|length| length.saturating_mul(self.speed)) }
    }

    fn instant(&self, at: ClockTime) -> Instant {
        let micros = at.0.as_micros().div_ceil(u128::from(self.speed));
        let after = Duration::from_micros(u64::try_from(micros).unwrap_or(u64::MAX));
        self.began + after.saturating_sub(self.slept)
    }
}

/// One clock for several.
impl<C: Clock> Clock for Rc<RefCell<C>> {
    fn read(&mut self) -> ClockReading {
        self.borrow_mut().read()
    }

    fn instant(&self, at: ClockTime) -> Instant {
        self.borrow().instant(at)
    }

    fn until(&self, at: ClockTime) -> Duration {
        self.borrow().until(at)
    }
}

fn whole_millis(length: Duration) -> Duration {
    Tick::of(length).duration()
}

/// The time of day that is later than another by `length`; the same one if there is no such time.
pub fn wall_after(wall: &ZonedDateTime, length: Duration) -> ZonedDateTime {
    let later = SignedDuration::try_from(length).and_then(|length| wall.checked_add(length));
    later.unwrap_or_else(|_| wall.clone())
}

/// The time of day that is earlier than another by `length`; the same one if there is no such time.
pub(crate) fn wall_before(wall: &ZonedDateTime, length: Duration) -> ZonedDateTime {
    let earlier = SignedDuration::try_from(length).and_then(|length| wall.checked_sub(length));
    earlier.unwrap_or_else(|_| wall.clone())
}

/// A clock that is moved by hand, for tests and for working something out without waiting. Clones are the same clock.
#[derive(Clone, Debug)]
pub struct SteppedClock(Rc<RefCell<ClockReading>>, Instant);

impl SteppedClock {
    /// A clock at 0, with this time of day.
    pub fn new(wall: ZonedDateTime) -> SteppedClock {
        SteppedClock(
            Rc::new(RefCell::new(ClockReading { at: ClockTime::default(), wall, slept: None })),
            Instant::now(),
        )
    }

    /// Moves the clock on by `length`.
    pub fn step(&self, length: Duration) {
        let mut reading = self.0.borrow_mut();
        reading.at = reading.at.after(length);
        reading.wall = wall_after(&reading.wall, length);
    }

    /// Moves the clock on as if the computer had slept for `length`.
    pub fn sleep(&self, length: Duration) {
        self.step(length);
        self.0.borrow_mut().slept = Some(length);
    }
}

impl Clock for SteppedClock {
    fn read(&mut self) -> ClockReading {
        let mut reading = self.0.borrow_mut();
        let shown = reading.clone();
        reading.slept = None;
        shown
    }

    fn instant(&self, at: ClockTime) -> Instant {
        self.1 + at.0
    }

    fn until(&self, at: ClockTime) -> Duration {
        at.since(self.0.borrow().at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sleep_is_the_wall_running_ahead_of_the_steady_clock() {
        let mut clock = RealClock::new(1);
        let mut compare = |steady, wall| {
            clock.compare(Duration::from_millis(steady), Duration::from_millis(wall)).map(|slept| slept.as_millis())
        };
        assert_eq!(compare(1_000, 1_000), None);
        // A correction of the wall clock, either way.
        assert_eq!(compare(2_000, 3_900), None);
        assert_eq!(compare(3_000, 2_000), None);
        // The lid is shut for two minutes.
        assert_eq!(compare(4_000, 123_000), Some(120_000));
        assert_eq!(compare(5_000, 124_000), None);
        // The program is stopped while both clocks run on.
        assert_eq!(compare(25_000, 144_000), Some(20_000));
        assert_eq!(clock.slept.as_millis(), 120_000);
    }

    #[test]
    fn a_scaled_clock_takes_a_share_of_the_time() {
        let takes = |speed| RealClock::new(speed).until(ClockTime(Duration::from_secs(100)));
        assert!(takes(20) <= Duration::from_secs(5) && takes(20) > Duration::from_secs(4));
        assert!(takes(0) <= Duration::from_secs(100) && takes(0) > Duration::from_secs(99));
    }
}
