//! The choice of a voice, by the name that the coach gives.

use std::path::Path;

use super::{Command, Espeak, Flite, Pace, Say, SystemSpeech, Voice};

/// A voice by name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
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
    Command(Command),
}

/// The error for a name that is not the name of a voice.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no voice is called \"{0}\": use own, espeak-ng[:VOICE], flite[:VOICE], say, system-speech or command:PROGRAM")]
pub struct UnknownVoice(pub String);

impl std::str::FromStr for Choice {
    type Err = UnknownVoice;

    fn from_str(name: &str) -> Result<Choice, UnknownVoice> {
        let unknown = || UnknownVoice(name.to_owned());
        let (kind, detail) = name.split_once(':').map_or((name, None), |(kind, detail)| (kind, Some(detail)));
        // A detail becomes an argument of a program: it must not look like an option.
        let is_voice = |detail: &str| !detail.is_empty() && !detail.starts_with('-');
        match (kind, detail) {
            ("own", None) => Ok(Choice::Own),
            ("say", None) => Ok(Choice::Say),
            ("system-speech", None) => Ok(Choice::SystemSpeech),
            ("espeak-ng" | "espeak", None) => Ok(Choice::Espeak("en-gb".into())),
            ("espeak-ng" | "espeak", Some(voice)) if is_voice(voice) => Ok(Choice::Espeak(voice.into())),
            ("flite", None) => Ok(Choice::Flite("slt".into())),
            ("flite", Some(voice)) if is_voice(voice) => Ok(Choice::Flite(voice.into())),
            ("command", Some(line)) => Command::parse(line).map(Choice::Command).ok_or_else(unknown),
            _ => Err(unknown()),
        }
    }
}

impl Choice {
    /// The voices that may exist on this operating system, with the names that choose them.
    pub fn known() -> Vec<(&'static str, Choice)> {
        let mut known = vec![
            ("own", Choice::Own),
            ("espeak-ng", Choice::Espeak("en-gb".into())),
            ("flite", Choice::Flite("slt".into())),
        ];
        if cfg!(target_os = "macos") {
            known.push(("say", Choice::Say));
        }
        if cfg!(windows) {
            known.push(("system-speech", Choice::SystemSpeech));
        }
        known
    }

    /// The chosen voice. `folder`: where it may keep its own files.
    pub fn voice(&self, folder: &Path, pace: Pace) -> Box<dyn Voice> {
        match self {
            #[cfg(not(target_vendor = "apple"))]
            Choice::Own => Box::new(super::Pico::new(&folder.join("pico"), pace)),
            #[cfg(target_vendor = "apple")]
            Choice::Own => Box::new(Say::new(pace)),
            Choice::Espeak(voice) => Box::new(Espeak::new(voice, pace)),
            Choice::Flite(voice) => Box::new(Flite::new(voice, pace)),
            Choice::Say => Box::new(Say::new(pace)),
            Choice::SystemSpeech => Box::new(SystemSpeech::new(pace)),
            Choice::Command(command) => Box::new(command.clone()),
        }
    }
}
