//! Converts a recording from its sample rate to the rate of a device, sample by sample.

use std::f64::consts::PI;

/// A filter between two sample rates: a sinc with a Kaiser window, with one set of weights for each position that a
/// sample of the device can have between two samples of the recording. The filter has no state, so any frame can be
/// calculated by itself, and the first sample falls exactly on its frame.
#[derive(Debug, PartialEq)]
pub struct ResamplingKernel {
    /// The device's rate, divided by the greatest common divisor of both rates.
    to: u64,
    /// The recording's rate, divided by the same.
    from: u64,
    /// How many positions between two samples are distinguished.
    phases: u64,
    weights: Vec<[f32; TAPS]>,
}

/// How many samples of the recording make one sample of the device.
pub(super) const TAPS: usize = 32;
/// The most sets of weights in a table, for any two rates.
const MOST_PHASES: u64 = 1024;
/// The shape of the window: frequencies outside the band are lowered by at least 70 dB.
const BETA: f64 = 7.5;

impl ResamplingKernel {
    /// The filter from one rate to another, both in samples a second and above zero.
    pub fn new(from: u32, to: u32) -> ResamplingKernel {
        let divisor = common_divisor(from.max(1), to.max(1));
        let (from, to) = (u64::from(from.max(1) / divisor), u64::from(to.max(1) / divisor));
        let phases = to.min(MOST_PHASES);
        // The band ends a little below half of the lower of the two rates.
        let cutoff = 0.92 * (to as f64 / from as f64).min(1.0);
        let weights = (0..phases).map(|phase| weights(phase as f64 / phases as f64, cutoff)).collect();
        ResamplingKernel { to, from, phases, weights }
    }

    /// How many frames of the device a recording of this many samples takes.
    pub fn frames(&self, samples: usize) -> u64 {
        (samples as u64 * self.to).div_ceil(self.from)
    }

    /// What makes the device's frame `frame`: the index of the first sample of the recording, which may be negative,
    /// and the weights of the [`TAPS`] samples from there on.
    pub(super) fn weights(&self, frame: u64) -> (i64, &[f32; TAPS]) {
        let place = frame * self.from;
        let (index, rest) = ((place / self.to) as i64, place % self.to);
        (index - (TAPS as i64 / 2 - 1), &self.weights[(rest * self.phases / self.to) as usize])
    }

    /// The sample of a recording for the device's frame `frame`.
    pub fn at(&self, recording: &[i16], frame: u64) -> f32 {
        let (first, weights) = self.weights(frame);
        let mut sum = 0.0;
        if first >= 0 && first as usize + TAPS <= recording.len() {
            let window = &recording[first as usize..first as usize + TAPS];
            for (weight, &sample) in weights.iter().zip(window) {
                sum += weight * f32::from(sample);
            }
        } else {
            for (tap, weight) in weights.iter().enumerate() {
                let sample = usize::try_from(first + tap as i64).ok().and_then(|at| recording.get(at));
                sum += weight * f32::from(*sample.unwrap_or(&0));
            }
        }
        sum / 32768.0
    }
}

fn weights(phase: f64, cutoff: f64) -> [f32; TAPS] {
    let half = TAPS as f64 / 2.0;
    let raw: [f64; TAPS] = std::array::from_fn(|tap| {
        let x = tap as f64 - (half - 1.0) - phase;
        let sinc = if x == 0.0 { cutoff } else { (PI * cutoff * x).sin() / (PI * x) };
        let edge = 1.0 - (x / half).powi(2);
        sinc * if edge > 0.0 { bessel(BETA * edge.sqrt()) / bessel(BETA) } else { 0.0 }
    });
    let sum: f64 = raw.iter().sum();
    raw.map(|weight| (weight / sum) as f32)
}

/// The modified Bessel function of order 0, by its series.
fn bessel(x: f64) -> f64 {
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..40 {
        term *= (x / 2.0 / f64::from(k)).powi(2);
        sum += term;
    }
    sum
}

fn common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sine(rate: u32, pitch: f64, seconds: f64) -> Vec<i16> {
        let frames = (f64::from(rate) * seconds) as usize;
        (0..frames).map(|n| (16_000.0 * (2.0 * PI * pitch * n as f64 / f64::from(rate)).sin()) as i16).collect()
    }

    #[test]
    fn a_sine_comes_out_as_the_same_sine() {
        for (from, to) in [(16_000, 48_000), (22_050, 48_000), (16_000, 44_100), (48_000, 44_100), (22_051, 96_000)] {
            let recording = sine(from, 1000.0, 0.2);
            let kernel = ResamplingKernel::new(from, to);
            let frames = kernel.frames(recording.len());
            assert!(frames.abs_diff(u64::from(to) / 5) <= 4);
            let wanted = |n: u64| 16_000.0 / 32_768.0 * (2.0 * PI * 1000.0 * n as f64 / f64::from(to)).sin();
            let worst = (frames / 4..frames * 3 / 4)
                .map(|n| (f64::from(kernel.at(&recording, n)) - wanted(n)).abs())
                .fold(0.0, f64::max);
            assert!(worst < 1e-3, "{from} to {to}: off by {worst}");
        }
    }

    #[test]
    fn a_click_stays_on_its_frame() {
        let kernel = ResamplingKernel::new(16_000, 48_000);
        let mut recording = vec![0i16; 200];
        recording[100] = 20_000;
        let peak =
            (0..kernel.frames(200)).max_by(|&a, &b| kernel.at(&recording, a).total_cmp(&kernel.at(&recording, b)));
        assert_eq!(peak, Some(300));
    }
}
