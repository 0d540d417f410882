//! The keys of a rehearsal.

use crossterm::event::KeyCode;

use crate::runtime::{KeyBinding, KeyCommand};
use class::words::WORDS;

/// The command that one key gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RehearseCommand {
    /// Starts the rehearsal; then: ready for the next station; then: the next changeover.
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
    Pause,
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
pub const KEYS: &[KeyBinding<RehearseCommand>] = &[
    KeyBinding::new(RehearseCommand::Ready, &[KeyCode::Char(' '), KeyCode::Enter, KeyCode::Char('r')], || {
        &WORDS.rehearse.keys.ready
    }),
    KeyBinding::new(RehearseCommand::Next, &[KeyCode::Right], || &WORDS.rehearse.keys.next),
    KeyBinding::new(RehearseCommand::Back, &[KeyCode::Left], || &WORDS.rehearse.keys.back),
    KeyBinding::new(RehearseCommand::Again, &[KeyCode::Char('a')], || &WORDS.rehearse.keys.again),
    KeyBinding::new(RehearseCommand::Tight, &[KeyCode::Char('t')], || &WORDS.rehearse.keys.tight),
    KeyBinding::new(RehearseCommand::MoreRest, &[KeyCode::Char('+'), KeyCode::Char('=')], || {
        &WORDS.rehearse.keys.more_rest
    }),
    KeyBinding::new(RehearseCommand::LessRest, &[KeyCode::Char('-')], || &WORDS.rehearse.keys.less_rest),
    KeyBinding::new(RehearseCommand::Earlier, &[KeyCode::Char('['), KeyCode::Up], || &WORDS.rehearse.keys.earlier),
    KeyBinding::new(RehearseCommand::Later, &[KeyCode::Char(']'), KeyCode::Down], || &WORDS.rehearse.keys.later),
    KeyBinding::new(RehearseCommand::Undo, &[KeyCode::Char('u')], || &WORDS.rehearse.keys.undo),
    KeyBinding::new(RehearseCommand::Redo, &[KeyCode::Char('U')], || &WORDS.rehearse.keys.redo),
    KeyBinding::new(RehearseCommand::Pause, &[KeyCode::Char('h')], || &WORDS.rehearse.keys.pause),
    KeyBinding::new(RehearseCommand::Mute, &[KeyCode::Char('m')], || &WORDS.rehearse.keys.mute),
    KeyBinding::new(RehearseCommand::Help, &[KeyCode::Char('?'), KeyCode::F(1)], || &WORDS.rehearse.keys.help),
    KeyBinding::new(RehearseCommand::Quit, &[KeyCode::Char('q')], || &WORDS.rehearse.keys.end),
    KeyBinding::new(RehearseCommand::Interrupt, &[], || &WORDS.rehearse.keys.leave),
];

impl KeyCommand for RehearseCommand {
    const LISTED: &'static [KeyBinding<RehearseCommand>] = KEYS;
    const BESIDE: &'static [(KeyCode, RehearseCommand)] = &[
        (KeyCode::Char('y'), RehearseCommand::Yes),
        (KeyCode::Char('n'), RehearseCommand::No),
        (KeyCode::Esc, RehearseCommand::No),
    ];
    const INTERRUPT: RehearseCommand = RehearseCommand::Interrupt;
    const SUSPEND: RehearseCommand = RehearseCommand::Suspend;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::runtime::doubled;

    #[test]
    fn each_key_has_one_meaning() {
        assert_eq!(doubled::<RehearseCommand>(), []);
    }
}
