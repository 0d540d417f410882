//! A table of keys: what each key asks for, and how it is named.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use class::words::KeyWords;

/// What a key can ask for, with the table of the keys.
pub trait KeyCommand: Copy + PartialEq + 'static {
    /// The keys in the list, most needed first.
    const LISTED: &'static [KeyBinding<Self>];
    /// Keys without an entry of their own: the entry of another key names them, or every program has them.
    const BESIDE: &'static [(KeyCode, Self)];
    /// What Ctrl-C asks for.
    const INTERRUPT: Self;
    /// What Ctrl-Z asks for.
    const SUSPEND: Self;
}

/// A key of a table. `K`: how the table names a key of the keyboard.
#[derive(Clone, Copy, Debug)]
pub struct KeyBinding<P: 'static, K: 'static = KeyCode> {
    command: P,
    codes: &'static [K],
    words: fn() -> &'static KeyWords,
}

impl<P: Copy, K> KeyBinding<P, K> {
    pub const fn new(command: P, codes: &'static [K], words: fn() -> &'static KeyWords) -> KeyBinding<P, K> {
        KeyBinding { command, codes, words }
    }

    /// What it asks for.
    pub fn command(&self) -> P {
        self.command
    }

    /// The keys of the keyboard that ask for it.
    pub fn codes(&self) -> &'static [K] {
        self.codes
    }

    /// The name of the key and what it does, in words.
    pub fn words(&self) -> &'static KeyWords {
        (self.words)()
    }

    /// Its name as printed on the keyboard.
    pub fn label(&self) -> &'static str {
        &self.words().label
    }

    /// Its name to read aloud.
    pub fn spoken(&self) -> &'static str {
        self.words().spoken.as_deref().unwrap_or(self.label())
    }

    /// What it does, in a word or two, for the bottom line.
    pub fn short(&self) -> &'static str {
        &self.words().short
    }

    /// What it does, in a sentence, for the help.
    pub fn long(&self) -> &'static str {
        &self.words().long
    }
}

impl<P: KeyCommand> KeyBinding<P> {
    /// The key that asks for something, if the table has one.
    pub fn of(command: P) -> Option<&'static KeyBinding<P>> {
        P::LISTED.iter().find(|key| key.command == command)
    }
}

/// What a key of the terminal asks for. None for a key without a meaning, and for a key that is released.
///
/// A key held down counts as one press, if the terminal reports repeats.
pub fn command_of_key<P: KeyCommand>(event: KeyEvent) -> Option<P> {
    if event.kind != KeyEventKind::Press {
        return None;
    }
    if event.modifiers.contains(KeyModifiers::CONTROL) {
        return match event.code {
            KeyCode::Char('c') => Some(P::INTERRUPT),
            KeyCode::Char('z') => Some(P::SUSPEND),
            _ => None,
        };
    }
    if event.modifiers.intersects(KeyModifiers::ALT | KeyModifiers::SUPER) {
        return None;
    }
    // With caps lock on, `A` still means `a`, unless it has a meaning of its own.
    let small = match event.code {
        KeyCode::Char(letter) => KeyCode::Char(letter.to_ascii_lowercase()),
        code => code,
    };
    let meant = |code: KeyCode| {
        let listed = P::LISTED.iter().find(|key| key.codes.contains(&code)).map(|key| key.command);
        listed.or_else(|| P::BESIDE.iter().find(|(beside, _)| *beside == code).map(|(_, press)| *press))
    };
    meant(event.code).or_else(|| meant(small))
}

/// The codes of a table that more than one entry has.
#[cfg(test)]
pub(crate) fn doubled<P: KeyCommand>() -> Vec<KeyCode> {
    let listed = P::LISTED.iter().flat_map(|key| key.codes.iter().copied());
    let codes: Vec<KeyCode> = listed.chain(P::BESIDE.iter().map(|(code, _)| *code)).collect();
    let twice = |(index, code): (usize, &KeyCode)| codes[..index].contains(code).then_some(*code);
    codes.iter().enumerate().filter_map(twice).collect()
}
