//! Evenly spaced beats inside a span, computed with exact fractions.

use super::Tick;

/// Evenly spaced beats from a start. Beat `k` falls at `start + k · num/den` ticks. Each beat is rounded on its own to
/// the nearest tick (a half rounds up), so rounding errors do not add up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Beats {
    start: Tick,
    num: u64,
    den: u64,
}

impl Beats {
    /// Beats `num/den` ticks apart. A `den` of 0 counts as 1.
    pub fn new(start: Tick, num: u64, den: u64) -> Beats {
        Beats { start, num, den: den.max(1) }
    }

    /// `per_minute` beats a minute, from `start`.
    pub fn a_minute(start: Tick, per_minute: u64) -> Beats {
        Beats::new(start, 60_000, per_minute)
    }

    /// The tick of beat `k`, counted from 0.
    pub fn at(&self, k: u64) -> Tick {
        let exact = u128::from(k) * u128::from(self.num) * 2 + u128::from(self.den);
        let rounded = exact / (u128::from(self.den) * 2);
        Tick(self.start.0.saturating_add(u64::try_from(rounded).unwrap_or(u64::MAX)))
    }

    /// The number of whole beats that fit into `length`: `⌊length · den / num⌋`, or 0 when `num` is 0.
    pub fn count_within(&self, length: Tick) -> u64 {
        if self.num == 0 {
            return 0;
        }
        let whole = u128::from(length.0) * u128::from(self.den) / u128::from(self.num);
        u64::try_from(whole).unwrap_or(u64::MAX)
    }
}
