//! The formats, and what their encoders have in common.

use std::io::{self, Write};

use super::Track;
use super::flac::Flac;
use super::opus::{self, Opus};
use super::wav::{self, Wav};

/// A format of a sound file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// 16 bits, with a cue point for every span.
    Wav,
    /// The same samples in a smaller file, with a chapter for every block.
    Flac,
    /// Opus in Ogg: the smallest file, with a chapter for every block.
    Opus,
}

/// Why a track cannot be written in a format.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    #[error("it would be over 4 GB, the limit of WAV: choose flac or opus, or a lower rate")]
    TooLong,
    #[error("Opus has only the rates 8000, 12000, 16000, 24000 and 48000")]
    Rate,
}

/// Takes all samples of a track in order and writes them. [`Encoder::finish`] has to be called last.
pub(super) trait Encoder {
    /// The next samples.
    fn sound(&mut self, samples: &[f32]) -> io::Result<()>;

    /// This many silent samples.
    fn silence(&mut self, mut frames: u64) -> io::Result<()> {
        const NOTHING: [f32; 4096] = [0.0; 4096];
        while frames > 0 {
            let count = frames.min(NOTHING.len() as u64);
            self.sound(&NOTHING[..count as usize])?;
            frames -= count;
        }
        Ok(())
    }

    /// Writes what is left.
    fn finish(self: Box<Self>) -> io::Result<()>;
}

impl Format {
    /// Checks that a track can be written in this format.
    ///
    /// # Errors
    /// When it cannot: the reason.
    pub fn fits(self, track: &Track) -> Result<(), Unfit> {
        match self {
            Format::Wav if wav::size(track).is_none() => Err(Unfit::TooLong),
            Format::Opus if !opus::RATES.contains(&track.rate) => Err(Unfit::Rate),
            _ => Ok(()),
        }
    }

    /// How far the decoded peaks may exceed the original ones, in dB. A lossy encoder changes the peaks.
    pub fn overshoot(self) -> f64 {
        match self {
            // The error of a meter when the true peak is between the points that it measures.
            Format::Wav | Format::Flac => 0.1,
            Format::Opus => opus::OVERSHOOT,
        }
    }

    pub(super) fn encoder<'a>(self, track: &Track, out: &'a mut dyn Write) -> io::Result<Box<dyn Encoder + 'a>> {
        Ok(match self {
            Format::Wav => Box::new(Wav::new(track, out)?),
            Format::Flac => Box::new(Flac::new(track, out)?),
            Format::Opus => Box::new(Opus::new(track, out)?),
        })
    }
}

/// A sample as 16 bits. [`CEILING`](super::CEILING) keeps it in range. A value outside becomes the nearest limit.
pub(super) fn sixteen_bits(sample: f32) -> i16 {
    (sample * 32768.0).round() as i16
}
