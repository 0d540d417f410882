//! The keys of the front door. Letters are looked for, so none of them is a key.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use class::words::{KeyWords, WORDS};

/// What the coach asks for by one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Press {
    Up,
    Down,
    /// So many rows up, or down.
    PageUp,
    PageDown,
    First,
    Last,
    /// The deed before, or after.
    Left,
    Right,
    /// The deed after, or the line.
    Next,
    /// Does what is chosen.
    Do,
    Letter(char),
    /// Takes the last letter back.
    Rub,
    /// Closes what is open; else forgets what was typed; else leaves.
    Back,
    Help,
    Leave,
    Suspend,
}

/// The keys as they are told, the most needed first.
pub(crate) fn told() -> [&'static KeyWords; 7] {
    let keys = &WORDS.door.keys;
    [&keys.choose, &keys.go, &keys.deed, &keys.search, &keys.back, &keys.help, &keys.leave]
}

/// What a key of the terminal asks for. None for a key without a meaning, and for a key let go.
pub fn press(event: KeyEvent) -> Option<Press> {
    let held = event.kind == KeyEventKind::Repeat;
    if event.kind == KeyEventKind::Release {
        return None;
    }
    if event.modifiers.contains(KeyModifiers::CONTROL) {
        return match event.code {
            KeyCode::Char('c') => Some(Press::Leave),
            KeyCode::Char('z') => Some(Press::Suspend),
            _ => None,
        };
    }
    Some(match event.code {
        KeyCode::Up => Press::Up,
        KeyCode::Down => Press::Down,
        KeyCode::PageUp => Press::PageUp,
        KeyCode::PageDown => Press::PageDown,
        KeyCode::Home => Press::First,
        KeyCode::End => Press::Last,
        KeyCode::Left => Press::Left,
        KeyCode::Right => Press::Right,
        KeyCode::Tab => Press::Next,
        KeyCode::Backspace => Press::Rub,
        // A key held down never begins a class.
        _ if held => return None,
        KeyCode::Enter => Press::Do,
        KeyCode::Esc => Press::Back,
        KeyCode::Char('?') | KeyCode::F(1) => Press::Help,
        KeyCode::Char(letter) => Press::Letter(letter),
        _ => return None,
    })
}
