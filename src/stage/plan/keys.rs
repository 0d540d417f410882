//! The keys of planning. What a key does depends on what has the focus, so a key is passed on as it is pressed.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use crate::runtime::KeyBinding;
use class::words::WORDS;

/// A key as it is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum KeyStroke {
    Letter(char),
    Enter,
    Escape,
    Tab,
    BackTab,
    Up,
    Down,
    Left,
    Right,
    PageUp,
    PageDown,
    Home,
    End,
    Backspace,
    Delete,
    Help,
    Interrupt,
    Suspend,
}

/// What a key does to the class.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlanCommand {
    Up,
    Down,
    PageUp,
    PageDown,
    First,
    Last,
    Add,
    Replace,
    Block,
    Earlier,
    Later,
    Drop,
    Longer,
    Shorter,
    MoreRest,
    LessRest,
    Rounds(u32),
    Sides,
    Easier,
    Harder,
    Prompts,
    Note,
    Name,
    Length,
    Kit,
    Tempo,
    People,
    Swap,
    Undo,
    Redo,
    Fit,
    Listen,
    Try,
    Help,
    Leave,
}

use KeyStroke::Letter;

/// The keys, in the order in which they are shown.
pub const KEYS: &[PlanKey] = &[
    KeyBinding::new(PlanCommand::Add, &[Letter('a'), KeyStroke::Enter, KeyStroke::Tab, Letter('/')], || {
        &WORDS.plan.keys.add
    }),
    KeyBinding::new(PlanCommand::Replace, &[Letter('r')], || &WORDS.plan.keys.replace),
    KeyBinding::new(PlanCommand::Drop, &[Letter('x'), KeyStroke::Delete], || &WORDS.plan.keys.drop),
    KeyBinding::new(PlanCommand::Earlier, &[Letter('[')], || &WORDS.plan.keys.earlier),
    KeyBinding::new(PlanCommand::Later, &[Letter(']')], || &WORDS.plan.keys.later),
    KeyBinding::new(PlanCommand::Longer, &[Letter('+'), Letter('='), KeyStroke::Right], || &WORDS.plan.keys.longer),
    KeyBinding::new(PlanCommand::Shorter, &[Letter('-'), KeyStroke::Left], || &WORDS.plan.keys.shorter),
    KeyBinding::new(PlanCommand::Swap, &[Letter('o')], || &WORDS.plan.keys.swap),
    KeyBinding::new(PlanCommand::Block, &[Letter('b')], || &WORDS.plan.keys.block),
    KeyBinding::new(PlanCommand::MoreRest, &[Letter('>'), Letter('.')], || &WORDS.plan.keys.more_rest),
    KeyBinding::new(PlanCommand::LessRest, &[Letter('<'), Letter(',')], || &WORDS.plan.keys.less_rest),
    KeyBinding::new(PlanCommand::Length, &[Letter('d')], || &WORDS.plan.keys.length),
    KeyBinding::new(PlanCommand::Rounds(1), &[], || &WORDS.plan.keys.rounds),
    KeyBinding::new(PlanCommand::Sides, &[Letter('s')], || &WORDS.plan.keys.sides),
    KeyBinding::new(PlanCommand::Easier, &[Letter('e')], || &WORDS.plan.keys.easier),
    KeyBinding::new(PlanCommand::Harder, &[Letter('h')], || &WORDS.plan.keys.harder),
    KeyBinding::new(PlanCommand::Prompts, &[Letter('p')], || &WORDS.plan.keys.prompts),
    KeyBinding::new(PlanCommand::Note, &[Letter('n')], || &WORDS.plan.keys.note),
    KeyBinding::new(PlanCommand::Name, &[Letter('w')], || &WORDS.plan.keys.name),
    KeyBinding::new(PlanCommand::Kit, &[Letter('k')], || &WORDS.plan.keys.kit),
    KeyBinding::new(PlanCommand::Tempo, &[Letter('c')], || &WORDS.plan.keys.tempo),
    KeyBinding::new(PlanCommand::People, &[Letter('g')], || &WORDS.plan.keys.people),
    KeyBinding::new(PlanCommand::Undo, &[Letter('u')], || &WORDS.plan.keys.undo),
    KeyBinding::new(PlanCommand::Redo, &[Letter('U')], || &WORDS.plan.keys.redo),
    KeyBinding::new(PlanCommand::Fit, &[Letter('f')], || &WORDS.plan.keys.fit),
    KeyBinding::new(PlanCommand::Listen, &[Letter('l')], || &WORDS.plan.keys.listen),
    KeyBinding::new(PlanCommand::Try, &[Letter('t')], || &WORDS.plan.keys.attempt),
    KeyBinding::new(PlanCommand::Help, &[Letter('?'), KeyStroke::Help], || &WORDS.plan.keys.help),
    KeyBinding::new(PlanCommand::Leave, &[Letter('q'), KeyStroke::Escape], || &WORDS.plan.keys.leave),
];

/// A key of planning.
pub type PlanKey = KeyBinding<PlanCommand, KeyStroke>;

/// The key for an action, if the table has one.
pub fn key_of(command: PlanCommand) -> Option<&'static PlanKey> {
    KEYS.iter().find(|key| key.command() == command)
}

/// What a key does while the class has the focus.
pub(super) fn command_of_stroke(stroke: KeyStroke) -> Option<PlanCommand> {
    match stroke {
        KeyStroke::Up => Some(PlanCommand::Up),
        KeyStroke::Down => Some(PlanCommand::Down),
        KeyStroke::PageUp => Some(PlanCommand::PageUp),
        KeyStroke::PageDown => Some(PlanCommand::PageDown),
        KeyStroke::Home => Some(PlanCommand::First),
        KeyStroke::End => Some(PlanCommand::Last),
        Letter(digit @ '1'..='9') => digit.to_digit(10).map(PlanCommand::Rounds),
        _ => KEYS.iter().find(|key| key.codes().contains(&stroke)).map(KeyBinding::command),
    }
}

/// The stroke of a key of the terminal. None for a key without a meaning, and for the release of a key.
pub fn stroke(event: KeyEvent) -> Option<KeyStroke> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    if event.modifiers.contains(KeyModifiers::CONTROL) {
        return match event.code {
            KeyCode::Char('c') => Some(KeyStroke::Interrupt),
            KeyCode::Char('z') => Some(KeyStroke::Suspend),
            _ => None,
        };
    }
    Some(match event.code {
        KeyCode::Char(letter) => Letter(letter),
        KeyCode::Enter => KeyStroke::Enter,
        KeyCode::Esc => KeyStroke::Escape,
        KeyCode::Tab => KeyStroke::Tab,
        KeyCode::BackTab => KeyStroke::BackTab,
        KeyCode::Up => KeyStroke::Up,
        KeyCode::Down => KeyStroke::Down,
        KeyCode::Left => KeyStroke::Left,
        KeyCode::Right => KeyStroke::Right,
        KeyCode::PageUp => KeyStroke::PageUp,
        KeyCode::PageDown => KeyStroke::PageDown,
        KeyCode::Home => KeyStroke::Home,
        KeyCode::End => KeyStroke::End,
        KeyCode::Backspace => KeyStroke::Backspace,
        KeyCode::Delete => KeyStroke::Delete,
        KeyCode::F(1) => KeyStroke::Help,
        _ => return None,
    })
}
