//! The state of the front door, and what each key does to it.

use std::convert::Infallible;
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::compose_form::{ComposeAnswers, ComposeForm, FormOutcome};
use super::{DoorCommand, ListedSession, matching_sessions};
use crate::runtime::{Application, ClockReading, DisplayKind, RunEnding, StepEffect, StepInput};
use class::time::Tick;
use class::words::{WORDS, fill};

/// Everything that the front door offers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DoorContents {
    /// The folder whose sessions come first, as shown to the coach.
    pub place: String,
    pub unfinished: Option<UnfinishedClass>,
    pub classes: Vec<ListedSession>,
    pub starts: Vec<NewClassSource>,
    /// How many session files are not listed because there are too many.
    pub more: usize,
    /// The names of the kit that movements use.
    pub kinds: Vec<String>,
}

/// A class that was cut off before its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnfinishedClass {
    pub id: String,
    /// The class, how far it had come and how long ago it was cut off, in words.
    pub words: String,
}

/// What a new class can be made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NewClassSource {
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
pub enum DoorEntry {
    Unfinished,
    /// By index into the classes.
    Class(usize),
    /// By index into the starts.
    Start(usize),
}

/// An action on a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SessionAction {
    Lead,
    Rehearse,
    Plan,
    Check,
    Print,
}

/// A request of the coach that the caller carries out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DoorRequest {
    /// Resume the class with this id.
    Resume(String),
    Lead(PathBuf),
    Rehearse(PathBuf),
    Plan(PathBuf),
    Print(PathBuf),
    Begin(NewClassSource),
    Compose(ComposeAnswers),
}

impl DoorRequest {
    /// Whether the caller needs the terminal to carry out the request.
    pub fn takes_the_screen(&self) -> bool {
        match self {
            DoorRequest::Resume(_) | DoorRequest::Lead(_) | DoorRequest::Rehearse(_) | DoorRequest::Plan(_) => true,
            DoorRequest::Print(_) | DoorRequest::Begin(_) | DoorRequest::Compose(_) => false,
        }
    }
}

/// The page that is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoorPage {
    List,
    /// The form for a composed class.
    ComposeForm,
    /// The findings of the chosen session. The number is the index of the first finding shown.
    Findings(usize),
    Keys,
}

/// The front door.
#[derive(Clone, Debug)]
pub struct FrontDoor {
    found: DoorContents,
    typed: String,
    shown: Vec<DoorEntry>,
    chosen: usize,
    action: usize,
    page: DoorPage,
    form: ComposeForm,
    message: Option<String>,
    request: Option<DoorRequest>,
    turn: u64,
}

/// The longest search text, in characters.
const TYPED: usize = 40;

/// How many entries Page Up and Page Down move by.
const PAGE: usize = 4;

impl SessionAction {
    /// The actions on a session without a fault, the most used first.
    pub const ALL: [SessionAction; 5] =
        [SessionAction::Lead, SessionAction::Rehearse, SessionAction::Plan, SessionAction::Check, SessionAction::Print];
    /// The actions on a session with a fault.
    pub const FAULTY: [SessionAction; 1] = [SessionAction::Check];

    /// The action in a word, as the screen shows it.
    pub fn words(self) -> &'static str {
        let deeds = &WORDS.door.actions;
        match self {
            SessionAction::Lead => &deeds.lead,
            SessionAction::Rehearse => &deeds.rehearse,
            SessionAction::Plan => &deeds.plan,
            SessionAction::Check => &deeds.check,
            SessionAction::Print => &deeds.print,
        }
    }
}

impl FrontDoor {
    /// Opens the front door with these contents.
    pub fn new(found: DoorContents) -> FrontDoor {
        let mut door = FrontDoor {
            form: ComposeForm::new(found.kinds.clone()),
            found,
            typed: String::new(),
            shown: Vec::new(),
            chosen: 0,
            action: 0,
            page: DoorPage::List,
            message: None,
            request: None,
            turn: 0,
        };
        door.update_shown();
        door
    }

