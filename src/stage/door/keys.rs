//! The keys of the front door. Letters go into the search, so no letter is a key.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use class::words::{KeyWords, WORDS};

/// What one key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Press {
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

/// The keys as they are shown, the most needed first.
pub(crate) fn told() -> [&'static KeyWords; 7] {
    let keys = &WORDS.door.keys;
    [&keys.choose, &keys.go, &keys.deed, &keys.search, &keys.back, &keys.help, &keys.leave]
}

/// What a key of the terminal asks for. None for a key without a meaning, and for the release of a key.
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
        // A key that repeats because it is held down never starts a class.
        _ if held => return None,
        KeyCode::Enter => Press::Do,
        KeyCode::Esc => Press::Back,
        KeyCode::Char('?') | KeyCode::F(1) => Press::Help,
        KeyCode::Char(letter) => Press::Letter(letter),
        _ => return None,
    })
}
