//! The frame clock: maps the frames of a device to the computer's clock, and so tells when a frame is heard.
//!
//! A device counts frames at its own rate, which differs from the clock by tens of parts per million. It stops counting
//! when it runs out of frames. The class follows the clock. So two values are noted for each buffer: when the device
//! asked for it, and how long after that its first frame will be heard, as the device reports it.
//!
//! The times of the requests give the rate. A request may be late, on a busy computer by tens of milliseconds, but
//! never early, so the earliest of several requests is the most accurate. The reported delay comes from another thread
//! and may be far too high or too low, so it only sets the offset of the frame clock.
//!
//! Once set, the frame clock follows the drift of the device if the drift is clearly larger than the noise. Otherwise
//! it stays: sound servers shift their requests by some milliseconds without a change in what is heard. The frame clock
//! jumps only if the device has jumped by more than [`STEP`] for longer than [`LASTING`]. It is moved only while
//! nothing sounds.

/// When a device asked for a buffer, and the delay it reported. Both are in nanoseconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BufferRequest {
    /// The moment of the request, by the engine's clock.
    pub at: i64,
    /// How long after `at` the first frame of the buffer will be heard, as the device reports it.
    pub delay: i64,
}

/// The frame clock starts at the earliest of this many measurements.
const STEADY: usize = 5;
/// The delay is the median of this many reported delays.
const DELAYS: usize = 32;
/// A device that is off by more than this for [`LASTING`] has stopped or skipped: the frame clock is moved at once. In
/// nanoseconds.
const STEP: i64 = 12_000_000;
/// A busy computer is late for a shorter time than this without a break. In nanoseconds.
const LASTING: i64 = 1_500_000_000;
/// Drift is measured from the earliest request in each bucket of this length. In nanoseconds.
const BUCKET: i64 = 1_000_000_000;
/// The most buckets that are kept.
const BUCKETS: usize = 16;
/// The fewest buckets from which drift is measured.
const ENOUGH: usize = 3;
/// The most measurements in a bucket. Further ones are ignored.
const IN_BUCKET: usize = 64;
/// Drift moves the frame clock only if it is off by more than this. In nanoseconds.
const DEAD_BAND: i64 = 500_000;
/// Drift counts if it is more than this many times its standard error.
const SURE: f64 = 6.0;
/// While there are few buckets the error itself is uncertain: this divided by (buckets - 2) squared is added to
/// [`SURE`].
const SURE_OF_FEW: f64 = 240.0;
/// The smallest drift of a device, as a fraction. Smaller values are rounding errors.
const LEAST_DRIFT: f64 = 1e-6;
/// The largest drift of a device, as a fraction. Larger values are noise.
const MOST_DRIFT: f64 = 500e-6;
/// How many buffers at the start of a stream are not measured, because their latency is not known yet.
const UNSURE: u32 = 6;

/// The frame clock of one stream. All moments are nanoseconds of the engine's clock.
#[derive(Debug)]
pub struct FrameClock {
    rate: i64,
    unsure: u32,
    /// When frame 0 was asked for, calculated from each of the latest buffers.
    latest: [i64; STEADY],
    count: usize,
    /// The measurements of the current bucket.
    open: [i64; IN_BUCKET],
    filled: usize,
    opened: i64,
    /// The middle moment and the earliest measurement of each finished bucket, oldest first.
    buckets: [(i64, i64); BUCKETS],
    closed: usize,
    /// The moment at which frame 0 should be heard by the measured drift, and the moment up to which drift has been
    /// added.
    followed: Option<(f64, i64)>,
    now: i64,
    /// Since when every measurement has been off by more than [`STEP`], and whether they are late.
    beyond: Option<(i64, bool)>,
    /// When frame 0 was asked for. The score is played by this value.
    zero: Option<i64>,
    /// The latest reported delays.
    delays: [i64; DELAYS],
    /// The delay by which the score is played.
    delay: i64,
    /// The delay that the next move sets.
    settled: i64,
}

impl FrameClock {
    /// The frame clock of a stream that has not started. `rate`: frames a second.
    pub fn new(rate: u32) -> FrameClock {
        FrameClock {
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

    /// A frame clock that never moves: frame 0 is heard at moment 0.
    pub fn fixed(rate: u32) -> FrameClock {
        FrameClock { zero: Some(0), ..FrameClock::new(rate) }
    }

    /// Notes when the buffer that starts with `frame` was asked for.
    pub fn record_buffer(&mut self, frame: u64, asked: BufferRequest) {
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

    /// The moment at which frame 0 is heard. None while too little has been measured.
    pub fn zero(&self) -> Option<i64> {
        self.zero.map(|zero| zero + self.delay)
    }

    /// The moment to which frame 0 should be moved. None if it should stay.
    pub fn correction(&self) -> Option<i64> {
        let zero = self.zero?;
        let moved = self.moved(zero);
        (moved.is_some() || self.settled != self.delay).then(|| moved.unwrap_or(zero) + self.settled)
    }

    /// When frame 0 was asked for by the latest measurements. None if `zero` should stay.
    fn moved(&self, zero: i64) -> Option<i64> {
        let (followed, _) = self.followed?;
        if self.beyond.is_some_and(|(since, _)| self.now - since >= LASTING) {
            return Some(self.newest());
        }
        let drifted = followed as i64;
        ((drifted - zero).abs() > DEAD_BAND).then_some(drifted)
    }

    /// Moves the frame clock, so that frame 0 is heard at `heard`. After a step all earlier measurements are discarded.
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

    /// The length of this many frames, in nanoseconds.
    pub fn nanos(&self, frames: u64) -> i64 {
        let nanos = i128::from(frames) * 1_000_000_000 / i128::from(self.rate);
        i64::try_from(nanos).unwrap_or(i64::MAX)
    }

    /// How many frames a length in nanoseconds has, rounded.
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
        // `until` stays while there are too few buckets, so the first drift is added from the start of the frame clock.
        if self.closed >= ENOUGH
            && let Some((zero, until)) = &mut self.followed
        {
            *zero += drift(&self.buckets[..self.closed]) * (now - *until) as f64;
            *until = now;
        }
    }
}

/// The drift that the buckets show, as a fraction; 0 if it may be noise. The slope is the median of all pairs
/// (Theil-Sen), so that a single bucket far off does not change it.
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
    // The standard error of a slope through evenly spaced points. Their standard deviation is estimated as 1.48 times
    // the median of their absolute deviations.
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