    /// Takes in the new contents after a request was carried out. `file` is then chosen; without `file`, the same
    /// session as before stays chosen. `message` says how the request went.
    pub fn refresh(&mut self, found: DoorContents, file: Option<&Path>, message: Option<String>) {
        let was = self.class().map(|class| class.file.clone());
        self.found = found;
        self.message = message;
        self.turn += 1;
        if file.is_some() {
            self.typed.clear();
            self.action = 0;
            self.page = DoorPage::List;
        }
        self.update_shown();
        let wanted = file.map(Path::to_owned).or(was);
        let is_it = |entry: &DoorEntry| matches!(entry, DoorEntry::Class(index) if Some(&self.found.classes[*index].file) == wanted.as_ref());
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
    pub fn take_request(&mut self) -> Option<DoorRequest> {
        self.request.take()
    }

    pub fn contents(&self) -> &DoorContents {
        &self.found
    }

    /// The entries that match the search text.
    pub fn shown(&self) -> &[DoorEntry] {
        &self.shown
    }

    /// The index of the chosen entry in [`FrontDoor::shown`].
    pub fn chosen(&self) -> usize {
        self.chosen
    }

    pub fn typed(&self) -> &str {
        &self.typed
    }

    pub fn page(&self) -> DoorPage {
        self.page
    }

    /// The form of [`DoorPage::ComposeForm`].
    pub fn compose_form(&self) -> &ComposeForm {
        &self.form
    }

    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// A counter. While it stays the same, the door looks the same.
    pub fn revision(&self) -> u64 {
        self.turn
    }

    /// The chosen session; None if the chosen entry is not a session.
    pub fn class(&self) -> Option<&ListedSession> {
        match self.shown.get(self.chosen) {
            Some(DoorEntry::Class(index)) => self.found.classes.get(*index),
            _ => None,
        }
    }

    /// The actions on the chosen session; empty if the chosen entry is not a session.
    pub fn actions(&self) -> &'static [SessionAction] {
        match self.class() {
            Some(class) if class.outline.is_some() => &SessionAction::ALL,
            Some(_) => &SessionAction::FAULTY,
            None => &[],
        }
    }

    /// The index in [`FrontDoor::actions`] of the action that Enter does.
    pub fn action(&self) -> usize {
        self.action.min(self.actions().len().saturating_sub(1))
    }

    fn update_shown(&mut self) {
        let classes = matching_sessions(&self.typed, &self.found.classes).into_iter().map(DoorEntry::Class);
        self.shown = if self.typed.trim().is_empty() {
            let first = self.found.unfinished.iter().map(|_| DoorEntry::Unfinished);
            first.chain(classes).chain((0..self.found.starts.len()).map(DoorEntry::Start)).collect()
        } else {
            classes.collect()
        };
        self.chosen = self.chosen.min(self.shown.len().saturating_sub(1));
    }

    fn carry_out_choice(&mut self) {
        match self.shown.get(self.chosen) {
            Some(DoorEntry::Unfinished) => {
                self.request = self.found.unfinished.as_ref().map(|class| DoorRequest::Resume(class.id.clone()));
            }
            Some(DoorEntry::Start(index)) => match self.found.starts.get(*index) {
                Some(NewClassSource::Composed) => {
                    self.form = ComposeForm::new(self.found.kinds.clone());
                    self.page = DoorPage::ComposeForm;
                }
                start => self.request = start.cloned().map(DoorRequest::Begin),
            },
            Some(DoorEntry::Class(_)) => {
                let Some(file) = self.class().map(|class| class.file.clone()) else { return };
                match self.actions().get(self.action()) {
                    Some(SessionAction::Lead) => self.request = Some(DoorRequest::Lead(file)),
                    Some(SessionAction::Rehearse) => self.request = Some(DoorRequest::Rehearse(file)),
                    Some(SessionAction::Plan) => self.request = Some(DoorRequest::Plan(file)),
                    Some(SessionAction::Print) => self.request = Some(DoorRequest::Print(file)),
                    Some(SessionAction::Check) => self.page = DoorPage::Findings(0),
                    None => {}
                }
            }
            None => {}
        }
    }

    fn choose(&mut self, index: usize) {
        let index = index.min(self.shown.len().saturating_sub(1));
        if index != self.chosen {
            self.action = 0;
        }
        self.chosen = index;
    }

