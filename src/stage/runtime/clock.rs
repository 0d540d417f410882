//! The clock that a class is led by. Class time is computed from this clock, but is not the same.

use std::cell::RefCell;
use std::rc::Rc;
use std::time::{Duration, Instant};

use jiff::{SignedDuration, ZonedDateTime};

/// A time on the clock, in milliseconds since the clock was started. A pause does not stop the clock. Never class time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct ClockTime(pub u64);

impl ClockTime {
    /// The time `ms` milliseconds later.
    pub fn after(self, ms: u64) -> ClockTime {
        ClockTime(self.0.saturating_add(ms))
    }

    /// Milliseconds since an earlier time; 0 since a later one.
    pub fn since(self, earlier: ClockTime) -> u64 {
        self.0.saturating_sub(earlier.0)
    }
}

/// What the clock shows.
#[derive(Clone, Debug, PartialEq)]
pub struct ClockReading {
    pub at: ClockTime,
    /// The time of day. On a scaled clock it runs as fast as the clock.
    pub wall: ZonedDateTime,
    /// For how many milliseconds the computer slept, or the program was stopped, since the reading before this. None if
    /// neither happened. This time is part of [`ClockReading::at`].
    pub slept: Option<u64>,
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

/// If the wall clock gains more than this on the steady clock, the computer has slept. In milliseconds. Daily
/// corrections are far smaller.
const JUMP: u64 = 2_000;
/// If more than this passes between two readings, the program was stopped. In milliseconds. The loop reads the clock at
/// least once a second.
const GAP: u64 = 10_000;

/// The computer's clock, or a multiple of it.
///
/// It reads the steady clock, which on most systems stands still while the computer sleeps. To notice sleep, it
/// compares the steady clock with the wall clock.
#[derive(Debug)]
pub struct RealClock {
    began: Instant,
    wall_began: ZonedDateTime,
    speed: u64,
    /// Steady time and wall time of the last reading, and the sleep until then. All in milliseconds since the start.
    steady: u64,
    wall: u64,
    slept: u64,
}

impl RealClock {
    /// A clock that runs `speed` times as fast as the computer's. A speed of 0 counts as 1.
    pub fn new(speed: u64) -> RealClock {
        RealClock {
            began: Instant::now(),
            wall_began: ZonedDateTime::now(),
            speed: speed.max(1),
            steady: 0,
            wall: 0,
            slept: 0,
        }
    }

    /// Takes one reading of both clocks. Returns for how many milliseconds the computer slept or the program was
    /// stopped since the last reading.
    fn compare(&mut self, steady: u64, wall: u64) -> Option<u64> {
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
        let steady = u64::try_from(self.began.elapsed().as_millis()).unwrap_or(u64::MAX);
        let wall = ZonedDateTime::now();
        let passed = wall.duration_since(&self.wall_began).as_millis();
        let slept = self.compare(steady, u64::try_from(passed).unwrap_or(0));
        let at = (self.steady + self.slept).saturating_mul(self.speed);
        let wall = if self.speed == 1 { wall } else { wall_at(&self.wall_began, at) };
        ClockReading { at: ClockTime(at), wall, slept: slept.map(|ms| ms.saturating_mul(self.speed)) }
    }

    fn instant(&self, at: ClockTime) -> Instant {
        let micros = at.0.saturating_mul(1000).div_ceil(self.speed);
        self.began + Duration::from_micros(micros).saturating_sub(Duration::from_millis(self.slept))
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

/// The time of day `ms` milliseconds after another.
pub(crate) fn wall_at(began: &ZonedDateTime, ms: u64) -> ZonedDateTime {
    let ms = i64::try_from(ms).unwrap_or(i64::MAX);
    began.checked_add(SignedDuration::from_millis(ms)).unwrap_or_else(|_| began.clone())
}

/// The time of day `ms` milliseconds before another.
pub(crate) fn wall_before(wall: &ZonedDateTime, ms: u64) -> ZonedDateTime {
    let ms = i64::try_from(ms).unwrap_or(i64::MAX);
    wall.checked_sub(SignedDuration::from_millis(ms)).unwrap_or_else(|_| wall.clone())
}

/// A clock that is moved by hand, for tests and for working something out without waiting. Clones are the same clock.
#[derive(Clone, Debug)]
pub struct SteppedClock(Rc<RefCell<ClockReading>>, Instant);

impl SteppedClock {
    /// A clock at 0, with this time of day.
    pub fn new(wall: ZonedDateTime) -> SteppedClock {
        SteppedClock(Rc::new(RefCell::new(ClockReading { at: ClockTime(0), wall, slept: None })), Instant::now())
    }

    /// Moves the clock on by `ms` milliseconds.
    pub fn step(&self, ms: u64) {
        let mut reading = self.0.borrow_mut();
        reading.at = reading.at.after(ms);
        reading.wall = wall_at(&reading.wall, ms);
    }

    /// Moves the clock on as if the computer had slept for `ms` milliseconds.
    pub fn sleep(&self, ms: u64) {
        self.step(ms);
        self.0.borrow_mut().slept = Some(ms);
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
        self.1 + Duration::from_millis(at.0)
    }

    fn until(&self, at: ClockTime) -> Duration {
        Duration::from_millis(at.since(self.0.borrow().at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sleep_is_the_wall_running_ahead_of_the_steady_clock() {
        let mut clock = RealClock::new(1);
        assert_eq!(clock.compare(1_000, 1_000), None);
        // A correction of the wall clock, either way.
        assert_eq!(clock.compare(2_000, 3_900), None);
        assert_eq!(clock.compare(3_000, 2_000), None);
        // The lid is shut for two minutes.
        assert_eq!(clock.compare(4_000, 123_000), Some(120_000));
        assert_eq!(clock.compare(5_000, 124_000), None);
        // The program is stopped while both clocks run on.
        assert_eq!(clock.compare(25_000, 144_000), Some(20_000));
        assert_eq!(clock.slept, 120_000);
    }

    #[test]
    fn a_scaled_clock_takes_a_share_of_the_time() {
        let takes = |speed| RealClock::new(speed).until(ClockTime(100_000));
        assert!(takes(20) <= Duration::from_secs(5) && takes(20) > Duration::from_secs(4));
        assert!(takes(0) <= Duration::from_secs(100) && takes(0) > Duration::from_secs(99));
    }
}
