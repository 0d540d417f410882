//! The keys of planning. What a key does depends on what has the focus, so a key is passed on as it is pressed.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use class::words::{KeyWords, PlanKeys, WORDS};

/// A key as it is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stroke {
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
pub enum Do {
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
    Another,
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
pub struct Key {
    does: Do,
    strokes: &'static [Stroke],
    words: fn(&'static PlanKeys) -> &'static KeyWords,
}

use Stroke::Letter;

/// The keys, in the order in which they are shown.
pub const KEYS: &[Key] = &[
    key(Do::Add, &[Letter('a'), Stroke::Enter, Stroke::Tab, Letter('/')], |keys| &keys.add),
    key(Do::Replace, &[Letter('r')], |keys| &keys.replace),
    key(Do::Drop, &[Letter('x'), Stroke::Delete], |keys| &keys.drop),
    key(Do::Earlier, &[Letter('[')], |keys| &keys.earlier),
    key(Do::Later, &[Letter(']')], |keys| &keys.later),
    key(Do::Longer, &[Letter('+'), Letter('='), Stroke::Right], |keys| &keys.longer),
    key(Do::Shorter, &[Letter('-'), Stroke::Left], |keys| &keys.shorter),
    key(Do::Another, &[Letter('o')], |keys| &keys.another),
    key(Do::Block, &[Letter('b')], |keys| &keys.block),
    key(Do::MoreRest, &[Letter('>'), Letter('.')], |keys| &keys.more_rest),
    key(Do::LessRest, &[Letter('<'), Letter(',')], |keys| &keys.less_rest),
    key(Do::Length, &[Letter('d')], |keys| &keys.length),
    key(Do::Rounds(1), &[], |keys| &keys.rounds),
    key(Do::Sides, &[Letter('s')], |keys| &keys.sides),
    key(Do::Easier, &[Letter('e')], |keys| &keys.easier),
    key(Do::Harder, &[Letter('h')], |keys| &keys.harder),
    key(Do::Prompts, &[Letter('p')], |keys| &keys.prompts),
    key(Do::Note, &[Letter('n')], |keys| &keys.note),
    key(Do::Name, &[Letter('w')], |keys| &keys.name),
    key(Do::Kit, &[Letter('k')], |keys| &keys.kit),
    key(Do::Tempo, &[Letter('c')], |keys| &keys.tempo),
    key(Do::People, &[Letter('g')], |keys| &keys.people),
    key(Do::Undo, &[Letter('u')], |keys| &keys.undo),
    key(Do::Redo, &[Letter('U')], |keys| &keys.redo),
    key(Do::Fit, &[Letter('f')], |keys| &keys.fit),
    key(Do::Listen, &[Letter('l')], |keys| &keys.listen),
    key(Do::Try, &[Letter('t')], |keys| &keys.attempt),
    key(Do::Help, &[Letter('?'), Stroke::Help], |keys| &keys.help),
    key(Do::Leave, &[Letter('q'), Stroke::Escape], |keys| &keys.leave),
];

const fn key(does: Do, strokes: &'static [Stroke], words: fn(&'static PlanKeys) -> &'static KeyWords) -> Key {
    Key { does, strokes, words }
}

impl Key {
    /// The key for an action, if the table has one.
    pub fn of(does: Do) -> Option<&'static Key> {
        KEYS.iter().find(|key| key.does == does)
    }

    /// The name of the key and what it does, in words.
    pub(crate) fn words(&self) -> &'static KeyWords {
        (self.words)(&WORDS.plan.keys)
    }
}

/// What a key does while the class has the focus.
pub(super) fn does(stroke: Stroke) -> Option<Do> {
    match stroke {
        Stroke::Up => Some(Do::Up),
        Stroke::Down => Some(Do::Down),
        Stroke::PageUp => Some(Do::PageUp),
        Stroke::PageDown => Some(Do::PageDown),
        Stroke::Home => Some(Do::First),
        Stroke::End => Some(Do::Last),
        Letter(digit @ '1'..='9') => digit.to_digit(10).map(Do::Rounds),
        _ => KEYS.iter().find(|key| key.strokes.contains(&stroke)).map(|key| key.does),
    }
}

/// The stroke of a key of the terminal. None for a key without a meaning, and for the release of a key.
pub fn stroke(event: KeyEvent) -> Option<Stroke> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    if event.modifiers.contains(KeyModifiers::CONTROL) {
        return match event.code {
            KeyCode::Char('c') => Some(Stroke::Interrupt),
            KeyCode::Char('z') => Some(Stroke::Suspend),
            _ => None,
        };
    }
    Some(match event.code {
        KeyCode::Char(letter) => Letter(letter),
        KeyCode::Enter => Stroke::Enter,
        KeyCode::Esc => Stroke::Escape,
        KeyCode::Tab => Stroke::Tab,
        KeyCode::BackTab => Stroke::BackTab,
        KeyCode::Up => Stroke::Up,
        KeyCode::Down => Stroke::Down,
        KeyCode::Left => Stroke::Left,
        KeyCode::Right => Stroke::Right,
        KeyCode::PageUp => Stroke::PageUp,
        KeyCode::PageDown => Stroke::PageDown,
        KeyCode::Home => Stroke::Home,
        KeyCode::End => Stroke::End,
        KeyCode::Backspace => Stroke::Backspace,
        KeyCode::Delete => Stroke::Delete,
        KeyCode::F(1) => Stroke::Help,
        _ => return None,
    })
}
