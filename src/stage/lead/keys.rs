//! The keys of a class, and how they are named.

use crossterm::event::KeyCode;

use crate::runtime::{KeyBinding, KeyTable};
use class::words::WORDS;
use sound::Bus;

/// What the coach asks for with one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Press {
    /// Starts the class or a waiting block; pauses; resumes.
    Go,
    /// Goes to the next span.
    Next,
    /// Goes back to the station before.
    Back,
    /// Starts this span again.
    Again,
    /// Opens the offers, or shows the next one.
    Offer,
    /// Like [`Press::Offer`], for a device without a button to close: its first offer undoes a change just made.
    OfferUndo,
    /// Closes the offers. If none are open: undoes a change just made.
    Close,
    /// Makes the current span longer.
    Longer,
    /// Makes the current span shorter.
    Shorter,
    /// Undoes the last change.
    Undo,
    /// Redoes the change that was undone last.
    Redo,
    /// Mutes all sound, or unmutes it.
    Mute,
    /// Less voice.
    Less,
    /// More voice.
    More,
    /// Cuts off the current cue, and says nothing more in this span but the time.
    NotNow,
    /// Repeats the last cue that the class must hear.
    SayAgain,
    /// Makes one kind of sound a step softer.
    Softer(Bus),
    /// Makes one kind of sound a step louder.
    Louder(Bus),
    /// Marks this moment for later.
    Flag,
    /// Everybody is ready for the station: records how long the change took.
    AllReady,
    /// Emergency: pauses, silences everything and shows the emergency text.
    Stop,
    /// Switches between the far view and the coach's view.
    Far,
    /// Opens or closes the list of keys.
    Help,
    /// Asks whether to quit.
    Quit,
    /// Answers yes.
    Yes,
    /// Answers no, or closes what is open.
    No,
    /// Asks whether to quit; quits if this is asked already.
    Interrupt,
    /// Hands the terminal to the shell for a while.
    Suspend,
}

/// The keys, most needed first.
pub const KEYS: &[KeyBinding<Press>] = &[
    KeyBinding::new(Press::Go, &[KeyCode::Char(' '), KeyCode::Enter], || &WORDS.lead.keys.go),
    KeyBinding::new(Press::Next, &[KeyCode::Right], || &WORDS.lead.keys.next),
    KeyBinding::new(Press::Back, &[KeyCode::Left], || &WORDS.lead.keys.back),
    KeyBinding::new(Press::Again, &[KeyCode::Char('a')], || &WORDS.lead.keys.again),
    KeyBinding::new(Press::Offer, &[KeyCode::Char('o')], || &WORDS.lead.keys.offer),
    KeyBinding::new(Press::Close, &[KeyCode::Backspace], || &WORDS.lead.keys.close),
    KeyBinding::new(Press::Longer, &[KeyCode::Char('+'), KeyCode::Char('=')], || &WORDS.lead.keys.longer),
    KeyBinding::new(Press::Undo, &[KeyCode::Char('u')], || &WORDS.lead.keys.undo),
    KeyBinding::new(Press::Mute, &[KeyCode::Char('m')], || &WORDS.lead.keys.mute),
    KeyBinding::new(Press::Less, &[KeyCode::Char('v')], || &WORDS.lead.keys.less),
    KeyBinding::new(Press::NotNow, &[KeyCode::Char('x')], || &WORDS.lead.keys.not_now),
    KeyBinding::new(Press::SayAgain, &[KeyCode::Char('w')], || &WORDS.lead.keys.say_again),
    KeyBinding::new(Press::Softer(Bus::Tones), &[], || &WORDS.lead.keys.volume),
    KeyBinding::new(Press::Flag, &[KeyCode::Char('g')], || &WORDS.lead.keys.flag),
    KeyBinding::new(Press::AllReady, &[KeyCode::Char('r')], || &WORDS.lead.keys.all_ready),
    KeyBinding::new(Press::Stop, &[KeyCode::Char('s')], || &WORDS.lead.keys.stop),
    KeyBinding::new(Press::Far, &[KeyCode::Char('f')], || &WORDS.lead.keys.far),
    KeyBinding::new(Press::Help, &[KeyCode::Char('?'), KeyCode::Char('h'), KeyCode::F(1)], || &WORDS.lead.keys.help),
    KeyBinding::new(Press::Quit, &[KeyCode::Char('q')], || &WORDS.lead.keys.quit),
    KeyBinding::new(Press::Suspend, &[], || &WORDS.lead.keys.suspend),
];

impl KeyTable for Press {
    const LISTED: &'static [KeyBinding<Press>] = KEYS;
    const BESIDE: &'static [(KeyCode, Press)] = &[
        (KeyCode::Char('y'), Press::Yes),
        (KeyCode::Char('n'), Press::No),
        (KeyCode::Esc, Press::No),
        (KeyCode::Char('-'), Press::Shorter),
        (KeyCode::Char('U'), Press::Redo),
        (KeyCode::Char('V'), Press::More),
        (KeyCode::Char('1'), Press::Softer(Bus::Tones)),
        (KeyCode::Char('2'), Press::Louder(Bus::Tones)),
        (KeyCode::Char('3'), Press::Softer(Bus::Speech)),
        (KeyCode::Char('4'), Press::Louder(Bus::Speech)),
        (KeyCode::Char('5'), Press::Softer(Bus::Music)),
        (KeyCode::Char('6'), Press::Louder(Bus::Music)),
    ];
    const INTERRUPT: Press = Press::Interrupt;
    const SUSPEND: Press = Press::Suspend;
}

#[cfg(test)]
mod tests {
    use crossterm::event::{KeyEvent, KeyEventKind, KeyModifiers};

    use super::*;
    use crate::runtime::{doubled, press};

    fn typed(code: KeyCode, held: KeyModifiers) -> Option<Press> {
        press(KeyEvent::new(code, held))
    }

    #[test]
    fn each_key_has_one_meaning() {
        assert_eq!(doubled::<Press>(), []);
    }

    #[test]
    fn letting_go_and_holding_down_mean_nothing() {
        for kind in [KeyEventKind::Release, KeyEventKind::Repeat] {
            let event = KeyEvent::new_with_kind(KeyCode::Char(' '), KeyModifiers::NONE, kind);
            assert_eq!(press::<Press>(event), None);
        }
        assert_eq!(typed(KeyCode::Char(' '), KeyModifiers::NONE), Some(Press::Go));
    }

    #[test]
    fn capitals_mean_the_same_but_for_those_with_a_meaning_of_their_own() {
        let letter = |letter| typed(KeyCode::Char(letter), KeyModifiers::SHIFT);
        assert_eq!((letter('A'), letter('Y')), (Some(Press::Again), Some(Press::Yes)));
        assert_eq!((letter('v'), letter('V')), (Some(Press::Less), Some(Press::More)));
    }

    #[test]
    fn control_is_not_the_plain_letter() {
        assert_eq!(typed(KeyCode::Char('a'), KeyModifiers::CONTROL), None);
        assert_eq!(typed(KeyCode::Char('c'), KeyModifiers::CONTROL), Some(Press::Interrupt));
    }
}
