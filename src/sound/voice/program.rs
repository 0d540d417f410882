//! The coach's own voice: any program that reads a text on its input and writes a WAV file to its output.

use std::time::Instant;

use super::{Pcm, Voice, VoiceFault, child_process, text, wav};

/// A program with its arguments. It is started directly: no shell sees the text or the arguments.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VoiceProgram {
    program: String,
    arguments: Vec<String>,
}

impl VoiceProgram {
    /// Splits a line at spaces into a program and its arguments. A part in single or double quotes stays together.
    /// None for an empty line or a quote that is not closed.
    pub fn parse(line: &str) -> Option<VoiceProgram> {
        let mut words: Vec<String> = Vec::new();
        let mut open = None;
        let mut within = false;
        for letter in line.chars() {
            match (open, letter) {
                (Some(quote), _) if letter == quote => open = None,
                (None, '\'' | '"') => {
                    open = Some(letter);
                    if !within {
                        words.push(String::new());
                    }
                    within = true;
                }
                (None, _) if letter.is_whitespace() => within = false,
                _ => {
                    if !within {
                        words.push(String::new());
                    }
                    within = true;
                    words.last_mut()?.push(letter);
                }
            }
        }
        let mut words = words.into_iter();
        let program = words.next().filter(|program| !program.is_empty() && open.is_none())?;
        Some(VoiceProgram { program, arguments: words.collect() })
    }
}

impl Voice for VoiceProgram {
    fn name(&self) -> String {
        format!("command {} {}", self.program, self.arguments.join(" ")).trim_end().to_owned()
    }

    fn say(&mut self, text: &str, deadline: Instant) -> Result<Pcm, VoiceFault> {
        let text = text::plain(text);
        if !text::is_sayable(&text) {
            return Err(VoiceFault::Silent);
        }
        let mut program = std::process::Command::new(&self.program);
        wav::read(&child_process::run(program.args(&self.arguments), &text, deadline)?)
    }
}
