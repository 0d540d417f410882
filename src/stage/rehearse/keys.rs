//! The keys of a rehearsal.

use crossterm::event::KeyCode;

use crate::runtime::{KeyBinding, KeyTable};
use class::words::WORDS;

/// What the coach asks for with one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Press {
    /// Begins; then: ready for the next station; then: on to the next changeover.
    Ready,
    /// Goes to the next changeover.
    Next,
    /// Goes back to the changeover before.
    Back,
    /// Starts this changeover again.
    Again,
    /// Marks this changeover as tight, or removes the mark.
    Tight,
    MoreRest,
    LessRest,
    /// Moves the next station one place earlier in its block.
    Earlier,
    /// Moves the next station one place later in its block.
    Later,
    Undo,
    Redo,
    Hold,
    Mute,
    Help,
    /// Goes to the table; from the table, leaves.
    Quit,
    Yes,
    No,
    /// Leaves at once and writes nothing.
    Interrupt,
    Suspend,
}

/// The keys, most needed first.
pub const KEYS: &[KeyBinding<Press>] = &[
    KeyBinding::new(Press::Ready, &[KeyCode::Char(' '), KeyCode::Enter, KeyCode::Char('r')], || {
        &WORDS.rehearse.keys.ready
    }),
    KeyBinding::new(Press::Next, &[KeyCode::Right], || &WORDS.rehearse.keys.next),
    KeyBinding::new(Press::Back, &[KeyCode::Left], || &WORDS.rehearse.keys.back),
    KeyBinding::new(Press::Again, &[KeyCode::Char('a')], || &WORDS.rehearse.keys.again),
    KeyBinding::new(Press::Tight, &[KeyCode::Char('t')], || &WORDS.rehearse.keys.tight),
    KeyBinding::new(Press::MoreRest, &[KeyCode::Char('+'), KeyCode::Char('=')], || &WORDS.rehearse.keys.more_rest),
    KeyBinding::new(Press::LessRest, &[KeyCode::Char('-')], || &WORDS.rehearse.keys.less_rest),
    KeyBinding::new(Press::Earlier, &[KeyCode::Char('['), KeyCode::Up], || &WORDS.rehearse.keys.earlier),
    KeyBinding::new(Press::Later, &[KeyCode::Char(']'), KeyCode::Down], || &WORDS.rehearse.keys.later),
    KeyBinding::new(Press::Undo, &[KeyCode::Char('u')], || &WORDS.rehearse.keys.undo),
    KeyBinding::new(Press::Redo, &[KeyCode::Char('U')], || &WORDS.rehearse.keys.redo),
    KeyBinding::new(Press::Hold, &[KeyCode::Char('h')], || &WORDS.rehearse.keys.hold),
    KeyBinding::new(Press::Mute, &[KeyCode::Char('m')], || &WORDS.rehearse.keys.mute),
    KeyBinding::new(Press::Help, &[KeyCode::Char('?'), KeyCode::F(1)], || &WORDS.rehearse.keys.help),
    KeyBinding::new(Press::Quit, &[KeyCode::Char('q')], || &WORDS.rehearse.keys.end),
    KeyBinding::new(Press::Interrupt, &[], || &WORDS.rehearse.keys.leave),
];

impl KeyTable for Press {
    const LISTED: &'static [KeyBinding<Press>] = KEYS;
    const BESIDE: &'static [(KeyCode, Press)] =
        &[(KeyCode::Char('y'), Press::Yes), (KeyCode::Char('n'), Press::No), (KeyCode::Esc, Press::No)];
    const INTERRUPT: Press = Press::Interrupt;
    const SUSPEND: Press = Press::Suspend;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::runtime::doubled;

    #[test]
    fn each_key_has_one_meaning() {
        assert_eq!(doubled::<Press>(), []);
    }
}
