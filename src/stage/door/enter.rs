//! The state of the front door, and what each key does to it.

use std::convert::Infallible;
use std::path::{Path, PathBuf};

use super::wish::{Answer, Wanted, Wish};
use super::{Listed, Press, sift};
use crate::runtime::{Application, Effect, Ending, Input, Reading, Watcher};
use class::time::Tick;
use class::words::{WORDS, fill};

/// Everything that the front door offers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// The folder whose sessions come first, as shown to the coach.
    pub place: String,
    pub unfinished: Option<Unfinished>,
    pub classes: Vec<Listed>,
    pub starts: Vec<Start>,
    /// How many session files are not listed because there are too many.
    pub more: usize,
    /// The names of the kit that movements use.
    pub kinds: Vec<String>,
}

/// A class that was cut off before its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfinished {
    pub id: String,
    /// The class, how far it had come and how long ago it was cut off, in words.
    pub words: String,
}

/// What a new class can be made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Start {
    /// A class that comes with the program.
    Demo { name: &'static str, title: String, length: Tick },
    /// A text file with a list of movements.
    List(PathBuf),
    /// A class composed from the catalogue, after the coach has filled in a form.
    Composed,
    /// A template: a warm-up, a circuit and a cool-down to change.
    Starter,
}

/// An entry of the list that the coach can choose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entry {
    Unfinished,
    /// By index into the classes.
    Class(usize),
    /// By index into the starts.
    Start(usize),
}

/// An action on a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    Lead,
    Rehearse,
    Plan,
    Check,
    Print,
}

/// A request of the coach that the caller carries out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Resume the class with this id.
    Resume(String),
    Lead(PathBuf),
    Rehearse(PathBuf),
    Plan(PathBuf),
    Print(PathBuf),
    Begin(Start),
    Compose(Wanted),
}

impl Ask {
    /// Whether carrying out the request takes the terminal.
    pub fn takes_the_screen(&self) -> bool {
        match self {
            Ask::Resume(_) | Ask::Lead(_) | Ask::Rehearse(_) | Ask::Plan(_) => true,
            Ask::Print(_) | Ask::Begin(_) | Ask::Compose(_) => false,
        }
    }
}

/// The page that is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    List,
    /// The form for a composed class.
    Wish,
    /// The findings of the chosen session. The number is the index of the first finding shown.
    Findings(usize),
    Keys,
}

/// The front door.
#[derive(Clone, Debug)]
pub struct Door {
    found: Found,
    typed: String,
    shown: Vec<Entry>,
    chosen: usize,
    deed: usize,
    page: Page,
    wish: Wish,
    message: Option<String>,
    ask: Option<Ask>,
    turn: u64,
}

/// The longest search text, in characters.
const TYPED: usize = 40;

/// How many entries Page Up and Page Down move by.
const PAGE: usize = 4;

impl Deed {
    /// The actions on a session without a fault, the most used first.
    pub const ALL: [Deed; 5] = [Deed::Lead, Deed::Rehearse, Deed::Plan, Deed::Check, Deed::Print];
    /// The actions on a session with a fault.
    pub const FAULTY: [Deed; 1] = [Deed::Check];

    /// The action in a word, as the screen shows it.
    pub fn words(self) -> &'static str {
        let deeds = &WORDS.door.deeds;
        match self {
            Deed::Lead => &deeds.lead,
            Deed::Rehearse => &deeds.rehearse,
            Deed::Plan => &deeds.plan,
            Deed::Check => &deeds.check,
            Deed::Print => &deeds.print,
        }
    }
}

impl Door {
    /// Opens the front door with what was found.
    pub fn new(found: Found) -> Door {
        let mut door = Door {
            wish: Wish::new(found.kinds.clone()),
            found,
            typed: String::new(),
            shown: Vec::new(),
            chosen: 0,
            deed: 0,
            page: Page::List,
            message: None,
            ask: None,
            turn: 0,
        };
        door.sift();
        door
    }

