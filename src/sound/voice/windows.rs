//! The system voice of Windows, System.Speech. Written from its documentation and not tested.

use std::process::Command;
use std::time::Instant;

use super::{Pcm, Voice, VoiceFault, VoiceSpeed, child_process, text, wav};

/// System.Speech with the voice that the system is set to.
#[derive(Clone, Debug)]
pub struct WindowsVoice {
    pace: VoiceSpeed,
}

/// The script reads only the text to say from its standard input. The file name and the speed come in environment
/// variables, so that no text becomes part of the script.
const SCRIPT: &str = "Add-Type -AssemblyName System.Speech; \
    $voice = New-Object System.Speech.Synthesis.SpeechSynthesizer; \
    $voice.Rate = [int]$env:FORECALL_SPEED; \
    $voice.SetOutputToWaveFile($env:FORECALL_SPEECH); \
    $voice.Speak([Console]::In.ReadToEnd()); \
    $voice.Dispose()";

impl WindowsVoice {
    /// The system's voice.
    pub fn new(pace: VoiceSpeed) -> WindowsVoice {
        WindowsVoice { pace }
    }

    /// The speed of the voice, -10 to 10. 10 is about three times as fast as 0.
    fn speed(&self) -> i32 {
        (f64::from(self.pace.get()) / 100.0).log(3f64.powf(0.1)).round() as i32
    }
}

impl Voice for WindowsVoice {
    fn name(&self) -> String {
        format!("system-speech {}", self.pace.get())
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        let text = text::ascii(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let folder = child_process::folder()?;
        let file = folder.path().join("speech.wav");
        let mut program = Command::new("powershell");
        program.args(["-NoProfile", "-NonInteractive", "-Command", SCRIPT]);
        program.env("FORECALL_SPEECH", &file).env("FORECALL_SPEED", self.speed().to_string());
        wav::read(&child_process::run_to_file(&mut program, &file, &text, deadline)?)
    }
}
