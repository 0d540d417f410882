//! `forecall lead --keys`: what a device sends, by the names that a key map has for it.

use std::io::{self, Write, stdout};

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::stop::OrCannot;
use super::{Exit, Stop};
use stage::lead::{Keymap, key_name};
use stage::runtime::{Console, terminal};

/// Shows each key, with what it asks for by this map, until the keyboard ends it.
///
/// # Errors
/// When there is no terminal to take keys from.
pub fn run_keys(keymap: &Keymap) -> Result<Exit, Stop> {
    if !terminal::is_here() {
        return Err(Stop::Cannot("--keys: there is no terminal here to take keys from".to_owned()));
    }
    for line in [
        "Press what your device has; each line is a key as `keymap` in the config file wants it, and what it would ask for.",
        "Esc twice, or Ctrl-C, ends this.",
        "",
    ] {
        println!("{line}");
    }
    let mut console = Console::open(pressed).or_cannot("take keys")?;
    let _restored = terminal::take_keys_for_now().or_cannot("take keys")?;
    console.read_keys();
    show(keymap, &mut console).or_cannot("take keys")
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
            None => "a key that no map can have".to_owned(),
        };
        let mut out = stdout().lock();
        // The terminal is raw: a line begins where the last ended.
        write!(out, "{line}\r\n")?;
        out.flush()?;
    }
}
