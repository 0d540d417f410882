//! The system voice flite.

use std::process::Command;
use std::time::Instant;

use super::{Pcm, Voice, VoiceFault, VoiceSpeed, child_process, text, wav};

/// flite with one of its voices.
#[derive(Clone, Debug)]
pub struct FliteVoice {
    voice: String,
    pace: VoiceSpeed,
}

impl FliteVoice {
    /// A voice by its name, such as `slt`. For an unknown name flite uses its default voice.
    pub fn new(voice: &str, pace: VoiceSpeed) -> FliteVoice {
        FliteVoice { voice: voice.to_owned(), pace }
    }
}

impl Voice for FliteVoice {
    fn name(&self) -> String {
        format!("flite {} {}", self.voice, self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        let text = text::ascii(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let folder = child_process::folder()?;
        let (spoken, file) = (folder.path().join("text"), folder.path().join("speech.wav"));
        std::fs::write(&spoken, &text).map_err(|error| VoiceFault::NotStarted(error.to_string()))?;
        let stretch = format!("duration_stretch={:.3}", 100.0 / f64::from(self.pace.get()));
        let mut program = Command::new("flite");
        program.args(["-voice", &self.voice, "--setf", &stretch, "-f"]).arg(&spoken).arg("-o").arg(&file);
        wav::read(&child_process::run_to_file(&mut program, &file, "", deadline)?)
    }
}
