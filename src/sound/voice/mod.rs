//! Voices: each turns a text into one levelled clip of speech, before the clip is needed.

mod cache;
mod child_process;
mod choice;
mod espeak;
mod flite;
mod mac;
#[cfg(not(target_vendor = "apple"))]
mod pico;
mod program;
mod speech;
pub mod text;
mod wav;
mod windows;

use std::time::Instant;

pub use cache::SpeechCache;
pub use choice::{UnknownVoice, VoiceChoice};
pub use espeak::EspeakVoice;
pub use flite::FliteVoice;
pub use mac::MacVoice;
#[cfg(not(target_vendor = "apple"))]
pub use pico::PicoVoice;
pub use program::VoiceProgram;
pub use speech::{Speech, SpeechProgress, SpeechSetup};
pub use windows::WindowsVoice;

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
pub struct VoiceSpeed(u16);

impl VoiceSpeed {
    /// A pace of 50 to 200 percent. A value outside this range becomes the nearest limit.
    pub fn percent(percent: u16) -> VoiceSpeed {
        VoiceSpeed(percent.clamp(50, 200))
    }

    /// The percentage.
    pub fn get(self) -> u16 {
        self.0
    }
}

impl Default for VoiceSpeed {
    fn default() -> VoiceSpeed {
        VoiceSpeed(100)
    }
}
