//! The system voice espeak-ng.

use std::process::Command;
use std::time::Instant;

use super::{Pcm, Voice, VoiceFault, VoiceSpeed, child_process, text, wav};

/// espeak-ng with one of its voices.
#[derive(Clone, Debug)]
pub struct EspeakVoice {
    voice: String,
    pace: VoiceSpeed,
}

impl EspeakVoice {
    /// Words a minute at a pace of 100 %.
    const USUAL: u32 = 175;

    /// A voice by its name, such as `en-gb`.
    pub fn new(voice: &str, pace: VoiceSpeed) -> EspeakVoice {
        EspeakVoice { voice: voice.to_owned(), pace }
    }
}

impl Voice for EspeakVoice {
    fn name(&self) -> String {
        format!("espeak-ng {} {}", self.voice, self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        let text = text::unbracketed(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        // Its output to a pipe has a wrong length in its header; a file has the right one.
        let folder = child_process::folder()?;
        let file = folder.path().join("speech.wav");
        let speed = EspeakVoice::USUAL * u32::from(self.pace.get()) / 100;
        let mut program = Command::new("espeak-ng");
        program.args(["-v", &self.voice, "-s", &speed.to_string(), "-b", "1", "--stdin", "-w"]).arg(&file);
        wav::read(&child_process::run_to_file(&mut program, &file, &text, deadline)?)
    }
}
