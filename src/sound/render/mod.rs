//! A class as a sound file: what `lead` plays, without a device, at one loudness, in formats that others play.
//!
//! It goes over the class twice: once to measure how loud it is, once to write it. Nothing of the sound is kept.

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

/// What goes over a track tells how many frames it has passed, and is told whether to go on.
pub type Watch<'a> = &'a mut dyn FnMut(u64) -> bool;

/// Why a track was not gone through to its end.
#[derive(Debug, thiserror::Error)]
pub enum Broken {
    #[error("told to stop")]
    Stopped,
    #[error(transparent)]
    Output(#[from] io::Error),
}

/// Writes a track in a format, every sample by this factor.
///
/// # Errors
/// When the output cannot be written, or the watch says to stop.
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
