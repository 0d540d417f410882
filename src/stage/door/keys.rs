//! The keys of the front door. Letters go into the search, so no letter is a key.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::runtime::KeyBinding;
use class::words::WORDS;

/// The command of one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DoorCommand {
    Up,
    Down,
    /// Several entries up or down at once.
    PageUp,
    PageDown,
    First,
    Last,
    /// The previous or the next action.
    Left,
    Right,
    /// The next action, or the next line of the form.
    Next,
    /// Does the chosen action.
    Do,
    Letter(char),
    /// Deletes the last letter.
    Rub,
    /// Closes the open page; with none open, clears the search text; with no text, leaves.
    Back,
    Help,
    Leave,
    Suspend,
}

/// The keys as they are shown, the most needed first. Letters have no entry: all of them go into the search.
pub const KEYS: [KeyBinding<DoorCommand>; 7] = [
    KeyBinding::new(DoorCommand::Up, &[KeyCode::Up, KeyCode::Down], || &WORDS.door.keys.choose),
    KeyBinding::new(DoorCommand::Do, &[KeyCode::Enter], || &WORDS.door.keys.go),
    KeyBinding::new(DoorCommand::Left, &[KeyCode::Left, KeyCode::Right], || &WORDS.door.keys.action),
    KeyBinding::new(DoorCommand::Rub, &[], || &WORDS.door.keys.search),
    KeyBinding::new(DoorCommand::Back, &[KeyCode::Esc], || &WORDS.door.keys.back),
    KeyBinding::new(DoorCommand::Help, &[KeyCode::Char('?'), KeyCode::F(1)], || &WORDS.door.keys.help),
    KeyBinding::new(DoorCommand::Leave, &[], || &WORDS.door.keys.leave),
];

/// The command of a key of the terminal. None for a key without a meaning, and for the release of a key.
pub fn command_of_key(event: KeyEvent) -> Option<DoorCommand> {
    let held = event.kind == KeyEventKind::Repeat;
    if event.kind == KeyEventKind::Release {
        return None;
    }
    if event.modifiers.contains(KeyModifiers::CONTROL) {
        return match event.code {
            KeyCode::Char('c') => Some(DoorCommand::Leave),
            KeyCode::Char('z') => Some(DoorCommand::Suspend),
            _ => None,
        };
    }
    Some(match event.code {
        KeyCode::Up => DoorCommand::Up,
        KeyCode::Down => DoorCommand::Down,
        KeyCode::PageUp => DoorCommand::PageUp,
        KeyCode::PageDown => DoorCommand::PageDown,
        KeyCode::Home => DoorCommand::First,
        KeyCode::End => DoorCommand::Last,
        KeyCode::Left => DoorCommand::Left,
        KeyCode::Right => DoorCommand::Right,
        KeyCode::Tab => DoorCommand::Next,
        KeyCode::Backspace => DoorCommand::Rub,
        // A key that repeats because it is held down never starts a class.
        _ if held => return None,
        KeyCode::Enter => DoorCommand::Do,
        KeyCode::Esc => DoorCommand::Back,
        KeyCode::Char('?') | KeyCode::F(1) => DoorCommand::Help,
        KeyCode::Char(letter) => DoorCommand::Letter(letter),
        _ => return None,
    })
}
