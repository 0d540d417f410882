//! The keys of a class, and how they are named.

use crossterm::event::KeyCode;

use crate::runtime::{KeyBinding, KeyCommand};
use class::words::WORDS;
use sound::SoundBus;

/// What the coach asks for with one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LeadCommand {
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
    /// Like [`LeadCommand::Offer`], for a device without a button to close: its first offer undoes a change just made.
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
    Softer(SoundBus),
    /// Makes one kind of sound a step louder.
    Louder(SoundBus),
    /// Marks this moment for later.
    Mark,
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
pub const KEYS: &[KeyBinding<LeadCommand>] = &[
    KeyBinding::new(LeadCommand::Go, &[KeyCode::Char(' '), KeyCode::Enter], || &WORDS.lead.keys.go),
    KeyBinding::new(LeadCommand::Next, &[KeyCode::Right], || &WORDS.lead.keys.next),
    KeyBinding::new(LeadCommand::Back, &[KeyCode::Left], || &WORDS.lead.keys.back),
    KeyBinding::new(LeadCommand::Again, &[KeyCode::Char('a')], || &WORDS.lead.keys.again),
    KeyBinding::new(LeadCommand::Offer, &[KeyCode::Char('o')], || &WORDS.lead.keys.offer),
    KeyBinding::new(LeadCommand::Close, &[KeyCode::Backspace], || &WORDS.lead.keys.close),
    KeyBinding::new(LeadCommand::Longer, &[KeyCode::Char('+'), KeyCode::Char('=')], || &WORDS.lead.keys.longer),
    KeyBinding::new(LeadCommand::Undo, &[KeyCode::Char('u')], || &WORDS.lead.keys.undo),
    KeyBinding::new(LeadCommand::Mute, &[KeyCode::Char('m')], || &WORDS.lead.keys.mute),
    KeyBinding::new(LeadCommand::Less, &[KeyCode::Char('v')], || &WORDS.lead.keys.less),
    KeyBinding::new(LeadCommand::NotNow, &[KeyCode::Char('x')], || &WORDS.lead.keys.not_now),
    KeyBinding::new(LeadCommand::SayAgain, &[KeyCode::Char('w')], || &WORDS.lead.keys.say_again),
    KeyBinding::new(LeadCommand::Softer(SoundBus::Tones), &[], || &WORDS.lead.keys.volume),
    KeyBinding::new(LeadCommand::Mark, &[KeyCode::Char('g')], || &WORDS.lead.keys.mark),
    KeyBinding::new(LeadCommand::AllReady, &[KeyCode::Char('r')], || &WORDS.lead.keys.all_ready),
    KeyBinding::new(LeadCommand::Stop, &[KeyCode::Char('s')], || &WORDS.lead.keys.stop),
    KeyBinding::new(LeadCommand::Far, &[KeyCode::Char('f')], || &WORDS.lead.keys.far),
    KeyBinding::new(LeadCommand::Help, &[KeyCode::Char('?'), KeyCode::Char('h'), KeyCode::F(1)], || {
        &WORDS.lead.keys.help
    }),
    KeyBinding::new(LeadCommand::Quit, &[KeyCode::Char('q')], || &WORDS.lead.keys.quit),
    KeyBinding::new(LeadCommand::Suspend, &[], || &WORDS.lead.keys.suspend),
];

impl KeyCommand for LeadCommand {
    const LISTED: &'static [KeyBinding<LeadCommand>] = KEYS;
    const BESIDE: &'static [(KeyCode, LeadCommand)] = &[
        (KeyCode::Char('y'), LeadCommand::Yes),
        (KeyCode::Char('n'), LeadCommand::No),
        (KeyCode::Esc, LeadCommand::No),
        (KeyCode::Char('-'), LeadCommand::Shorter),
        (KeyCode::Char('U'), LeadCommand::Redo),
        (KeyCode::Char('V'), LeadCommand::More),
        (KeyCode::Char('1'), LeadCommand::Softer(SoundBus::Tones)),
        (KeyCode::Char('2'), LeadCommand::Louder(SoundBus::Tones)),
        (KeyCode::Char('3'), LeadCommand::Softer(SoundBus::Speech)),
        (KeyCode::Char('4'), LeadCommand::Louder(SoundBus::Speech)),
        (KeyCode::Char('5'), LeadCommand::Softer(SoundBus::Music)),
        (KeyCode::Char('6'), LeadCommand::Louder(SoundBus::Music)),
    ];
    const INTERRUPT: LeadCommand = LeadCommand::Interrupt;
    const SUSPEND: LeadCommand = LeadCommand::Suspend;
}

#[cfg(test)]
mod tests {
    use crossterm::event::{KeyEvent, KeyEventKind, KeyModifiers};

    use super::*;
    use crate::runtime::{command_of_key, doubled};

    fn typed(code: KeyCode, held: KeyModifiers) -> Option<LeadCommand> {
        command_of_key(KeyEvent::new(code, held))
    }

    #[test]
    fn each_key_has_one_meaning() {
        assert_eq!(doubled::<LeadCommand>(), []);
    }

    #[test]
    fn letting_go_and_holding_down_mean_nothing() {
        for kind in [KeyEventKind::Release, KeyEventKind::Repeat] {
            let event = KeyEvent::new_with_kind(KeyCode::Char(' '), KeyModifiers::NONE, kind);
            assert_eq!(command_of_key::<LeadCommand>(event), None);
        }
        assert_eq!(typed(KeyCode::Char(' '), KeyModifiers::NONE), Some(LeadCommand::Go));
    }

    #[test]
    fn capitals_mean_the_same_but_for_those_with_a_meaning_of_their_own() {
        let letter = |letter| typed(KeyCode::Char(letter), KeyModifiers::SHIFT);
        assert_eq!((letter('A'), letter('Y')), (Some(LeadCommand::Again), Some(LeadCommand::Yes)));
        assert_eq!((letter('v'), letter('V')), (Some(LeadCommand::Less), Some(LeadCommand::More)));
    }

    #[test]
    fn control_is_not_the_plain_letter() {
        assert_eq!(typed(KeyCode::Char('a'), KeyModifiers::CONTROL), None);
        assert_eq!(typed(KeyCode::Char('c'), KeyModifiers::CONTROL), Some(LeadCommand::Interrupt));
    }
}
