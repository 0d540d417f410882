//! The tick, one millisecond of class time.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};
use std::time::Duration;

/// A point in class time, in milliseconds from the start of the class, or a length of class time in milliseconds.
///
/// Class time stops while the class is paused; the clock of the computer does not. The two have different types, so
/// the compiler refuses to mix them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Tick(pub u64);

impl Tick {
    /// The start of the class.
    pub const ZERO: Tick = Tick(0);
    /// One second.
    pub const SECOND: Tick = Tick(1000);
    /// One minute.
    pub const MINUTE: Tick = Tick(60_000);

    /// `n` whole seconds.
    pub const fn seconds(n: u64) -> Tick {
        Tick(n * 1000)
    }

    /// As much class time as this length of the clock, rounded down to a whole millisecond. At most `u64::MAX` ms.
    pub const fn of(length: Duration) -> Tick {
        let millis = length.as_millis();
        Tick(if millis > u64::MAX as u128 { u64::MAX } else { millis as u64 })
    }

    /// How long this length of class time takes on the clock while class time runs.
    pub const fn duration(self) -> Duration {
        Duration::from_millis(self.0)
    }

    /// The number a countdown shows with this much time left: whole seconds, rounded up.
    pub const fn countdown_seconds(self) -> u64 {
        self.0.div_ceil(1000)
    }

    /// `self - other`, or 0 when `other` is longer.
    pub const fn saturating_sub(self, other: Tick) -> Tick {
        Tick(self.0.saturating_sub(other.0))
    }

    /// `self - other`, or `None` when `other` is longer.
    pub fn checked_sub(self, other: Tick) -> Option<Tick> {
        self.0.checked_sub(other.0).map(Tick)
    }

    /// `self * n`, or `None` when the result does not fit into 64 bits.
    pub fn checked_mul(self, n: u64) -> Option<Tick> {
        self.0.checked_mul(n).map(Tick)
    }
}

impl Add for Tick {
    type Output = Tick;
    fn add(self, other: Tick) -> Tick {
        Tick(self.0 + other.0)
    }
}

impl AddAssign for Tick {
    fn add_assign(&mut self, other: Tick) {
        self.0 += other.0;
    }
}

impl Sub for Tick {
    type Output = Tick;
    fn sub(self, other: Tick) -> Tick {
        Tick(self.0 - other.0)
    }
}

impl Sum for Tick {
    fn sum<I: Iterator<Item = Tick>>(ticks: I) -> Tick {
        ticks.fold(Tick::ZERO, Add::add)
    }
}

impl fmt::Debug for Tick {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{:03}s", self.0 / 1000, self.0 % 1000)
    }
}