    /// Takes in what was found after a request was carried out. `file` is then chosen; without `file`, the same session
    /// as before stays chosen. `message` says how the request went.
    pub fn refresh(&mut self, found: Found, file: Option<&Path>, message: Option<String>) {
        let was = self.class().map(|class| class.file.clone());
        self.found = found;
        self.message = message;
        self.turn += 1;
        if file.is_some() {
            self.typed.clear();
            self.deed = 0;
            self.page = Page::List;
        }
        self.sift();
        let wanted = file.map(Path::to_owned).or(was);
        let is_it = |entry: &Entry| matches!(entry, Entry::Class(index) if Some(&self.found.classes[*index].file) == wanted.as_ref());
        if let Some(index) = self.shown.iter().position(is_it).filter(|_| wanted.is_some()) {
            self.chosen = index;
        }
    }

    /// Shows a message while a request is carried out.
    pub fn say(&mut self, message: String) {
        self.message = Some(message);
        self.turn += 1;
    }

    /// The request of the coach since the last call, if there is one.
    pub fn asked(&mut self) -> Option<Ask> {
        self.ask.take()
    }

    pub fn found(&self) -> &Found {
        &self.found
    }

    /// The entries that match the search text.
    pub fn shown(&self) -> &[Entry] {
        &self.shown
    }

    /// The index of the chosen entry in [`Door::shown`].
    pub fn chosen(&self) -> usize {
        self.chosen
    }

    pub fn typed(&self) -> &str {
        &self.typed
    }

    pub fn page(&self) -> Page {
        self.page
    }

    /// The form of [`Page::Wish`].
    pub fn wish(&self) -> &Wish {
        &self.wish
    }

    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// A counter. While it stays the same, the door looks the same.
    pub fn turn(&self) -> u64 {
        self.turn
    }

    /// The chosen session; None if the chosen entry is not a session.
    pub fn class(&self) -> Option<&Listed> {
        match self.shown.get(self.chosen) {
            Some(Entry::Class(index)) => self.found.classes.get(*index),
            _ => None,
        }
    }

