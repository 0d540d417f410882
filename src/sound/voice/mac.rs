//! The system voice of macOS. Written from its manual and not tested.

use std::process::Command;
use std::time::Instant;

use super::{Pcm, Voice, VoiceFault, VoiceSpeed, child_process, text, wav};

/// `say` with the voice that the system is set to.
#[derive(Clone, Debug)]
pub struct MacVoice {
    pace: VoiceSpeed,
}

impl MacVoice {
    /// Words a minute at a pace of 100 %.
    const USUAL: u32 = 175;

    /// The system's voice.
    pub fn new(pace: VoiceSpeed) -> MacVoice {
        MacVoice { pace }
    }
}

impl Voice for MacVoice {
    fn name(&self) -> String {
        format!("say {}", self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        // This voice reads text in double brackets as commands.
        let text = text::unbracketed(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let folder = child_process::folder()?;
        let file = folder.path().join("speech.wav");
        let speed = MacVoice::USUAL * u32::from(self.pace.get()) / 100;
        let mut program = Command::new("say");
        program.args(["-r", &speed.to_string(), "--data-format=LEI16@22050", "-f", "-", "-o"]).arg(&file);
        wav::read(&child_process::run_to_file(&mut program, &file, &text, deadline)?)
    }
}
