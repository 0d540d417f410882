//! A class as a sound file: what `lead` plays, at a fixed loudness, in formats that other programs play.
//!
//! The class is rendered twice: once to measure its loudness, once to write it. No sound is kept in memory.

mod comments;
mod encoder;
mod flac;
mod levelling;
mod mark;
mod opus;
mod track;
mod wav;

pub use encoder::{Format, Unfit};
pub use levelling::{CEILING, Levelled, Loudness, TARGET, measure};
pub use mark::Mark;
pub use track::{Only, Track, Want};

use std::io::{self, Write};

use crate::Piece;

/// A callback while a track is measured or written. It gets the number of frames done, and returns whether to continue.
pub type Watch<'a> = &'a mut dyn FnMut(u64) -> bool;

/// Why a track was not measured or written to its end.
#[derive(Debug, thiserror::Error)]
pub enum Broken {
    #[error("stopped")]
    Stopped,
    #[error(transparent)]
    Output(#[from] io::Error),
}

/// Writes a track in a format, with every sample multiplied by `gain`.
///
/// # Errors
/// When the output cannot be written, or `watch` says to stop.
pub fn write(track: &Track, format: Format, gain: f32, out: &mut dyn Write, watch: Watch) -> Result<(), Broken> {
    let mut encoder = format.encoder(track, out)?;
    let mut louder = Vec::new();
    track.go_through(watch, &mut |piece| match piece {
        Piece::Silence(frames) => encoder.silence(frames),
        Piece::Sound(samples) => {
            louder.clear();
            louder.extend(samples.iter().map(|sample| sample * gain));
            encoder.sound(&louder)
        }
    })?;
    Ok(encoder.finish()?)
}
