//! Beats inside a span, by exact rational arithmetic.

use super::Tick;

/// Evenly spaced beats from a start: the beat `k` falls at `start + k · num/den` ticks, rounded once to the
/// nearest tick (a half rounds up), so that nothing accumulates however many beats there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Beats {
    start: Tick,
    num: u64,
    den: u64,
}

impl Beats {
    /// Beats `num/den` ticks apart. A zero `den` is taken as one.
    pub fn new(start: Tick, num: u64, den: u64) -> Beats {
        Beats { start, num, den: den.max(1) }
    }

    /// Beats at so many a minute.
    pub fn a_minute(start: Tick, per_minute: u64) -> Beats {
        Beats::new(start, 60_000, per_minute)
    }

    /// The tick of beat `k`, counted from 0.
    pub fn at(&self, k: u64) -> Tick {
        let exact = u128::from(k) * u128::from(self.num) * 2 + u128::from(self.den);
        let rounded = exact / (u128::from(self.den) * 2);
        Tick(self.start.0.saturating_add(u64::try_from(rounded).unwrap_or(u64::MAX)))
    }

    /// How many whole beats end by `length` after the start: `⌊length · den / num⌋`.
    pub fn whole_in(&self, length: Tick) -> u64 {
        if self.num == 0 {
            return 0;
        }
        let whole = u128::from(length.0) * u128::from(self.den) / u128::from(self.num);
        u64::try_from(whole).unwrap_or(u64::MAX)
    }
}
