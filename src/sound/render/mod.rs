//! A class as a sound file: what `lead` plays, at a fixed loudness, in formats that other programs play.
//!
//! The class is rendered twice: once to measure its loudness, once to write it. No sound is kept in memory.

mod comments;
mod encoder;
mod flac;
mod loudness;
mod opus;
mod track;
mod track_marker;
mod wav;

pub use encoder::{FormatError, SoundFormat};
pub use loudness::{CEILING, LevelAdjustment, Loudness, TARGET, measure};
pub use track::{ClassTrack, SoundKind, TrackOptions};
pub use track_marker::TrackMarker;

use std::io::{self, Write};

use crate::RenderedPiece;

/// A callback while a track is measured or written. It gets the number of frames done, and returns whether to continue.
pub type ProgressCallback<'a> = &'a mut dyn FnMut(u64) -> bool;

/// Why a track was not measured or written to its end.
#[derive(Debug, thiserror::Error)]
pub enum RenderError {
    #[error("stopped")]
    Stopped,
    #[error(transparent)]
    Output(#[from] io::Error),
}

/// Writes a track in a format, with every sample multiplied by `gain`.
///
/// # Errors
/// When the output cannot be written, or `watch` says to stop.
pub fn write(
    track: &ClassTrack,
    format: SoundFormat,
    gain: f32,
    out: &mut dyn Write,
    watch: ProgressCallback,
) -> Result<(), RenderError> {
    let mut encoder = format.encoder(track, out)?;
    let mut louder = Vec::new();
    track.for_each_piece(watch, &mut |piece| match piece {
        RenderedPiece::Silence(frames) => encoder.write_silence(frames),
        RenderedPiece::Sound(samples) => {
            louder.clear();
            louder.extend(samples.iter().map(|sample| sample * gain));
            encoder.write_samples(&louder)
        }
    })?;
    Ok(encoder.finish()?)
}
