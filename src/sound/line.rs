//! The line between a device's frames and the clock: when a frame is heard.
//!
//! The device counts frames at its own pace, tens of parts in a million off the clock, and stops counting when it
//! runs dry. The class follows the clock. So for each buffer it is noted when it was asked for, and how long from then
//! its first frame is said to take until it is heard. The first tells the pace: a buffer may be asked for late, on a
//! busy machine by tens of milliseconds, and never early, so the earliest of several is the truest. What the device says
//! of its delay comes from another thread and may be far off either way; it only tells where the line lies, and moves it
//! when it has changed for good. The line is moved only where nothing sounds.

/// When a buffer was asked for. Both are nanoseconds, the moment by the engine's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    pub at: i64,
    /// How long from then its first frame is said to take until it is heard.
    pub delay: i64,
}

/// The line begins at the truest of so many measurements.
const STEADY: usize = 5;
/// The delay is the median of so many.
const DELAYS: usize = 32;
/// Off by more than this for [`LASTING`], the device has stopped or skipped: the line is moved at once. In nanoseconds.
const STEP: i64 = 12_000_000;
/// A busy machine asks late for less than this without a break. In nanoseconds.
const LASTING: i64 = 1_500_000_000;
/// Drift shows in the earliest of buckets this long, so many of them, in nanoseconds.
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
const UNSURE: u32 = 6;

/// The line of one stream. All moments are nanoseconds of the engine's clock.
#[derive(Debug)]
pub struct Line {
    rate: i64,
    unsure: u32,
    /// When frame 0 was asked for, as the latest buffers tell it.
    latest: [i64; STEADY],
    count: usize,
    /// The measurements of the bucket that is open.
    open: [i64; IN_BUCKET],
    filled: usize,
    opened: i64,
    /// Middle and earliest of the closed buckets, the oldest first.
    buckets: [(i64, i64); BUCKETS],
    closed: usize,
    drift: Option<Drift>,
    now: i64,
    /// Since when every measurement lies beyond a step, and whether later.
    beyond: Option<(i64, bool)>,
    /// When frame 0 was asked for, by which the score is played.
    zero: Option<i64>,
    /// The latest delays, and the one by which the score is played.
    delays: [i64; DELAYS],
    delay: i64,
    /// What the delay should be.
    settled: i64,
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
            beyond: None,
            zero: None,
            delays: [0; DELAYS],
            delay: 0,
            settled: 0,
        }
    }

    /// A line that is known and never moves: frame 0 is heard at moment 0.
    pub fn fixed(rate: u32) -> Line {
        Line { zero: Some(0), ..Line::new(rate) }
    }

    /// Notes when the buffer that begins with a frame was asked for.
    pub fn note(&mut self, frame: u64, asked: Asked) {
        if self.unsure > 0 {
            self.unsure -= 1;
            return;
        }
        let measured = asked.at - self.nanos(frame);
        self.now = asked.at;
        self.latest[self.count % STEADY] = measured;
        self.delays[self.count % DELAYS] = asked.delay;
        self.count += 1;
        let delay = self.middle_delay();
        if self.count == STEADY && self.zero.is_none() {
            (self.zero, self.delay, self.settled) = (Some(self.newest()), delay, delay);
        }
        if self.count >= DELAYS && (delay - self.delay).abs() > STEP {
            self.settled = delay;
        }
        self.beyond = match (self.zero.map(|zero| measured - zero), self.beyond) {
            (Some(off), Some((since, later))) if off.abs() > STEP && later == (off > 0) => Some((since, later)),
            (Some(off), _) if off.abs() > STEP => Some((asked.at, off > 0)),
            _ => None,
        };
        if self.filled == 0 {
            self.opened = asked.at;
        }
        if self.filled < IN_BUCKET {
            self.open[self.filled] = measured;
            self.filled += 1;
        }
        if asked.at - self.opened >= BUCKET {
            self.close(asked.at);
        }
    }

    /// The moment at which frame 0 is heard; None while too little has been measured.
    pub fn zero(&self) -> Option<i64> {
        self.zero.map(|zero| zero + self.delay)
    }

    /// Where the moment of frame 0 should be moved to, if it should.
    pub fn strayed(&self) -> Option<i64> {
        let zero = self.zero?;
        let moved = self.moved(zero);
        (moved.is_some() || self.settled != self.delay).then(|| moved.unwrap_or(zero) + self.settled)
    }

    /// When frame 0 was asked for, as it shows by now, if that is another moment.
    fn moved(&self, zero: i64) -> Option<i64> {
        if self.count < STEADY {
            return None;
        }
        let newest = self.newest();
        if self.beyond.is_some_and(|(since, _)| self.now - since >= LASTING) {
            return Some(newest);
        }
        let Some(drift) = self.drift else {
            // Nothing is known of drift yet, but an earlier moment is a truer one.
            return (newest < zero - DEAD_BAND).then_some(newest);
        };
        let target = (drift.at_from + drift.slope * (self.now - drift.from) as f64) as i64;
        let band = DEAD_BAND.max((SURE * drift.noise) as i64);
        ((target - zero).abs() > band && (target - zero).abs() <= STEP).then_some(target)
    }

    /// Moves it. After a step what was measured before says nothing any more.
    pub fn move_to(&mut self, heard: i64) {
        let zero = heard - self.settled;
        self.delay = self.settled;
        if self.zero.is_some_and(|old| (zero - old).abs() > STEP) {
            (self.filled, self.closed, self.drift) = (0, 0, None);
        }
        self.beyond = None;
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
        self.latest.iter().copied().min().unwrap_or(0)
    }

    fn middle_delay(&self) -> i64 {
        let mut delays = self.delays;
        let delays = &mut delays[..self.count.min(DELAYS)];
        delays.sort_unstable();
        delays[delays.len() / 2]
    }

    fn close(&mut self, now: i64) {
        let earliest = self.open[..self.filled].iter().copied().min().unwrap_or(0);
        let bucket = (self.opened + (now - self.opened) / 2, earliest);
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
        let middle = median(level);
        // Of the buckets, too, the early are the truest.
        let at_from = level[level.len() / 8];
        level.iter_mut().for_each(|level| *level = (*level - middle).abs());
        Drift { from, at_from, slope, noise: median(level) }
    }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values[values.len() / 2]
}