    /// Takes one key. True when the coach leaves.
    fn press(&mut self, press: DoorCommand) -> bool {
        self.message = None;
        match (self.page, press) {
            (_, DoorCommand::Leave) => return true,
            (DoorPage::ComposeForm, press) => match self.form.press(press) {
                FormOutcome::More => {}
                FormOutcome::Wrong(why) => self.message = Some(why.to_string()),
                FormOutcome::Wanted(wanted) => self.request = Some(DoorRequest::Compose(wanted)),
                FormOutcome::Back => self.page = DoorPage::List,
            },
            (DoorPage::Findings(from), DoorCommand::Up) => self.page = DoorPage::Findings(from.saturating_sub(1)),
            (DoorPage::Findings(from), DoorCommand::Down) => self.page = DoorPage::Findings(self.most(from + 1)),
            (DoorPage::Findings(from), DoorCommand::PageUp) => {
                self.page = DoorPage::Findings(from.saturating_sub(PAGE))
            }
            (DoorPage::Findings(from), DoorCommand::PageDown) => self.page = DoorPage::Findings(self.most(from + PAGE)),
            (DoorPage::Findings(_) | DoorPage::Keys, _) => self.page = DoorPage::List,
            (DoorPage::List, DoorCommand::Up) => self.choose(self.chosen.saturating_sub(1)),
            (DoorPage::List, DoorCommand::Down) => self.choose(self.chosen + 1),
            (DoorPage::List, DoorCommand::PageUp) => self.choose(self.chosen.saturating_sub(PAGE)),
            (DoorPage::List, DoorCommand::PageDown) => self.choose(self.chosen + PAGE),
            (DoorPage::List, DoorCommand::First) => self.choose(0),
            (DoorPage::List, DoorCommand::Last) => self.choose(usize::MAX),
            (DoorPage::List, DoorCommand::Left) => self.action = self.action().saturating_sub(1),
            (DoorPage::List, DoorCommand::Right | DoorCommand::Next) => {
                self.action = (self.action() + 1).min(self.actions().len().saturating_sub(1))
            }
            (DoorPage::List, DoorCommand::Do) => self.carry_out_choice(),
            // Space starts a class on the class screen, so here it does the same as Enter.
            (DoorPage::List, DoorCommand::Letter(' ')) if self.typed.is_empty() => self.carry_out_choice(),
            (DoorPage::List, DoorCommand::Letter(letter)) => self.letter(letter),
            (DoorPage::List, DoorCommand::Rub) => {
                self.typed.pop();
                self.update_shown();
            }
            (DoorPage::List, DoorCommand::Back) if self.typed.is_empty() => return true,
            (DoorPage::List, DoorCommand::Back) => {
                self.typed.clear();
                self.update_shown();
            }
            (DoorPage::List, DoorCommand::Help) => self.page = DoorPage::Keys,
            (DoorPage::List, DoorCommand::Suspend) => {}
        }
        false
    }

    fn letter(&mut self, letter: char) {
        if self.typed.chars().count() >= TYPED || letter.is_control() {
            return;
        }
        self.typed.push(letter);
        self.update_shown();
        self.choose(0);
        if self.shown.is_empty() {
            self.message = Some(fill(&WORDS.door.screen.no_match, &[("typed", &self.typed)]));
        }
    }

    /// The given index of a finding, but at most that of the last finding.
    fn most(&self, line: usize) -> usize {
        line.min(self.class().map_or(0, |class| class.findings.len().saturating_sub(1)))
    }
}

impl Application for FrontDoor {
    type Press = DoorCommand;
    type Event = Infallible;

    fn step(&mut self, _: ClockReading, inputs: &[StepInput<DoorCommand>]) -> Vec<StepEffect> {
        let mut effects = Vec::new();
        for input in inputs {
            match input {
                StepInput::Press(DoorCommand::Suspend) => effects.push(StepEffect::Suspend),
                StepInput::Press(press) => {
                    self.turn += 1;
                    // After a request, keys that were typed ahead are not for this screen.
                    if self.press(*press) || self.request.is_some() {
                        effects.push(StepEffect::End(RunEnding::Done));
                        break;
                    }
                }
                StepInput::Say(_) | StepInput::Lengths(_) | StepInput::Machine(_) => {}
            }
        }
        effects
    }

    fn changes_in(&self, _: DisplayKind) -> Option<Duration> {
        None
    }
}
