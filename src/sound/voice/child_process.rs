//! Runs another program that speaks. The program is started without a shell and gets the text on its standard input.
//! Its running time and the size of its output are limited.

use std::io::{self, Read, Write};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::{Duration, Instant};

use super::VoiceFault;

/// The most bytes that are read from a program: a minute of two channels at 96 kHz, 32 bits.
const MOST: u64 = 60 * 96_000 * 2 * 4 + 4096;
/// How often to check whether the program has ended.
const LOOK: Duration = Duration::from_millis(2);

/// Runs a program on a text and returns what it wrote to its standard output.
///
/// # Errors
/// When the program cannot be started, fails, writes too much, or is not done by the deadline. It is then killed.
pub(super) fn run(program: &mut Command, text: &str, deadline: Instant) -> Result<Vec<u8>, VoiceFault> {
    let name = program.get_program().to_string_lossy().into_owned();
    program.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut child = program.spawn().map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => VoiceFault::Missing(name),
        _ => VoiceFault::NotStarted(error.to_string()),
    })?;
    let done = converse(&mut child, text, deadline);
    if done.is_err() {
        // Both fail harmlessly if the program has ended already.
        let _ = child.kill();
        let _ = child.wait();
    }
    done
}

fn converse(child: &mut Child, text: &str, deadline: Instant) -> Result<Vec<u8>, VoiceFault> {
    let (Some(mut input), Some(output)) = (child.stdin.take(), child.stdout.take()) else {
        return Err(VoiceFault::NotStarted("no pipes".into()));
    };
    // The program may never read its input. After it is killed, its own children may keep its output open. So two
    // threads write and read, and nobody waits for them beyond the deadline.
    let text = text.to_owned();
    thread::spawn(move || input.write_all(text.as_bytes()));
    let (sender, receiver) = channel();
    thread::spawn(move || {
        let mut bytes = Vec::new();
        let read = output.take(MOST + 1).read_to_end(&mut bytes);
        let _ = sender.send(read.map(|_| bytes));
    });
    let bytes = match receiver.recv_timeout(deadline.saturating_duration_since(Instant::now())) {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(error)) => return Err(VoiceFault::Failed(format!(": {error}"))),
        Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => return Err(VoiceFault::TooLate),
    };
    if bytes.len() as u64 > MOST {
        return Err(VoiceFault::TooMuch);
    }
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Ok(bytes),
            Ok(Some(status)) => {
                return Err(VoiceFault::Failed(status.code().map_or_else(String::new, |code| format!(" ({code})"))));
            }
            Ok(None) if Instant::now() < deadline => thread::sleep(LOOK),
            Ok(None) => return Err(VoiceFault::TooLate),
            Err(error) => return Err(VoiceFault::Failed(format!(": {error}"))),
        }
    }
}

/// Runs a program that writes its speech to a file, and returns the bytes of that file.
///
/// # Errors
/// As [`run`], and when there is no file afterwards.
pub(super) fn run_to_file(
    program: &mut Command,
    file: &std::path::Path,
    text: &str,
    deadline: Instant,
) -> Result<Vec<u8>, VoiceFault> {
    run(program, text, deadline)?;
    let mut bytes = Vec::new();
    let opened = std::fs::File::open(file).map_err(|_| VoiceFault::Silent)?;
    opened.take(MOST + 1).read_to_end(&mut bytes).map_err(|error| VoiceFault::Failed(format!(": {error}")))?;
    if bytes.len() as u64 > MOST { Err(VoiceFault::TooMuch) } else { Ok(bytes) }
}

/// A temporary folder for the files of one text, deleted when dropped.
pub(super) fn folder() -> Result<tempfile::TempDir, VoiceFault> {
    tempfile::tempdir().map_err(|error| VoiceFault::NotStarted(error.to_string()))
}
