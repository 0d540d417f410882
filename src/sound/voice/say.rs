//! The system voice of macOS. Written from its manual and not tested.

use std::process::Command;
use std::time::Instant;

use super::{Pace, Pcm, Voice, VoiceFault, child, text, wav};

/// `say` with the voice that the system is set to.
#[derive(Clone, Debug)]
pub struct Say {
    pace: Pace,
}

impl Say {
    /// Words a minute at a pace of 100 %.
    const USUAL: u32 = 175;

    /// The system's voice.
    pub fn new(pace: Pace) -> Say {
        Say { pace }
    }
}

impl Voice for Say {
    fn name(&self) -> String {
        format!("say {}", self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        // This voice reads text in double brackets as commands.
        let text = text::unbracketed(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let folder = child::folder()?;
        let file = folder.path().join("speech.wav");
        let speed = Say::USUAL * u32::from(self.pace.get()) / 100;
        let mut program = Command::new("say");
        program.args(["-r", &speed.to_string(), "--data-format=LEI16@22050", "-f", "-", "-o"]).arg(&file);
        wav::read(&child::run_to_file(&mut program, &file, &text, deadline)?)
    }
}
