//! The line between a device's frames and the clock: when a frame is heard.
//!
//! The device counts frames at its own pace, tens of parts in a million off the clock, and stops counting when it
//! runs dry. The class follows the clock. So for each buffer it is noted when it was asked for, and how long from then
//! its first frame is said to take until it is heard. The first tells the pace: a buffer may be asked for late, on a
//! busy machine by tens of milliseconds, and never early, so the earliest of several is the truest. What the device says
//! of its delay comes from another thread and may be far off either way; it only tells where the line lies.
//!
//! Once laid, the line follows the device's drift where that stands out from the noise, and else stays: sound servers
//! change by some milliseconds when they ask, without a change in what is heard. It jumps only where the device has
//! jumped by more than they do, for good. The line is moved only where nothing sounds.

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
/// The line is moved by drift when it is off by more than this. In nanoseconds.
const DEAD_BAND: i64 = 500_000;
/// Drift counts when it is so many times what noise alone might show; more, while few buckets tell little of the noise.
const SURE: f64 = 6.0;
const SURE_OF_FEW: f64 = 240.0;
/// Between these lies what a device may drift; below is rounding, above is noise.
const LEAST_DRIFT: f64 = 1e-6;
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
    /// Where the line should lie by now, as far as drift has taken it, and until when it was followed there.
    followed: Option<(f64, i64)>,
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
            followed: None,
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
            let zero = self.newest();
            (self.zero, self.delay, self.settled) = (Some(zero), delay, delay);
            self.followed = Some((zero as f64, asked.at));
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
        let (followed, _) = self.followed?;
        if self.beyond.is_some_and(|(since, _)| self.now - since >= LASTING) {
            return Some(self.newest());
        }
        let drifted = followed as i64;
        ((drifted - zero).abs() > DEAD_BAND).then_some(drifted)
    }

    /// Moves it. After a step what was measured before says nothing any more.
    pub fn move_to(&mut self, heard: i64) {
        let zero = heard - self.settled;
        self.delay = self.settled;
        if self.zero.is_some_and(|old| (zero - old).abs() > STEP) {
            (self.filled, self.closed) = (0, 0);
            self.followed = Some((zero as f64, self.now));
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
        // Until there are enough, what drift there is counts from the beginning.
        if self.closed >= ENOUGH
            && let Some((zero, until)) = &mut self.followed
        {
            *zero += drift(&self.buckets[..self.closed]) * (now - *until) as f64;
            *until = now;
        }
    }
}

/// The drift that buckets show, as a fraction of the pace; 0 where it may be noise. The slope by medians (Theil and Sen): a
/// bucket that lies far off does not bend it.
fn drift(buckets: &[(i64, i64)]) -> f64 {
    let mut slopes = [0f64; BUCKETS * (BUCKETS - 1) / 2];
    let mut count = 0;
    for (at, later) in buckets.iter().enumerate() {
        for earlier in &buckets[..at] {
            slopes[count] = (later.1 - earlier.1) as f64 / (later.0 - earlier.0).max(1) as f64;
            count += 1;
        }
    }
    let slope = median(&mut slopes[..count]);
    let (from, until) = (buckets[0].0, buckets[buckets.len() - 1].0);
    let mut off = [0f64; BUCKETS];
    let off = &mut off[..buckets.len()];
    for (off, bucket) in off.iter_mut().zip(buckets) {
        *off = bucket.1 as f64 - slope * (bucket.0 - from) as f64;
    }
    let middle = median(off);
    off.iter_mut().for_each(|off| *off = (*off - middle).abs());
    // The standard error of a slope through points that lie evenly, with 1.48 medians of what they lie off for their
    // deviation.
    let error = 1.48 * median(off) * (12.0 / buckets.len() as f64).sqrt() / (until - from).max(1) as f64;
    let few = (buckets.len() - 2).max(1) as f64;
    let sure = SURE + SURE_OF_FEW / (few * few);
    let counts = (LEAST_DRIFT.max(sure * error)..MOST_DRIFT).contains(&slope.abs());
    if counts { slope } else { 0.0 }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values[values.len() / 2]
}
