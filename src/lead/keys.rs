//! The keys of a class, and what they are called.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::sound::Bus;

/// What the coach asks for by one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Press {
    /// Starts the class or a block that waits; holds; goes on.
    Go,
    /// The next span, now.
    Next,
    /// The station before, once more.
    Back,
    /// This span, once more.
    Again,
    /// Silence, or sound again.
    Mute,
    /// The machine says less.
    Less,
    /// The machine says more.
    More,
    /// One kind of sound a step softer.
    Softer(Bus),
    /// One kind of sound a step louder.
    Louder(Bus),
    /// Emergency: hold, silence, show what the room says to do.
    Stop,
    /// The far view, or the coach's again.
    Far,
    /// The keys, or away with them.
    Help,
    /// Asks whether to quit.
    Quit,
    /// Answers yes.
    Yes,
    /// Answers no, closes what is open.
    No,
    /// Asks whether to quit, and quits when that is asked already.
    Interrupt,
    /// Hands the terminal back to the shell for a while.
    Suspend,
}

/// A key of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// As printed on the keyboard.
    pub label: &'static str,
    /// As it is called where it cannot be seen.
    pub spoken: &'static str,
    /// What it does, in a word or two, for the bottom line.
    pub short: &'static str,
    /// What it does, in a sentence, for the help.
    pub long: &'static str,
    codes: &'static [KeyCode],
    press: Press,
}

/// The keys, the most needed first.
pub const KEYS: &[Key] = &[
    Key {
        label: "space",
        spoken: "Space",
        short: "hold",
        long: "Start; hold; go on after a count-in, which a second press skips",
        codes: &[KeyCode::Char(' '), KeyCode::Enter],
        press: Press::Go,
    },
    Key {
        label: "→",
        spoken: "Right arrow",
        short: "next",
        long: "End what runs and go to what follows",
        codes: &[KeyCode::Right],
        press: Press::Next,
    },
    Key {
        label: "←",
        spoken: "Left arrow",
        short: "back",
        long: "Go back to the station before; press again for the one before that",
        codes: &[KeyCode::Left],
        press: Press::Back,
    },
    Key {
        label: "a",
        spoken: "A",
        short: "again",
        long: "Start this station, or this rest, once more",
        codes: &[KeyCode::Char('a')],
        press: Press::Again,
    },
    Key {
        label: "m",
        spoken: "M",
        short: "mute",
        long: "Silence tones and voice, or let them sound again",
        codes: &[KeyCode::Char('m')],
        press: Press::Mute,
    },
    Key {
        label: "v",
        spoken: "Small v",
        short: "say less",
        long: "The machine says less: full, changes, calls, tones, silent",
        codes: &[KeyCode::Char('v')],
        press: Press::Less,
    },
    Key {
        label: "V",
        spoken: "Capital V",
        short: "say more",
        long: "The machine says more",
        codes: &[KeyCode::Char('V')],
        press: Press::More,
    },
    Key {
        label: "1 2",
        spoken: "1 and 2",
        short: "tones",
        long: "Tones softer, louder; 3 and 4 do so for speech",
        codes: &[],
        press: Press::Softer(Bus::Tones),
    },
    Key {
        label: "s",
        spoken: "S",
        short: "stop",
        long: "Emergency: hold the class, silence everything, show what the room says to do",
        codes: &[KeyCode::Char('s')],
        press: Press::Stop,
    },
    Key {
        label: "f",
        spoken: "F",
        short: "far",
        long: "The view for the back row, or the coach's again",
        codes: &[KeyCode::Char('f')],
        press: Press::Far,
    },
    Key {
        label: "?",
        spoken: "Question mark",
        short: "keys",
        long: "This list; the class goes on meanwhile",
        codes: &[KeyCode::Char('?'), KeyCode::Char('h'), KeyCode::F(1)],
        press: Press::Help,
    },
    Key {
        label: "q",
        spoken: "Q",
        short: "quit",
        long: "End the class for good, after a question",
        codes: &[KeyCode::Char('q')],
        press: Press::Quit,
    },
    Key {
        label: "Ctrl-Z",
        spoken: "Control Z",
        short: "shell",
        long: "Hold the class and go to the shell; `fg` comes back",
        codes: &[],
        press: Press::Suspend,
    },
];

impl Key {
    /// The key that asks for something, if the table has one.
    pub fn of(press: Press) -> Option<&'static Key> {
        KEYS.iter().find(|key| key.press == press)
    }
}

/// What a key of the terminal asks for. None for a key without a meaning, and for a key let go.
///
/// A key held down counts as the one press it began with, where the terminal tells.
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
    if event.modifiers.intersects(KeyModifiers::ALT | KeyModifiers::SUPER) {
        return None;
    }
    match event.code {
        KeyCode::Char('y') => return Some(Press::Yes),
        KeyCode::Char('n') | KeyCode::Esc => return Some(Press::No),
        KeyCode::Char('1') => return Some(Press::Softer(Bus::Tones)),
        KeyCode::Char('2') => return Some(Press::Louder(Bus::Tones)),
        KeyCode::Char('3') => return Some(Press::Softer(Bus::Speech)),
        KeyCode::Char('4') => return Some(Press::Louder(Bus::Speech)),
        _ => {}
    }
    // With caps lock on, `A` still means `a`; only `v` and `V` differ.
    let code = match event.code {
        KeyCode::Char(letter) if letter != 'V' => KeyCode::Char(letter.to_ascii_lowercase()),
        code => code,
    };
    KEYS.iter().find(|key| key.codes.contains(&code)).map(|key| key.press)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_key_has_one_meaning() {
        let mut codes: Vec<KeyCode> = KEYS.iter().flat_map(|key| key.codes.iter().copied()).collect();
        let all = codes.len();
        codes.sort_by_key(|code| format!("{code:?}"));
        codes.dedup();
        assert_eq!(codes.len(), all);
    }

    #[test]
    fn letting_go_and_holding_down_mean_nothing() {
        for kind in [KeyEventKind::Release, KeyEventKind::Repeat] {
            let event = KeyEvent::new_with_kind(KeyCode::Char(' '), KeyModifiers::NONE, kind);
            assert_eq!(press(event), None);
        }
        assert_eq!(press(KeyEvent::new(KeyCode::Char(' '), KeyModifiers::NONE)), Some(Press::Go));
    }

    #[test]
    fn capitals_mean_the_same_but_for_the_voice() {
        let typed = |letter| press(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::SHIFT));
        assert_eq!(typed('A'), Some(Press::Again));
        assert_eq!((typed('v'), typed('V')), (Some(Press::Less), Some(Press::More)));
    }

    #[test]
    fn control_is_not_the_plain_letter() {
        assert_eq!(press(KeyEvent::new(KeyCode::Char('a'), KeyModifiers::CONTROL)), None);
        assert_eq!(press(KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL)), Some(Press::Interrupt));
    }
}
