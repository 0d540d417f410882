//! `--voice`: which voice speaks, and its speech.

use std::str::FromStr;

use super::{config, dirs};
use class::cue;
use sound::voice::{Cache, Choice, Pace, Setup, Speech, UnknownVoice};

/// A voice by the name that the coach gives, or no voice.
#[derive(Clone, Debug)]
pub struct VoiceName(Option<Choice>);

impl Default for VoiceName {
    /// The built-in voice, which needs nothing installed.
    fn default() -> VoiceName {
        VoiceName(Some(Choice::Own))
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
    pub fn or_set(asked: Option<&VoiceName>) -> VoiceName {
        asked.or(config::get().voice.as_ref()).cloned().unwrap_or_default()
    }

    /// How fast the voice is expected to speak, before it has spoken.
    pub fn pace(&self) -> cue::Pace {
        match &self.0 {
            Some(Choice::Espeak(_)) => cue::Pace::ESPEAK,
            Some(Choice::Flite(_)) => cue::Pace::FLITE,
            _ => cue::Pace::BUILT_IN,
        }
    }

    /// Whether there is a voice.
    pub fn speaks(&self) -> bool {
        self.0.is_some()
    }

    /// The speech of the voice, ready for texts. Speech from earlier classes is reused.
    pub fn speech(&self) -> Option<Speech> {
        self.0.as_ref().map(speech)
    }
}

/// A voice at its usual pace. Its speech is kept in the cache folder; if there is no home folder, it is not kept.
pub fn speech(choice: &Choice) -> Speech {
    let folder = dirs::cache().unwrap_or_else(|| std::env::temp_dir().join("forecall"));
    let cache = dirs::cache().map(|folder| Cache::new(&folder.join("speech"), Cache::USUAL_BOUND));
    Speech::start(Setup { voice: choice.voice(&folder, Pace::default()), cache })
}
