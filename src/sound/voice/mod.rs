//! Voices: each turns a text into one levelled clip of speech, before the clip is needed.

mod cache;
mod child;
mod choice;
mod command;
mod espeak;
mod flite;
#[cfg(not(target_vendor = "apple"))]
mod pico;
mod say;
mod speech;
pub mod text;
mod wav;
mod windows;

use std::time::Instant;

pub use cache::Cache;
pub use choice::{Choice, UnknownVoice};
pub use command::Command;
pub use espeak::Espeak;
pub use flite::Flite;
#[cfg(not(target_vendor = "apple"))]
pub use pico::Pico;
pub use say::Say;
pub use speech::{Ready, Setup, Speech};
pub use windows::SystemSpeech;

pub use crate::Pcm;
use class::words::{WORDS, fill};

/// Something that can say a text.
pub trait Voice: Send {
    /// The unique name of this voice: its engine, voice and settings. The cache uses the name as part of its key.
    fn name(&self) -> String;

    /// Turns a text into speech, trimmed and levelled. Returns at the deadline or shortly after it at the latest.
    ///
    /// # Errors
    /// When the voice is missing or fails, gives no speech, or takes too long.
    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault>;
}

/// Why there is no speech.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum VoiceFault {
    /// The program of the voice is not installed.
    #[error("{}", fill(&WORDS.sound.voice.missing, &[("program", .0)]))]
    Missing(String),
    #[error("{}", fill(&WORDS.sound.voice.not_started, &[("why", .0)]))]
    NotStarted(String),
    #[error("{}", fill(&WORDS.sound.voice.failed, &[("code", .0)]))]
    Failed(String),
    #[error("{}", WORDS.sound.voice.too_late)]
    TooLate,
    #[error("{}", WORDS.sound.voice.too_much)]
    TooMuch,
    #[error("{}", WORDS.sound.voice.not_sound)]
    NotSound,
    /// The text has nothing to say in it, or the voice said nothing.
    #[error("{}", WORDS.sound.voice.silent)]
    Silent,
}

/// How fast a voice speaks, in percent of its usual speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pace(u16);

impl Pace {
    /// A pace of 50 to 200 percent. A value outside this range becomes the nearest limit.
    pub fn percent(percent: u16) -> Pace {
        Pace(percent.clamp(50, 200))
    }

    /// The percentage.
    pub fn get(self) -> u16 {
        self.0
    }
}

impl Default for Pace {
    fn default() -> Pace {
        Pace(100)
    }
}
