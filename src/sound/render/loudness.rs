//! The loudness of a track, and the gain that corrects it. One gain applies to the whole track, so nothing is
//! distorted.

use ebur128::{EbuR128, Mode};

use super::{ClassTrack, ProgressCallback, RenderError, SoundFormat};
use crate::RenderedPiece;
use crate::loudness;

/// The loudness that a track is brought to, in LUFS, measured on its one channel by ITU-R BS.1770 and gated as in EBU R
/// 128. Every clip by itself has the same loudness. It is the upper end of the range from -20 to -16 LUFS that EBU R
/// 128 s2 gives for streaming to phones and laptops (from memory).
pub const TARGET: f64 = loudness::TARGET;

/// The highest true peak of a track, in dBTP (EBU R 128).
pub const CEILING: f64 = -1.0;

/// The measured loudness of a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loudness {
    /// Integrated, in LUFS.
    pub lufs: f64,
    /// True peak in dBTP.
    pub peak: f64,
}

/// The gain of a track, and the loudness that it gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelAdjustment {
    /// The gain, as a factor.
    pub gain: f32,
    /// The loudness with this gain.
    pub loudness: Loudness,
    /// Whether the peaks keep the track below [`TARGET`].
    pub limited_by_peaks: bool,
}

impl Loudness {
    /// The gain that brings a track to [`TARGET`], or as near as its peaks and the overshoot of the format allow.
    pub fn levelled(self, format: SoundFormat) -> LevelAdjustment {
        let wanted = TARGET - self.lufs;
        let most = CEILING - format.overshoot() - self.peak;
        let decibels = wanted.min(most);
        LevelAdjustment {
            gain: 10f64.powf(decibels / 20.0) as f32,
            loudness: Loudness { lufs: self.lufs + decibels, peak: self.peak + decibels },
            limited_by_peaks: most < wanted,
        }
    }
}

/// Measures a track. None if nothing sounds in it.
///
/// # Errors
/// When `watch` says to stop.
pub fn measure(track: &ClassTrack, watch: ProgressCallback) -> Result<Option<Loudness>, RenderError> {
    let Some(mut meter) = LoudnessMeter::new(track.rate) else { return Ok(None) };
    track.for_each_piece(watch, &mut |piece| {
        meter.take(piece);
        Ok(())
    })?;
    Ok(meter.loudness())
}

/// A meter that skips silence. The gate discards silent blocks anyway, so they are not measured once the filters have
/// decayed.
struct LoudnessMeter {
    meter: EbuR128,
    /// Frames between the beginnings of two blocks: 100 ms.
    step: u64,
    /// Silence of one step.
    nothing: Vec<f32>,
}

/// Steps of silence that are measured before the rest is skipped: a block of 400 ms, and the decay of the filters.
const RUN_OUT: u64 = 6;

impl LoudnessMeter {
    fn new(rate: u32) -> Option<LoudnessMeter> {
        // With the histogram the meter counts blocks in steps of 0.1 LU, so a long class takes no more memory.
        let meter = EbuR128::new(1, rate, Mode::I | Mode::TRUE_PEAK | Mode::HISTOGRAM).ok()?;
        let step = (u64::from(rate) + 5) / 10;
        Some(LoudnessMeter { meter, step, nothing: vec![0.0; step as usize] })
    }

    fn take(&mut self, piece: RenderedPiece) {
        match piece {
            RenderedPiece::Sound(samples) => self.feed(samples.len(), Some(samples)),
            RenderedPiece::Silence(frames) => {
                let run_out = frames.min(RUN_OUT * self.step);
                // Only whole steps are skipped, so that the blocks keep their positions.
                let measured = run_out + (frames - run_out) % self.step;
                for _ in 0..measured / self.step {
                    self.feed(self.nothing.len(), None);
                }
                self.feed((measured % self.step) as usize, None);
            }
        }
    }

    fn feed(&mut self, count: usize, samples: Option<&[f32]>) {
        let samples = samples.unwrap_or_else(|| &self.nothing[..count]);
        // On one channel every number of samples is a whole number of frames, so this cannot fail.
        let _ = self.meter.add_frames_f32(samples);
    }

    fn loudness(&self) -> Option<Loudness> {
        let lufs = self.meter.loudness_global().ok().filter(|lufs| lufs.is_finite())?;
        let peak = 20.0 * self.meter.true_peak(0).ok().filter(|peak| *peak > 0.0)?.log10();
        Some(Loudness { lufs, peak })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn skipped_silence_does_not_change_the_loudness() {
        let tone = |frames: usize| -> Vec<f32> {
            (0..frames).map(|n| 0.4 * (n as f32 * 997.0 * std::f32::consts::TAU / 48_000.0).sin()).collect()
        };
        let parts = [(700, 1_001), (9_000, 480_003), (31_234, 95_999), (200, 4_800_000), (12_345, 30)];
        let (mut passing, mut plain) = (LoudnessMeter::new(48_000).unwrap(), LoudnessMeter::new(48_000).unwrap());
        for (sound, silence) in parts {
            let tone = tone(sound);
            passing.take(RenderedPiece::Sound(&tone));
            passing.take(RenderedPiece::Silence(silence));
            plain.take(RenderedPiece::Sound(&tone));
            plain.take(RenderedPiece::Sound(&vec![0.0; silence as usize]));
        }
        assert_eq!(passing.loudness().unwrap(), plain.loudness().unwrap());
    }

    #[test]
    fn peaks_limit_the_gain() {
        let loud = Loudness { lufs: -20.0, peak: -9.0 }.levelled(SoundFormat::Wav);
        assert!(!loud.limited_by_peaks && (loud.loudness.lufs - TARGET).abs() < 1e-9 && loud.loudness.peak < CEILING);
        let held = Loudness { lufs: -20.0, peak: -2.0 }.levelled(SoundFormat::Wav);
        assert!(held.limited_by_peaks && held.loudness.lufs < TARGET && held.loudness.peak <= CEILING);
        assert!(Loudness { lufs: -10.0, peak: -2.0 }.levelled(SoundFormat::Wav).gain < 0.51);
    }
}
