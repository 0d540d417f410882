//! The line between a device's frames and the clock: when a frame is heard.
//!
//! The device counts frames at its own pace, tens of parts in a million off the clock, and stops counting when it
//! runs dry. The class follows the clock. So for each buffer the moment at which its first frame will be heard is
//! measured, and the line is moved when it has strayed; it is moved only where nothing sounds.

/// Measured moments are noisy: callbacks wake late by tens of milliseconds and latencies come from another thread.
/// The median of so many in a row tells a step.
const STEADY: usize = 5;
/// Off by more than this, the device has stopped or skipped: the line is moved at once. In nanoseconds.
const STEP: i64 = 12_000_000;
/// Drift shows in the medians of buckets this long, so many of them, in nanoseconds.
const BUCKET: i64 = 1_000_000_000;
const BUCKETS: usize = 16;
/// Fewer buckets show no drift.
const ENOUGH: usize = 3;
/// Measurements in a bucket; more are left out.
const IN_BUCKET: usize = 64;
/// The line is moved by drift when it is off by more than this, or by more than [`SURE`] times what buckets usually
/// lie off a straight line. In nanoseconds.
const DEAD_BAND: i64 = 500_000;
const SURE: f64 = 6.0;
/// No device drifts more than this; what looks like it is noise.
const MOST_DRIFT: f64 = 500e-6;
/// Buffers at the start of a stream whose latency is not yet known.
const UNSURE: u32 = 2;

/// The line of one stream. All moments are nanoseconds of the engine's clock.
#[derive(Debug)]
pub struct Line {
    rate: i64,
    unsure: u32,
    /// The moment of frame 0 as the latest buffers tell it.
    latest: [i64; STEADY],
    count: usize,
    /// The measurements of the bucket that is open.
    open: [i64; IN_BUCKET],
    filled: usize,
    opened: i64,
    /// Middle and median of the closed buckets, the oldest first.
    buckets: [(i64, i64); BUCKETS],
    closed: usize,
    drift: Option<Drift>,
    now: i64,
    /// The moment of frame 0 that the score is played by.
    zero: Option<i64>,
}

/// The straight line through the buckets.
#[derive(Clone, Copy, Debug)]
struct Drift {
    from: i64,
    at_from: f64,
    slope: f64,
    /// What buckets usually lie off it.
    noise: f64,
}

impl Line {
    /// The line of a stream that has not begun, at so many frames a second.
    pub fn new(rate: u32) -> Line {
        Line {
            rate: i64::from(rate.max(1)),
            unsure: UNSURE,
            latest: [0; STEADY],
            count: 0,
            open: [0; IN_BUCKET],
            filled: 0,
            opened: 0,
            buckets: [(0, 0); BUCKETS],
            closed: 0,
            drift: None,
            now: 0,
            zero: None,
        }
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
        let measured = heard - self.nanos(frame);
        self.now = heard;
        self.latest[self.count % STEADY] = measured;
        self.count += 1;
        if self.count == STEADY && self.zero.is_none() {
            self.zero = Some(self.newest());
        }
        if self.filled == 0 {
            self.opened = heard;
        }
        if self.filled < IN_BUCKET {
            self.open[self.filled] = measured;
            self.filled += 1;
        }
        if heard - self.opened >= BUCKET {
            self.close(heard);
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
        let newest = self.newest();
        if (newest - zero).abs() > STEP {
            return Some(newest);
        }
        let drift = self.drift?;
        let target = (drift.at_from + drift.slope * (self.now - drift.from) as f64) as i64;
        let band = DEAD_BAND.max((SURE * drift.noise) as i64);
        ((target - zero).abs() > band && (target - zero).abs() <= STEP).then_some(target)
    }

    /// Moves it. After a step what was measured before says nothing any more.
    pub fn move_to(&mut self, zero: i64) {
        if self.zero.is_some_and(|old| (zero - old).abs() > STEP) {
            (self.filled, self.closed, self.drift) = (0, 0, None);
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

    fn newest(&self) -> i64 {
        let mut latest = self.latest;
        latest.sort_unstable();
        latest[STEADY / 2]
    }

    fn close(&mut self, now: i64) {
        self.open[..self.filled].sort_unstable();
        let bucket = (self.opened + (now - self.opened) / 2, self.open[self.filled / 2]);
        self.filled = 0;
        if self.closed == BUCKETS {
            self.buckets.rotate_left(1);
            self.closed -= 1;
        }
        self.buckets[self.closed] = bucket;
        self.closed += 1;
        if self.closed >= ENOUGH {
            self.drift = Some(Drift::through(&self.buckets[..self.closed]));
        }
    }
}

impl Drift {
    /// The line by medians (Theil and Sen): a bucket that lies far off does not bend it.
    fn through(buckets: &[(i64, i64)]) -> Drift {
        let mut slopes = [0f64; BUCKETS * (BUCKETS - 1) / 2];
        let mut count = 0;
        for (at, later) in buckets.iter().enumerate() {
            for earlier in &buckets[..at] {
                slopes[count] = (later.1 - earlier.1) as f64 / (later.0 - earlier.0).max(1) as f64;
                count += 1;
            }
        }
        let slope = median(&mut slopes[..count]).clamp(-MOST_DRIFT, MOST_DRIFT);
        let from = buckets[0].0;
        let mut level = [0f64; BUCKETS];
        let level = &mut level[..buckets.len()];
        for (level, bucket) in level.iter_mut().zip(buckets) {
            *level = (bucket.1 as f64) - slope * (bucket.0 - from) as f64;
        }
        let at_from = median(level);
        level.iter_mut().for_each(|level| *level = (*level - at_from).abs());
        Drift { from, at_from, slope, noise: median(level) }
    }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values[values.len() / 2]
}
