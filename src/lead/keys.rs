//! The keys of a class, and what they are called.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::sound::Bus;
use crate::words::{KeyWords, Keys, WORDS};

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
    /// What can be changed, or the next of it.
    Offer,
    /// Closes the offers; else undoes what has just been changed.
    Close,
    /// What runs, longer.
    Longer,
    /// What runs, shorter.
    Shorter,
    /// Without the last change.
    Undo,
    /// With it again.
    Redo,
    /// Silence, or sound again.
    Mute,
    /// The machine says less.
    Less,
    /// The machine says more.
    More,
    /// What is being said breaks off, and nothing more is said in this span.
    NotNow,
    /// What must be said is said once more.
    SayAgain,
    /// One kind of sound a step softer.
    Softer(Bus),
    /// One kind of sound a step louder.
    Louder(Bus),
    /// Marks this for later.
    Flag,
    /// Everybody stands ready for the station: what the change took is kept.
    AllReady,
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
#[derive(Clone, Copy, Debug)]
pub struct Key {
    press: Press,
    codes: &'static [KeyCode],
    words: fn(&'static Keys) -> &'static KeyWords,
}

/// The keys, the most needed first.
pub const KEYS: &[Key] = &[
    key(Press::Go, &[KeyCode::Char(' '), KeyCode::Enter], |keys| &keys.go),
    key(Press::Next, &[KeyCode::Right], |keys| &keys.next),
    key(Press::Back, &[KeyCode::Left], |keys| &keys.back),
    key(Press::Again, &[KeyCode::Char('a')], |keys| &keys.again),
    key(Press::Offer, &[KeyCode::Char('o')], |keys| &keys.offer),
    key(Press::Close, &[KeyCode::Backspace], |keys| &keys.close),
    key(Press::Longer, &[KeyCode::Char('+'), KeyCode::Char('=')], |keys| &keys.longer),
    key(Press::Undo, &[KeyCode::Char('u')], |keys| &keys.undo),
    key(Press::Mute, &[KeyCode::Char('m')], |keys| &keys.mute),
    key(Press::Less, &[KeyCode::Char('v')], |keys| &keys.less),
    key(Press::NotNow, &[KeyCode::Char('x')], |keys| &keys.not_now),
    key(Press::SayAgain, &[KeyCode::Char('w')], |keys| &keys.say_again),
    key(Press::Softer(Bus::Tones), &[], |keys| &keys.volume),
    key(Press::Flag, &[KeyCode::Char('g')], |keys| &keys.flag),
    key(Press::AllReady, &[KeyCode::Char('r')], |keys| &keys.all_ready),
    key(Press::Stop, &[KeyCode::Char('s')], |keys| &keys.stop),
    key(Press::Far, &[KeyCode::Char('f')], |keys| &keys.far),
    key(Press::Help, &[KeyCode::Char('?'), KeyCode::Char('h'), KeyCode::F(1)], |keys| &keys.help),
    key(Press::Quit, &[KeyCode::Char('q')], |keys| &keys.quit),
    key(Press::Suspend, &[], |keys| &keys.suspend),
];

const fn key(press: Press, codes: &'static [KeyCode], words: fn(&'static Keys) -> &'static KeyWords) -> Key {
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

    /// As it is called where it cannot be seen.
    pub fn spoken(&self) -> &'static str {
        &self.words().spoken
    }

    /// What it does, in a word or two, for the bottom line.
    pub fn short(&self) -> &'static str {
        &self.words().short
    }

    /// What it does, in a sentence, for the help.
    pub fn long(&self) -> &'static str {
        &self.words().long
    }

    fn words(&self) -> &'static KeyWords {
        (self.words)(&WORDS.lead.keys)
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
        KeyCode::Char('-') => return Some(Press::Shorter),
        KeyCode::Char('V') => return Some(Press::More),
        KeyCode::Char('U') => return Some(Press::Redo),
        KeyCode::Char('4') => return Some(Press::Louder(Bus::Speech)),
        KeyCode::Char('5') => return Some(Press::Softer(Bus::Music)),
        KeyCode::Char('6') => return Some(Press::Louder(Bus::Music)),
        _ => {}
    }
    // With caps lock on, `A` still means `a`; only `v` and `V`, `u` and `U` differ.
    let code = match event.code {
        KeyCode::Char(letter) => KeyCode::Char(letter.to_ascii_lowercase()),
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