    /// The actions on the chosen session; empty if the chosen entry is not a session.
    pub fn deeds(&self) -> &'static [Deed] {
        match self.class() {
            Some(class) if class.outline.is_some() => &Deed::ALL,
            Some(_) => &Deed::FAULTY,
            None => &[],
        }
    }

    /// The index in [`Door::deeds`] of the action that Enter does.
    pub fn deed(&self) -> usize {
        self.deed.min(self.deeds().len().saturating_sub(1))
    }

    fn sift(&mut self) {
        let classes = sift(&self.typed, &self.found.classes).into_iter().map(Entry::Class);
        self.shown = if self.typed.trim().is_empty() {
            let first = self.found.unfinished.iter().map(|_| Entry::Unfinished);
            first.chain(classes).chain((0..self.found.starts.len()).map(Entry::Start)).collect()
        } else {
            classes.collect()
        };
        self.chosen = self.chosen.min(self.shown.len().saturating_sub(1));
    }

    fn go(&mut self) {
        match self.shown.get(self.chosen) {
            Some(Entry::Unfinished) => {
                self.ask = self.found.unfinished.as_ref().map(|class| Ask::Resume(class.id.clone()));
            }
            Some(Entry::Start(index)) => match self.found.starts.get(*index) {
                Some(Start::Composed) => {
                    self.wish = Wish::new(self.found.kinds.clone());
                    self.page = Page::Wish;
                }
                start => self.ask = start.cloned().map(Ask::Begin),
            },
            Some(Entry::Class(_)) => {
                let Some(file) = self.class().map(|class| class.file.clone()) else { return };
                match self.deeds().get(self.deed()) {
                    Some(Deed::Lead) => self.ask = Some(Ask::Lead(file)),
                    Some(Deed::Rehearse) => self.ask = Some(Ask::Rehearse(file)),
                    Some(Deed::Plan) => self.ask = Some(Ask::Plan(file)),
                    Some(Deed::Print) => self.ask = Some(Ask::Print(file)),
                    Some(Deed::Check) => self.page = Page::Findings(0),
                    None => {}
                }
            }
            None => {}
        }
    }

    fn choose(&mut self, index: usize) {
        let index = index.min(self.shown.len().saturating_sub(1));
        if index != self.chosen {
            self.deed = 0;
        }
        self.chosen = index;
    }

    /// Takes one key. True when the coach leaves.
    fn press(&mut self, press: Press) -> bool {
        self.message = None;
        match (self.page, press) {
            (_, Press::Leave) => return true,
            (Page::Wish, press) => match self.wish.press(press) {
                Answer::More => {}
                Answer::Wrong(why) => self.message = Some(why),
                Answer::Wanted(wanted) => self.ask = Some(Ask::Compose(wanted)),
                Answer::Back => self.page = Page::List,
            },
            (Page::Findings(from), Press::Up) => self.page = Page::Findings(from.saturating_sub(1)),
            (Page::Findings(from), Press::Down) => self.page = Page::Findings(self.most(from + 1)),
            (Page::Findings(from), Press::PageUp) => self.page = Page::Findings(from.saturating_sub(PAGE)),
            (Page::Findings(from), Press::PageDown) => self.page = Page::Findings(self.most(from + PAGE)),
            (Page::Findings(_) | Page::Keys, _) => self.page = Page::List,
            (Page::List, Press::Up) => self.choose(self.chosen.saturating_sub(1)),
            (Page::List, Press::Down) => self.choose(self.chosen + 1),
            (Page::List, Press::PageUp) => self.choose(self.chosen.saturating_sub(PAGE)),
            (Page::List, Press::PageDown) => self.choose(self.chosen + PAGE),
            (Page::List, Press::First) => self.choose(0),
            (Page::List, Press::Last) => self.choose(usize::MAX),
            (Page::List, Press::Left) => self.deed = self.deed().saturating_sub(1),
            (Page::List, Press::Right | Press::Next) => {
                self.deed = (self.deed() + 1).min(self.deeds().len().saturating_sub(1))
            }
            (Page::List, Press::Do) => self.go(),
            // Space starts a class on the class screen, so here it does the same as Enter.
            (Page::List, Press::Letter(' ')) if self.typed.is_empty() => self.go(),
            (Page::List, Press::Letter(letter)) => self.letter(letter),
            (Page::List, Press::Rub) => {
                self.typed.pop();
                self.sift();
            }
            (Page::List, Press::Back) if self.typed.is_empty() => return true,
            (Page::List, Press::Back) => {
                self.typed.clear();
                self.sift();
            }
            (Page::List, Press::Help) => self.page = Page::Keys,
            (Page::List, Press::Suspend) => {}
        }
        false
    }

    fn letter(&mut self, letter: char) {
        if self.typed.chars().count() >= TYPED || letter.is_control() {
            return;
        }
        self.typed.push(letter);
        self.sift();
        self.choose(0);
        if self.shown.is_empty() {
            self.message = Some(fill(&WORDS.door.screen.nothing, &[("typed", &self.typed)]));
        }
    }

    /// The given index of a finding, but at most that of the last finding.
    fn most(&self, line: usize) -> usize {
        line.min(self.class().map_or(0, |class| class.findings.len().saturating_sub(1)))
    }
}

impl Application for Door {
    type Press = Press;
    type Event = Infallible;

    fn step(&mut self, _: Reading, inputs: &[Input<Press>]) -> Vec<Effect> {
        let mut effects = Vec::new();
        for input in inputs {
            match input {
                Input::Press(Press::Suspend) => effects.push(Effect::Suspend),
                Input::Press(press) => {
                    self.turn += 1;
                    // After a request, keys that were typed ahead are not for this screen.
                    if self.press(*press) || self.ask.is_some() {
                        effects.push(Effect::End(Ending::Done));
                        break;
                    }
                }
                Input::Say(_) | Input::Lengths(_) | Input::Machine(_) => {}
            }
        }
        effects
    }

    fn changes_in(&self, _: Watcher) -> Option<u64> {
        None
    }
}
