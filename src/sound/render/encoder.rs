//! The formats, and what their encoders have in common.

use std::io::{self, Write};

use super::ClassTrack;
use super::flac::FlacEncoder;
use super::opus::{self, OggOpusEncoder};
use super::wav::{self, WavEncoder};

/// A format of a sound file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SoundFormat {
    /// 16 bits, with a cue point for every span.
    Wav,
    /// The same samples in a smaller file, with a chapter for every block.
    Flac,
    /// Opus in Ogg: the smallest file, with a chapter for every block.
    Opus,
}

/// Why a track cannot be written in a format.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FormatError {
    #[error("it would be over 4 GB, the limit of WAV: choose flac or opus, or a lower rate")]
    TooLong,
    #[error("Opus has only the rates 8000, 12000, 16000, 24000 and 48000")]
    Rate,
}

/// Takes all samples of a track in order and writes them. [`TrackEncoder::finish`] has to be called last.
pub(super) trait TrackEncoder {
    /// The next samples.
    fn write_samples(&mut self, samples: &[f32]) -> io::Result<()>;

    /// This many silent samples.
    fn write_silence(&mut self, mut frames: u64) -> io::Result<()> {
        const NOTHING: [f32; 4096] = [0.0; 4096];
        while frames > 0 {
            let count = frames.min(NOTHING.len() as u64);
            self.write_samples(&NOTHING[..count as usize])?;
            frames -= count;
        }
        Ok(())
    }

    /// Writes what is left.
    fn finish(self: Box<Self>) -> io::Result<()>;
}

impl SoundFormat {
    /// Checks that a track can be written in this format.
    ///
    /// # Errors
    /// When it cannot: the reason.
    pub fn fits(self, track: &ClassTrack) -> Result<(), FormatError> {
        match self {
            SoundFormat::Wav if wav::size(track).is_none() => Err(FormatError::TooLong),
            SoundFormat::Opus if !opus::RATES.contains(&track.rate) => Err(FormatError::Rate),
            _ => Ok(()),
        }
    }

    /// How far the decoded peaks may exceed the original ones, in dB. A lossy encoder changes the peaks.
    pub fn overshoot(self) -> f64 {
        match self {
            // The error of a meter when the true peak is between the points that it measures.
            SoundFormat::Wav | SoundFormat::Flac => 0.1,
            SoundFormat::Opus => opus::OVERSHOOT,
        }
    }

    pub(super) fn encoder<'a>(
        self,
        track: &ClassTrack,
        out: &'a mut dyn Write,
    ) -> io::Result<Box<dyn TrackEncoder + 'a>> {
        Ok(match self {
            SoundFormat::Wav => Box::new(WavEncoder::new(track, out)?),
            SoundFormat::Flac => Box::new(FlacEncoder::new(track, out)?),
            SoundFormat::Opus => Box::new(OggOpusEncoder::new(track, out)?),
        })
    }
}

/// A sample as 16 bits. [`CEILING`](super::CEILING) keeps it in range. A value outside becomes the nearest limit.
pub(super) fn sixteen_bits(sample: f32) -> i16 {
    (sample * 32768.0).round() as i16
}
