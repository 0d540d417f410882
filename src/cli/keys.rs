//! `forecall lead --keys`: what a device sends, in the names that a key map uses.

use std::io::{self, Write, stdout};

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::error::OrCannot;
use super::{CommandError, Exit};
use stage::lead::{Keymap, key_name};
use stage::runtime::{Console, terminal};

/// Shows each key with what it does by this key map, until the coach stops it.
///
/// # Errors
/// When there is no terminal to read keys from.
pub(crate) fn run_keys(keymap: &Keymap) -> Result<Exit, CommandError> {
    if !terminal::is_interactive() {
        return Err(CommandError::refused("--keys needs a terminal to read keys from"));
    }
    for line in [
        "Press each button of your device. Each line is a key as the `keymap` setting names it, and its meaning.",
        "Press Esc twice, or Ctrl-C, to stop.",
        "",
    ] {
        println!("{line}");
    }
    let mut console = Console::open(pressed).or_cannot("read the keyboard")?;
    let _restored = terminal::take_keys_for_now().or_cannot("read the keyboard")?;
    console.read_keys();
    show(keymap, &mut console).or_cannot("read the keyboard")
}

fn pressed(key: KeyEvent) -> Option<KeyEvent> {
    (key.kind == KeyEventKind::Press).then_some(key)
}

fn show(keymap: &Keymap, console: &mut Console<KeyEvent>) -> io::Result<Exit> {
    let mut escaped = false;
    loop {
        let key = match console.key() {
            Ok(key) => key,
            Err(signal) => return Ok(Exit::Signal(signal)),
        };
        let control = key.modifiers.contains(KeyModifiers::CONTROL);
        let escape = key.code == KeyCode::Esc;
        if control && key.code == KeyCode::Char('c') || escape && escaped {
            return Ok(Exit::Well);
        }
        escaped = escape;
        let line = match key_name(key) {
            Some(name) => {
                let asks = keymap.meaning(&name).map(|word| format!("  {word}"));
                format!("\"{name}\"{}", asks.unwrap_or_default())
            }
            None => "a key that no key map can use".to_owned(),
        };
        let mut out = stdout().lock();
        // In raw mode a new line also needs a carriage return.
        write!(out, "{line}\r\n")?;
        out.flush()?;
    }
}
