//! The keys of planning. What a key does depends on what has the focus, so a key is passed on as it is pressed.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use class::words::{KeyWords, PlanKeys, WORDS};

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

/// An entry of the table of keys.
#[derive(Clone, Copy, Debug)]
pub struct PlanKeyBinding {
    does: PlanCommand,
    strokes: &'static [KeyStroke],
    words: fn(&'static PlanKeys) -> &'static KeyWords,
}

use KeyStroke::Letter;

/// The keys, in the order in which they are shown.
pub const KEYS: &[PlanKeyBinding] = &[
    key(PlanCommand::Add, &[Letter('a'), KeyStroke::Enter, KeyStroke::Tab, Letter('/')], |keys| &keys.add),
    key(PlanCommand::Replace, &[Letter('r')], |keys| &keys.replace),
    key(PlanCommand::Drop, &[Letter('x'), KeyStroke::Delete], |keys| &keys.drop),
    key(PlanCommand::Earlier, &[Letter('[')], |keys| &keys.earlier),
    key(PlanCommand::Later, &[Letter(']')], |keys| &keys.later),
    key(PlanCommand::Longer, &[Letter('+'), Letter('='), KeyStroke::Right], |keys| &keys.longer),
    key(PlanCommand::Shorter, &[Letter('-'), KeyStroke::Left], |keys| &keys.shorter),
    key(PlanCommand::Swap, &[Letter('o')], |keys| &keys.swap),
    key(PlanCommand::Block, &[Letter('b')], |keys| &keys.block),
    key(PlanCommand::MoreRest, &[Letter('>'), Letter('.')], |keys| &keys.more_rest),
    key(PlanCommand::LessRest, &[Letter('<'), Letter(',')], |keys| &keys.less_rest),
    key(PlanCommand::Length, &[Letter('d')], |keys| &keys.length),
    key(PlanCommand::Rounds(1), &[], |keys| &keys.rounds),
    key(PlanCommand::Sides, &[Letter('s')], |keys| &keys.sides),
    key(PlanCommand::Easier, &[Letter('e')], |keys| &keys.easier),
    key(PlanCommand::Harder, &[Letter('h')], |keys| &keys.harder),
    key(PlanCommand::Prompts, &[Letter('p')], |keys| &keys.prompts),
    key(PlanCommand::Note, &[Letter('n')], |keys| &keys.note),
    key(PlanCommand::Name, &[Letter('w')], |keys| &keys.name),
    key(PlanCommand::Kit, &[Letter('k')], |keys| &keys.kit),
    key(PlanCommand::Tempo, &[Letter('c')], |keys| &keys.tempo),
    key(PlanCommand::People, &[Letter('g')], |keys| &keys.people),
    key(PlanCommand::Undo, &[Letter('u')], |keys| &keys.undo),
    key(PlanCommand::Redo, &[Letter('U')], |keys| &keys.redo),
    key(PlanCommand::Fit, &[Letter('f')], |keys| &keys.fit),
    key(PlanCommand::Listen, &[Letter('l')], |keys| &keys.listen),
    key(PlanCommand::Try, &[Letter('t')], |keys| &keys.attempt),
    key(PlanCommand::Help, &[Letter('?'), KeyStroke::Help], |keys| &keys.help),
    key(PlanCommand::Leave, &[Letter('q'), KeyStroke::Escape], |keys| &keys.leave),
];

const fn key(
    does: PlanCommand,
    strokes: &'static [KeyStroke],
    words: fn(&'static PlanKeys) -> &'static KeyWords,
) -> PlanKeyBinding {
    PlanKeyBinding { does, strokes, words }
}

impl PlanKeyBinding {
    /// The key for an action, if the table has one.
    pub fn of(does: PlanCommand) -> Option<&'static PlanKeyBinding> {
        KEYS.iter().find(|key| key.does == does)
    }

    /// The name of the key and what it does, in words.
    pub(crate) fn words(&self) -> &'static KeyWords {
        (self.words)(&WORDS.plan.keys)
    }
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
        _ => KEYS.iter().find(|key| key.strokes.contains(&stroke)).map(|key| key.does),
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
