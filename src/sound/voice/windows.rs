//! The system voice of Windows, System.Speech. Written from its documentation, not run.

use std::process::Command;
use std::time::Instant;

use super::{Pace, Pcm, Voice, VoiceFault, child, text, wav};

/// System.Speech with the voice that the system is set to.
#[derive(Clone, Debug)]
pub struct SystemSpeech {
    pace: Pace,
}

/// Reads the text from its input and the names of nothing from it: the file and the speed come in its environment.
const SCRIPT: &str = "Add-Type -AssemblyName System.Speech; \
    $voice = New-Object System.Speech.Synthesis.SpeechSynthesizer; \
    $voice.Rate = [int]$env:FORECALL_SPEED; \
    $voice.SetOutputToWaveFile($env:FORECALL_SPEECH); \
    $voice.Speak([Console]::In.ReadToEnd()); \
    $voice.Dispose()";

impl SystemSpeech {
    /// The system's voice.
    pub fn new(pace: Pace) -> SystemSpeech {
        SystemSpeech { pace }
    }

    /// Its speed, -10 to 10, of which 10 is about three times as fast as 0.
    fn speed(&self) -> i32 {
        (f64::from(self.pace.get()) / 100.0).log(3f64.powf(0.1)).round() as i32
    }
}

impl Voice for SystemSpeech {
    fn name(&self) -> String {
        format!("system-speech {}", self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        let text = text::ascii(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let folder = child::folder()?;
        let file = folder.path().join("speech.wav");
        let mut program = Command::new("powershell");
        program.args(["-NoProfile", "-NonInteractive", "-Command", SCRIPT]);
        program.env("FORECALL_SPEECH", &file).env("FORECALL_SPEED", self.speed().to_string());
        wav::read(&child::run_to_file(&mut program, &file, &text, deadline)?)
    }
}
