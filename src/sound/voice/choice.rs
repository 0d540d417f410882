//! The choice of a voice, by the name that the coach gives.

use std::path::Path;

use super::{EspeakVoice, FliteVoice, MacVoice, Voice, VoiceProgram, VoiceSpeed, WindowsVoice};

/// A voice by name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum VoiceChoice {
    /// The embedded voice. It does not run on macOS: there this is the system voice.
    Own,
    /// espeak-ng with one of its voices.
    Espeak(String),
    /// flite with one of its voices.
    Flite(String),
    /// The system voice of macOS.
    Say,
    /// The system voice of Windows.
    SystemSpeech,
    /// The coach's own program.
    Command(VoiceProgram),
}

/// The error for a name that is not the name of a voice.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no voice is called \"{0}\": use own, espeak-ng[:VOICE], flite[:VOICE], say, system-speech or command:PROGRAM")]
pub struct UnknownVoice(pub String);

impl std::str::FromStr for VoiceChoice {
    type Err = UnknownVoice;

    fn from_str(name: &str) -> Result<VoiceChoice, UnknownVoice> {
        let unknown = || UnknownVoice(name.to_owned());
        let (kind, detail) = name.split_once(':').map_or((name, None), |(kind, detail)| (kind, Some(detail)));
        // A detail becomes an argument of a program: it must not look like an option.
        let is_voice = |detail: &str| !detail.is_empty() && !detail.starts_with('-');
        match (kind, detail) {
            ("own", None) => Ok(VoiceChoice::Own),
            ("say", None) => Ok(VoiceChoice::Say),
            ("system-speech", None) => Ok(VoiceChoice::SystemSpeech),
            ("espeak-ng" | "espeak", None) => Ok(VoiceChoice::Espeak("en-gb".into())),
            ("espeak-ng" | "espeak", Some(voice)) if is_voice(voice) => Ok(VoiceChoice::Espeak(voice.into())),
            ("flite", None) => Ok(VoiceChoice::Flite("slt".into())),
            ("flite", Some(voice)) if is_voice(voice) => Ok(VoiceChoice::Flite(voice.into())),
            ("command", Some(line)) => VoiceProgram::parse(line).map(VoiceChoice::Command).ok_or_else(unknown),
            _ => Err(unknown()),
        }
    }
}

impl VoiceChoice {
    /// The voices that may exist on this operating system, with the names that choose them.
    pub fn known() -> Vec<(&'static str, VoiceChoice)> {
        let mut known = vec![
            ("own", VoiceChoice::Own),
            ("espeak-ng", VoiceChoice::Espeak("en-gb".into())),
            ("flite", VoiceChoice::Flite("slt".into())),
        ];
        if cfg!(target_os = "macos") {
            known.push(("say", VoiceChoice::Say));
        }
        if cfg!(windows) {
            known.push(("system-speech", VoiceChoice::SystemSpeech));
        }
        known
    }

    /// The chosen voice. `folder`: where it may keep its own files.
    pub fn voice(&self, folder: &Path, pace: VoiceSpeed) -> Box<dyn Voice> {
        match self {
            #[cfg(not(target_vendor = "apple"))]
            VoiceChoice::Own => Box::new(super::PicoVoice::new(&folder.join("pico"), pace)),
            #[cfg(target_vendor = "apple")]
            VoiceChoice::Own => Box::new(MacVoice::new(pace)),
            VoiceChoice::Espeak(voice) => Box::new(EspeakVoice::new(voice, pace)),
            VoiceChoice::Flite(voice) => Box::new(FliteVoice::new(voice, pace)),
            VoiceChoice::Say => Box::new(MacVoice::new(pace)),
            VoiceChoice::SystemSpeech => Box::new(WindowsVoice::new(pace)),
            VoiceChoice::Command(command) => Box::new(command.clone()),
        }
    }
}
