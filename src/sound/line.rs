//! The line between a device's frames and the clock: when a frame is heard.
//!
//! The device counts frames at its own pace, tens of parts in a million off the clock, and stops counting when it
//! runs dry. The class follows the clock. So for each buffer the moment at which its first frame will be heard is
//! measured, and the line is moved when it has strayed; it is moved only where nothing sounds.

/// Measured moments are noisy: callbacks wake late by tens of milliseconds and latencies come from another thread.
/// A median takes that out.
const WINDOW: usize = 31;
/// The line is moved by drift when it is off by more than this, in nanoseconds.
const DEAD_BAND: i64 = 300_000;
/// Off by more than this for [`STEADY`] buffers on end, the device has skipped or stopped: it is moved at once.
const STEP: i64 = 6_000_000;
const STEADY: usize = 5;
/// Buffers at the start of a stream whose latency is not yet known.
const UNSURE: u32 = 2;
/// Measurements closer together than this tell nothing new, in nanoseconds.
const APART: i64 = 15_000_000;

/// The line of one stream. All moments are nanoseconds of the engine's clock.
#[derive(Debug)]
pub struct Line {
    rate: i64,
    /// The moment of frame 0 as measured by the latest buffers.
    measured: [i64; WINDOW],
    count: usize,
    unsure: u32,
    last: Option<i64>,
    /// The moment of frame 0 that the score is played by.
    zero: Option<i64>,
}

impl Line {
    /// The line of a stream that has not begun, at so many frames a second.
    pub fn new(rate: u32) -> Line {
        let rate = i64::from(rate.max(1));
        Line { rate, measured: [0; WINDOW], count: 0, unsure: UNSURE, last: None, zero: None }
    }

    /// A line that is known and never moves: frame 0 is heard at moment 0.
    pub fn fixed(rate: u32) -> Line {
        Line { zero: Some(0), ..Line::new(rate) }
    }

    /// Notes that a frame will be heard at a moment.
    pub fn note(&mut self, frame: u64, heard: i64) {
        if self.unsure > 0 {
            self.unsure -= 1;
            return;
        }
        if self.last.is_some_and(|last| (heard - last).abs() < APART) {
            return;
        }
        self.last = Some(heard);
        self.measured[self.count % WINDOW] = heard - self.nanos(frame);
        self.count += 1;
        if self.zero.is_none() && self.count >= STEADY {
            self.zero = Some(self.median(STEADY));
        }
    }

    /// The moment of frame 0; None while too little has been measured.
    pub fn zero(&self) -> Option<i64> {
        self.zero
    }

    /// Where the moment of frame 0 should be moved to, if it should.
    pub fn strayed(&self) -> Option<i64> {
        let zero = self.zero?;
        if self.count < STEADY {
            return None;
        }
        let latest = self.median(STEADY);
        if (latest - zero).abs() > STEP {
            return Some(latest);
        }
        let steady = self.median(self.count.min(WINDOW));
        (self.count >= WINDOW && (steady - zero).abs() > DEAD_BAND).then_some(steady)
    }

    /// Moves it. After a step what was measured before says nothing any more.
    pub fn move_to(&mut self, zero: i64) {
        if self.zero.is_some_and(|old| (zero - old).abs() > STEP) {
            let latest: [i64; STEADY] = std::array::from_fn(|back| self.back(back));
            self.measured[..STEADY].copy_from_slice(&latest);
            self.count = STEADY;
        }
        self.zero = Some(zero);
    }

    /// The length of so many frames.
    pub fn nanos(&self, frames: u64) -> i64 {
        let nanos = i128::from(frames) * 1_000_000_000 / i128::from(self.rate);
        i64::try_from(nanos).unwrap_or(i64::MAX)
    }

    /// How many frames a length has, rounded.
    pub fn frames(&self, nanos: i64) -> i64 {
        let frames = (i128::from(nanos) * i128::from(self.rate) + 500_000_000).div_euclid(1_000_000_000);
        i64::try_from(frames).unwrap_or(i64::MAX)
    }

    /// The measurement so many back from the latest.
    fn back(&self, back: usize) -> i64 {
        self.measured[(self.count - 1 - back) % WINDOW]
    }

    /// The median of the latest so many.
    fn median(&self, of: usize) -> i64 {
        let mut latest = [0i64; WINDOW];
        for (back, slot) in latest[..of].iter_mut().enumerate() {
            *slot = self.back(back);
        }
        latest[..of].sort_unstable();
        latest[of / 2]
    }
}
