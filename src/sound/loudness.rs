//! Loudness: everything that the program plays is brought to the same loudness.
//!
//! The loudness of a clip is that of ITU-R BS.1770, gated as in EBU R 128, for the clip played on one channel. The gate
//! works on blocks of 400 ms, and many calls ("ten") are shorter. So a clip is measured as if it were repeated without
//! a gap for at least 3 s. That gives a short clip a loudness, and hardly changes the value of a long one.

use ebur128::{EbuR128, Mode};

/// The loudness that every clip is brought to, in LUFS. It is louder than the -23 LUFS of a broadcast, because the
/// speaker of a laptop has to be heard in a room full of people at work.
pub const TARGET: f64 = -16.0;

/// The largest absolute value of a sample, as a factor of full scale: -3 dBFS.
pub const CEILING: f32 = 0.708;

/// The factor for the less important of two sounds at the same time: -15 dB. With this margin over other sound a signal
/// is surely noticed (FAA Human Factors Design Standard).
pub const UNDER: f32 = 0.177_8;

/// Below this a clip counts as silent, in LUFS.
const FAINTEST: f64 = -60.0;

/// The loudness of mono samples, in LUFS. None for silence.
pub fn measure(rate: u32, samples: &[f32]) -> Option<f64> {
    let mut meter = EbuR128::new(1, rate, Mode::I).ok()?;
    let enough = 3 * rate as usize;
    let mut fed = 0;
    while fed < enough && !samples.is_empty() {
        meter.add_frames_f32(samples).ok()?;
        fed += samples.len();
    }
    meter.loudness_global().ok().filter(|lufs| *lufs > FAINTEST)
}

/// Brings mono samples to [`TARGET`] with no sample over [`CEILING`]. None for silence.
pub fn level(rate: u32, samples: &mut [f32]) -> Option<()> {
    // Limiting lowers the loudness a little, so the gain is corrected, four times at most.
    for _ in 0..4 {
        let short = TARGET - measure(rate, samples)?;
        let gain = 10f64.powf(short / 20.0) as f32;
        samples.iter_mut().for_each(|sample| *sample *= gain);
        if !limit(rate, samples) {
            break;
        }
    }
    Some(())
}

/// Lowers peaks over the ceiling, with a gain that changes smoothly over 5 ms. True if there were any.
fn limit(rate: u32, samples: &mut [f32]) -> bool {
    if samples.iter().all(|sample| sample.abs() <= CEILING) {
        return false;
    }
    let reach = (rate / 200).max(1) as usize;
    let needed: Vec<f32> = samples.iter().map(|sample| (CEILING / sample.abs().max(1e-9)).min(1.0)).collect();
    // The lowest gain needed within `reach`, then its mean over `reach`: the mean is never higher than a peak needs.
    let lowest = windowed_lowest(&needed, reach);
    let mut sum: f64 = lowest.iter().take(reach).map(|&gain| f64::from(gain)).sum();
    let mut count = reach.min(lowest.len());
    for (at, sample) in samples.iter_mut().enumerate() {
        if let Some(&entering) = lowest.get(at + reach) {
            sum += f64::from(entering);
            count += 1;
        }
        if at > reach {
            sum -= f64::from(lowest[at - reach - 1]);
            count -= 1;
        }
        *sample = (*sample * (sum / count as f64) as f32).clamp(-CEILING, CEILING);
    }
    true
}

/// For each index, the lowest value at most `reach` indices away.
fn windowed_lowest(values: &[f32], reach: usize) -> Vec<f32> {
    let mut queue = std::collections::VecDeque::new();
    let mut lowest = Vec::with_capacity(values.len());
    let mut entering = 0;
    for at in 0..values.len() {
        while entering < values.len() && entering <= at + reach {
            while queue.back().is_some_and(|&back: &usize| values[back] >= values[entering]) {
                queue.pop_back();
            }
            queue.push_back(entering);
            entering += 1;
        }
        while queue.front().is_some_and(|&front| front + reach < at) {
            queue.pop_front();
        }
        lowest.push(values[queue[0]]);
    }
    lowest
}
