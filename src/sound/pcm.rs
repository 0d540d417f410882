//! PCM: one short recording, as a voice gives it and as the score plays it.

use std::sync::Arc;
use std::time::Duration;

use super::loudness;

/// One clip of sound: mono, trimmed, at the program's loudness.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pcm {
    /// Samples a second, [`Pcm::LOWEST_RATE`] to [`Pcm::HIGHEST_RATE`].
    pub rate: u32,
    /// Never empty. 16 bits save memory, because a class has hundreds of clips.
    pub samples: Arc<[i16]>,
}

impl Pcm {
    /// The lowest sample rate that is accepted, in Hz.
    pub const LOWEST_RATE: u32 = 8_000;
    /// The highest sample rate that is accepted, in Hz.
    pub const HIGHEST_RATE: u32 = 192_000;
    /// The longest clip that is accepted.
    pub const LONGEST: Duration = Duration::from_secs(60);
    /// Sound quieter than this is cut off at both ends: -50 dBFS.
    pub const SILENCE: f32 = 0.003_162;

    /// A clip from raw mono samples, trimmed at [`Pcm::SILENCE`] and brought to [`loudness::TARGET`]. None if nothing
    /// is left, or if the rate or the length is out of range.
    pub fn levelled(rate: u32, mut samples: Vec<f32>) -> Option<Pcm> {
        if !(Pcm::LOWEST_RATE..=Pcm::HIGHEST_RATE).contains(&rate) {
            return None;
        }
        let first = samples.iter().position(|sample| sample.abs() > Pcm::SILENCE)?;
        let last = samples.iter().rposition(|sample| sample.abs() > Pcm::SILENCE)?;
        samples.truncate(last + 1);
        samples.drain(..first);
        if samples.len() as u64 > u64::from(rate) * Pcm::LONGEST.as_secs() {
            return None;
        }
        loudness::level(rate, &mut samples)?;
        Pcm::from_samples(rate, samples.iter().map(|sample| (sample * 32767.0).round() as i16).collect())
    }

    /// A clip from samples that are already levelled, such as those of the cache. None if there are none, or if the
    /// rate or the length is out of range.
    pub fn from_samples(rate: u32, samples: Vec<i16>) -> Option<Pcm> {
        let longest = u64::from(rate) * Pcm::LONGEST.as_secs();
        let fits = (Pcm::LOWEST_RATE..=Pcm::HIGHEST_RATE).contains(&rate) && samples.len() as u64 <= longest;
        (fits && !samples.is_empty()).then(|| Pcm { rate, samples: samples.into() })
    }

    /// The length of the clip.
    pub fn length(&self) -> Duration {
        Duration::from_secs_f64(self.samples.len() as f64 / f64::from(self.rate))
    }
}
