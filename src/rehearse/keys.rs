//! The keys of a rehearsal.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::words::{RehearseKey, RehearseKeys, WORDS};

/// What the coach asks for by one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Press {
    /// Begins; ready for what comes; once ready, on to the next transition.
    Ready,
    /// On to the next transition.
    Next,
    /// The transition before.
    Back,
    /// This transition once more.
    Again,
    /// Marks it as tight, or takes the mark away.
    Tight,
    MoreRest,
    LessRest,
    /// Moves the station that comes one earlier in its block.
    Earlier,
    /// Moves it one later.
    Later,
    Undo,
    Redo,
    Hold,
    Mute,
    Help,
    /// To the table; from there, out.
    Quit,
    Yes,
    No,
    /// Out at once, nothing written.
    Interrupt,
    Suspend,
}

/// A key of the table.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    press: Press,
    codes: &'static [KeyCode],
    words: fn(&'static RehearseKeys) -> &'static RehearseKey,
}

/// The keys, the most needed first.
pub const KEYS: &[Key] = &[
    key(Press::Ready, &[KeyCode::Char(' '), KeyCode::Enter, KeyCode::Char('r')], |keys| &keys.ready),
    key(Press::Next, &[KeyCode::Right], |keys| &keys.next),
    key(Press::Back, &[KeyCode::Left], |keys| &keys.back),
    key(Press::Again, &[KeyCode::Char('a')], |keys| &keys.again),
    key(Press::Tight, &[KeyCode::Char('t')], |keys| &keys.tight),
    key(Press::MoreRest, &[KeyCode::Char('+'), KeyCode::Char('=')], |keys| &keys.more_rest),
    key(Press::LessRest, &[KeyCode::Char('-')], |keys| &keys.less_rest),
    key(Press::Earlier, &[KeyCode::Char('['), KeyCode::Up], |keys| &keys.earlier),
    key(Press::Later, &[KeyCode::Char(']'), KeyCode::Down], |keys| &keys.later),
    key(Press::Undo, &[KeyCode::Char('u')], |keys| &keys.undo),
    key(Press::Redo, &[KeyCode::Char('U')], |keys| &keys.redo),
    key(Press::Hold, &[KeyCode::Char('h')], |keys| &keys.hold),
    key(Press::Mute, &[KeyCode::Char('m')], |keys| &keys.mute),
    key(Press::Help, &[KeyCode::Char('?'), KeyCode::F(1)], |keys| &keys.help),
    key(Press::Quit, &[KeyCode::Char('q')], |keys| &keys.end),
    key(Press::Interrupt, &[], |keys| &keys.leave),
];

const fn key(press: Press, codes: &'static [KeyCode], words: fn(&'static RehearseKeys) -> &'static RehearseKey) -> Key {
    Key { press, codes, words }
}

impl Key {
    /// The key that asks for something, if the table has one.
    pub fn of(press: Press) -> Option<&'static Key> {
        KEYS.iter().find(|key| key.press == press)
    }

    /// As printed on the keyboard.
    pub fn label(&self) -> &'static str {
        &self.words().label
    }

    /// What it does, in a word or two.
    pub fn short(&self) -> &'static str {
        &self.words().short
    }

    /// What it does, in a sentence.
    pub fn long(&self) -> &'static str {
        &self.words().long
    }

    fn words(&self) -> &'static RehearseKey {
        (self.words)(&WORDS.rehearse.keys)
    }
}

/// What a key of the terminal asks for. None for a key without a meaning, and for a key let go or held down.
pub fn press(event: KeyEvent) -> Option<Press> {
    if event.kind != KeyEventKind::Press {
        return None;
    }
    if event.modifiers.contains(KeyModifiers::CONTROL) {
        return match event.code {
            KeyCode::Char('c') => Some(Press::Interrupt),
            KeyCode::Char('z') => Some(Press::Suspend),
            _ => None,
        };
    }
    let code = match event.code {
        KeyCode::Char('y') => return Some(Press::Yes),
        KeyCode::Char('n') | KeyCode::Esc => return Some(Press::No),
        KeyCode::Char(letter) if letter != 'U' => KeyCode::Char(letter.to_ascii_lowercase()),
        code => code,
    };
    KEYS.iter().find(|key| key.codes.contains(&code)).map(|key| key.press)
}
