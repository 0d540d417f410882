//! One file of music, decoded as it is needed.

use std::fs::{self, File};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use symphonia::core::audio::SampleBuffer;
use symphonia::core::codecs::{CODEC_TYPE_NULL, Decoder, DecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatOptions, FormatReader};
use symphonia::core::io::MediaSourceStream;
use symphonia::core::meta::MetadataOptions;
use symphonia::core::probe::Hint;

use super::StereoFrame;
use crate::Pcm;
use class::words::{WORDS, fill};

/// The most channels that a file may have.
const CHANNELS: usize = 8;
/// After this many packets in a row without frames, a file counts as ended.
const BARREN: usize = 200;

/// Why a file is not played, in words for the coach.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum MusicFileError {
    #[error("{}", fill(&WORDS.sound.music.unreadable, &[("why", .0)]))]
    Unreadable(String),
    #[error("{}", WORDS.sound.music.unknown)]
    Unknown,
    #[error("{}", WORDS.sound.music.empty)]
    Empty,
    #[error("{}", WORDS.sound.music.too_short)]
    TooShort,
    #[error("{}", fill(&WORDS.sound.music.shape, &[("rate", &.0.to_string()), ("channels", &.1.to_string())]))]
    Shape(u32, usize),
    #[error("{}", WORDS.sound.music.failed)]
    Failed,
}

/// A file being decoded, one packet at a time, so that a long file takes no more memory than a short one.
pub(super) struct MusicTrack {
    format: Box<dyn FormatReader>,
    decoder: Box<dyn Decoder>,
    id: u32,
    rate: u32,
    samples: Option<SampleBuffer<f32>>,
    frames: Vec<StereoFrame>,
    /// Whether the frames decoded on opening have not been returned yet.
    fresh: bool,
}

impl MusicTrack {
    /// Opens a file and decodes its first packet.
    ///
    /// # Errors
    /// When the file is missing, is not music, or is broken from the start.
    pub(super) fn open(path: &Path) -> Result<MusicTrack, MusicFileError> {
        catch_unwind(|| MusicTrack::opened(path)).unwrap_or(Err(MusicFileError::Failed))
    }

    fn opened(path: &Path) -> Result<MusicTrack, MusicFileError> {
        let unreadable = |error: std::io::Error| MusicFileError::Unreadable(error.kind().to_string());
        // A pipe would block until somebody writes to it.
        if !fs::metadata(path).map_err(unreadable)?.is_file() {
            return Err(MusicFileError::Unknown);
        }
        let file = File::open(path).map_err(unreadable)?;
        let stream = MediaSourceStream::new(Box::new(file), Default::default());
        let mut hint = Hint::new();
        if let Some(ending) = path.extension() {
            hint.with_extension(&ending.to_string_lossy());
        }
        // Cuts off the silence that an encoder adds at both ends, if the file says how long it is.
        let options = FormatOptions { enable_gapless: true, ..FormatOptions::default() };
        let probe = symphonia::default::get_probe().format(&hint, stream, &options, &MetadataOptions::default());
        let format = probe.map_err(|_| MusicFileError::Unknown)?.format;
        let mut tracks = format.tracks().iter();
        let track = tracks.find(|track| track.codec_params.codec != CODEC_TYPE_NULL).ok_or(MusicFileError::Unknown)?;
        let id = track.id;
        let codecs = symphonia::default::get_codecs();
        let decoder =
            codecs.make(&track.codec_params, &DecoderOptions::default()).map_err(|_| MusicFileError::Unknown)?;
        let mut track = MusicTrack { format, decoder, id, rate: 0, samples: None, frames: Vec::new(), fresh: false };
        let (rate, channels) = track.decode().ok_or(MusicFileError::Empty)?;
        if !(Pcm::LOWEST_RATE..=Pcm::HIGHEST_RATE).contains(&rate) || !(1..=CHANNELS).contains(&channels) {
            return Err(MusicFileError::Shape(rate, channels));
        }
        (track.rate, track.fresh) = (rate, true);
        Ok(track)
    }

    /// Frames a second.
    pub(super) fn rate(&self) -> u32 {
        self.rate
    }

    /// The next frames. None at the end, and where nothing more can be decoded.
    pub(super) fn next(&mut self) -> Option<&[StereoFrame]> {
        if !std::mem::take(&mut self.fresh) {
            let decoded = catch_unwind(AssertUnwindSafe(|| self.decode())).ok()??;
            if decoded.0 != self.rate {
                return None;
            }
        }
        Some(&self.frames)
    }

    /// Decodes the next packet that has frames, and returns frames a second and the number of channels. Broken packets
    /// are skipped.
    fn decode(&mut self) -> Option<(u32, usize)> {
        for _ in 0..BARREN {
            let packet = self.format.next_packet().ok()?;
            if packet.track_id() != self.id {
                continue;
            }
            let decoded = match self.decoder.decode(&packet) {
                Ok(decoded) => decoded,
                Err(Error::DecodeError(_)) => continue,
                Err(_) => return None,
            };
            let (spec, frames) = (*decoded.spec(), decoded.frames());
            let channels = spec.channels.count();
            if frames == 0 || channels == 0 {
                continue;
            }
            let room = self.samples.as_ref().map_or(0, SampleBuffer::capacity);
            if room < decoded.capacity() * channels {
                self.samples = Some(SampleBuffer::new(decoded.capacity() as u64, spec));
            }
            let samples = self.samples.as_mut()?;
            samples.copy_interleaved_ref(decoded);
            self.frames.clear();
            self.frames.extend(samples.samples().chunks_exact(channels).map(to_stereo));
            return Some((spec.rate, channels));
        }
        None
    }
}

/// Left and right of a frame with any number of channels. The third channel is the centre; further ones are left out.
/// Samples are limited to twice full scale, because a broken file may contain any value.
fn to_stereo(frame: &[f32]) -> StereoFrame {
    let centre = frame.get(2).map_or(0.0, |centre| centre * std::f32::consts::FRAC_1_SQRT_2);
    let sides = [frame[0], *frame.get(1).unwrap_or(&frame[0])];
    sides.map(|side| {
        let sample = side + centre;
        if sample.is_finite() { sample.clamp(-2.0, 2.0) } else { 0.0 }
    })
}
