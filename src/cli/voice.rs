//! `--voice`: which voice speaks, and its speech.

use std::str::FromStr;

use super::{config, dirs};
use class::cue;
use sound::voice::{Speech, SpeechCache, SpeechSetup, UnknownVoice, VoiceChoice, VoiceSpeed};

/// A voice by the name that the coach gives, or no voice.
#[derive(Clone, Debug)]
pub(crate) struct VoiceName(Option<VoiceChoice>);

impl Default for VoiceName {
    /// The built-in voice, which needs nothing installed.
    fn default() -> VoiceName {
        VoiceName(Some(VoiceChoice::Own))
    }
}

impl FromStr for VoiceName {
    type Err = UnknownVoice;

    fn from_str(name: &str) -> Result<VoiceName, UnknownVoice> {
        if name == "none" { Ok(VoiceName(None)) } else { name.parse().map(|choice| VoiceName(Some(choice))) }
    }
}

impl VoiceName {
    /// The voice that was asked for, else the one in the settings, else the built-in one.
    pub(crate) fn or_set(asked: Option<&VoiceName>) -> VoiceName {
        asked.or(config::get().voice.as_ref()).cloned().unwrap_or_default()
    }

    /// How fast the voice is expected to speak, before it has spoken.
    pub(crate) fn pace(&self) -> cue::SpeechPace {
        match &self.0 {
            Some(VoiceChoice::Espeak(_)) => cue::SpeechPace::ESPEAK,
            Some(VoiceChoice::Flite(_)) => cue::SpeechPace::FLITE,
            _ => cue::SpeechPace::BUILT_IN,
        }
    }

    /// Whether there is a voice.
    pub(crate) fn is_voice(&self) -> bool {
        self.0.is_some()
    }

    /// The speech of the voice, ready for texts. Speech from earlier classes is reused.
    pub(crate) fn speech(&self) -> Option<Speech> {
        self.0.as_ref().map(speech)
    }
}

/// A voice at its usual pace. Its speech is kept in the cache folder; if there is no home folder, it is not kept.
pub(crate) fn speech(choice: &VoiceChoice) -> Speech {
    let folder = dirs::cache().unwrap_or_else(|| std::env::temp_dir().join("forecall"));
    let cache = dirs::cache().map(|folder| SpeechCache::new(&folder.join("speech"), SpeechCache::USUAL_BOUND));
    Speech::start(SpeechSetup { voice: choice.voice(&folder, VoiceSpeed::default()), cache })
}
