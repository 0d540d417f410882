//! Converts music from the rate of its file to the rate of the device, piece by piece.

use std::collections::VecDeque;

use super::StereoFrame;
use crate::ResamplingKernel;
use crate::kernel::TAPS;

/// Converts frames and adds nothing before or after them, so that two files of the same rate join as if they were one.
#[derive(Debug)]
pub(super) struct Resampler {
    from: u32,
    to: u32,
    kernel: ResamplingKernel,
    /// Frames of the file that are still needed. Before its start a file counts as silent.
    needed: VecDeque<StereoFrame>,
    /// The index of the first of them in the file.
    first: i64,
    /// The frame of the device that is made next.
    next: u64,
    made: VecDeque<StereoFrame>,
}

impl Resampler {
    pub(super) fn new(from: u32, to: u32) -> Resampler {
        let before = TAPS as i64 / 2 - 1;
        let needed = (0..before).map(|_| [0.0; 2]).collect();
        Resampler {
            from,
            to,
            kernel: ResamplingKernel::new(from, to),
            needed,
            first: -before,
            next: 0,
            made: VecDeque::new(),
        }
    }

    /// Takes the next frames of a file with this rate. If the rate changes, the file before is finished first.
    pub(super) fn put(&mut self, rate: u32, frames: impl Iterator<Item = StereoFrame>) {
        if rate != self.from {
            self.finish();
            let made = std::mem::take(&mut self.made);
            *self = Resampler { made, ..Resampler::new(rate, self.to) };
        }
        if self.from == self.to {
            self.made.extend(frames);
            return;
        }
        self.needed.extend(frames);
        self.make();
    }

    /// Moves finished frames to `out`, as many as there are and fit, and returns their number.
    pub(super) fn take(&mut self, out: &mut [StereoFrame]) -> usize {
        let count = out.len().min(self.made.len());
        for (out, made) in out.iter_mut().zip(self.made.drain(..count)) {
            *out = made;
        }
        count
    }

    /// Converts what is left. After its end a file counts as silent.
    fn finish(&mut self) {
        if self.from != self.to {
            self.needed.extend([[0.0; 2]; TAPS / 2]);
            self.make();
        }
    }

    fn make(&mut self) {
        loop {
            let (first, weights) = self.kernel.weights(self.next);
            let skip = (first - self.first) as usize;
            self.needed.drain(..skip.min(self.needed.len()));
            self.first += skip as i64;
            if self.needed.len() < TAPS {
                return;
            }
            let mut sum = [0.0; 2];
            for (weight, frame) in weights.iter().zip(&self.needed) {
                sum[0] += weight * frame[0];
                sum[1] += weight * frame[1];
            }
            self.made.push_back(sum);
            self.next += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_result_is_the_same_in_any_pieces() {
        for (from, to) in [(44_100, 48_000), (48_000, 44_100), (96_000, 48_000), (22_050, 96_000), (48_000, 48_000)] {
            let wave: Vec<StereoFrame> = (0..20_000)
                .map(|n| {
                    let t = std::f64::consts::TAU * n as f64 / f64::from(from);
                    [(700.0 * t).sin() as f32 / 2.0, (1_100.0 * t).cos() as f32 / 3.0]
                })
                .collect();
            let in_pieces = |size: usize| -> Vec<StereoFrame> {
                let mut resampler = Resampler::new(from, to);
                let mut out = vec![[0.0; 2]; 100_000];
                let mut filled = 0;
                for piece in wave.chunks(size) {
                    resampler.put(from, piece.iter().copied());
                    filled += resampler.take(&mut out[filled..]);
                }
                out.truncate(filled);
                out
            };
            let whole = in_pieces(20_000);
            assert_eq!(whole, in_pieces(1), "{from} to {to}");
            assert_eq!(whole, in_pieces(777));
            // Compared with the sines themselves, at the device's rate.
            for (n, frame) in whole.iter().enumerate().skip(200).take(whole.len() - 400) {
                let t = std::f64::consts::TAU * n as f64 / f64::from(to);
                let wanted = [(700.0 * t).sin() / 2.0, (1_100.0 * t).cos() / 3.0];
                assert!(
                    (f64::from(frame[0]) - wanted[0]).abs() < 1e-3 && (f64::from(frame[1]) - wanted[1]).abs() < 1e-3
                );
            }
        }
    }
}
