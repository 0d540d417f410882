//! Planning a class: the state of the screen, and what each key does to it.

use jiff::ZonedDateTime;
use std::convert::Infallible;
use std::time::Duration;

use super::KeyStroke;
use super::edits;
use super::finder::{FinderPurpose, MovementFinder};
use super::keys::command_of_stroke;
use super::outside_change::MergeConflict;
use super::rows::{PlanRow, finding, rows};
use super::text_input::TextInput;
use crate::runtime::{Application, ClockReading, DisplayKind, RunEnding, StepEffect, StepInput};
use class::check::Finding;
use class::check::{PastClasses, advised, check};
use class::cue::SpeechSettings;
use class::movement::Catalogue;
use class::outline::ClassOutline;
use class::schedule::{Schedule, Span};
use class::session::BlockFormat;
use class::session::Station;
use class::session::edit::SessionEdit;
use class::session::fault::{Fault, FaultCode};
use class::session_draft::SessionDraft;
use class::time::clock;
use class::words::{WORDS, fill};

/// Something that planning reacts to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlanInput {
    Key(KeyStroke),
    /// The file on the disk has changed since it was last read or written.
    Disk {
        was: String,
        is: String,
    },
    /// The file cannot be written: why.
    Unsaved(String),
    /// The file can be written again.
    Saved,
    /// The class could not be tried: why.
    NotTried(String),
}

/// The part of the screen that the keys go to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlanFocus {
    Class,
    Finder(FinderPurpose),
    Line(TextInput),
    Keys,
}

/// The place from which to try the class, as `lead --from` takes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrialStart(pub String);

/// A class that is being planned.
#[derive(Clone, Debug)]
pub struct PlanEditor<'c> {
    pub(super) draft: SessionDraft<'c>,
    pub(super) catalogue: &'c Catalogue,
    pub(super) past: PastClasses,
    pub(super) rows: Vec<PlanRow>,
    pub(super) findings: Vec<(PlanRow, Finding)>,
    pub(super) chosen: usize,
    pub(super) focus: PlanFocus,
    pub(super) finder: MovementFinder,
    pub(super) message: Option<String>,
    pub(super) unsaved: Option<String>,
    pub(super) question: Option<MergeConflict>,
    pub(super) trial: Option<TrialStart>,
    pub(super) voicing: SpeechSettings,
    pub(super) muted: bool,
    /// The station that was last swapped, and the ids of the movements that it has had.
    pub(super) swapped_at: Option<(PlanRow, Vec<String>)>,
    pub(super) wall: Option<ZonedDateTime>,
    pub(super) turn: u64,
}

/// How many rows Page Up and Page Down move by.
pub(super) const PAGE: usize = 8;
impl<'c> PlanEditor<'c> {
    /// A plan editor for a draft. `past`: earlier classes, to know which muscles have to rest.
    pub fn new(draft: SessionDraft<'c>, catalogue: &'c Catalogue, past: PastClasses) -> PlanEditor<'c> {
        let mut planning = PlanEditor {
            draft,
            catalogue,
            past,
            rows: Vec::new(),
            findings: Vec::new(),
            chosen: 0,
            focus: PlanFocus::Class,
            finder: MovementFinder::default(),
            message: None,
            unsaved: None,
            question: None,
            trial: None,
            voicing: SpeechSettings::default(),
            muted: false,
            swapped_at: None,
            wall: None,
            turn: 0,
        };
        planning.changed();
        planning.chosen = 2.min(planning.rows.len().saturating_sub(1));
        planning
    }

    /// The same editor with these speech settings. `muted`: cues are shown but not played.
    #[must_use]
    pub fn with_speech(self, voicing: SpeechSettings, muted: bool) -> PlanEditor<'c> {
        PlanEditor { voicing, muted, ..self }
    }

    /// The text to write to the file; None while a question to the coach is open.
    pub fn to_save(&self) -> Option<&str> {
        self.question.is_none().then(|| self.draft.text())
    }

    /// The class as it is now, without cues.
    pub fn schedule(&self) -> &Schedule {
        self.draft.schedule()
    }

    /// The outline of the class.
    pub fn outline(&self) -> ClassOutline {
        ClassOutline::of(self.schedule())
    }

    pub fn rows(&self) -> &[PlanRow] {
        &self.rows
    }

    /// The index of the chosen row in [`PlanEditor::rows`].
    pub fn chosen(&self) -> usize {
        self.chosen
    }

    /// The chosen row.
    pub fn row(&self) -> PlanRow {
        self.rows.get(self.chosen).copied().unwrap_or(PlanRow::Class)
    }

    /// The findings, each with the row that it concerns.
    pub fn findings(&self) -> &[(PlanRow, Finding)] {
        &self.findings
    }

    pub fn focus(&self) -> &PlanFocus {
        &self.focus
    }

    pub fn finder(&self) -> &MovementFinder {
        &self.finder
    }

    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// Why the file cannot be written; None if it can.
    pub fn unsaved(&self) -> Option<&str> {
        self.unsaved.as_deref()
    }

    pub fn question(&self) -> Option<&MergeConflict> {
        self.question.as_ref()
    }

    /// How many changes can be undone.
    pub fn changes(&self) -> usize {
        self.draft.changes()
    }

    /// The time of day at which the class would end if it started now, as `18:45`.
    pub fn ends(&self) -> Option<String> {
        let length = jiff::SignedDuration::from_millis(i64::try_from(self.schedule().total().0).ok()?);
        let end = self.wall.as_ref()?.checked_add(length).ok()?;
        Some(end.strftime("%H:%M").to_string())
    }

    /// The place from which the coach asked to try the class since the last call, if there is one.
    pub fn take_trial(&mut self) -> Option<TrialStart> {
        self.trial.take()
    }

    /// While this value stays the same, the screen looks the same.
    pub fn fingerprint(&self) -> (u64, Option<String>) {
        (self.turn, self.ends())
    }

    /// The first span of the chosen row.
    pub fn first_span(&self) -> Option<&Span> {
        let row = self.row();
        row.spans(self.schedule()).next()
    }

    /// Updates the rows and findings after the class has changed.
    pub(super) fn changed(&mut self) {
        self.rows = rows(self.draft.schedule());
        let faults = self.faults(&self.draft);
        let told = faults.iter().filter(|fault| fault.allowed.is_none());
        let mut findings: Vec<(PlanRow, Finding)> = told.map(|fault| (PlanRow::of(fault), finding(fault))).collect();
        findings.sort_by_key(|(row, finding)| (*row, finding.severity));
        self.findings = findings;
        self.chosen = self.chosen.min(self.rows.len().saturating_sub(1));
    }

    /// All warnings and advice on a draft.
    pub(super) fn faults(&self, draft: &SessionDraft) -> Vec<Fault> {
        let mut faults = draft.warnings().to_vec();
        faults.extend(check(draft.schedule()));
        faults.extend(advised(draft.schedule(), &self.past, None));
        faults
    }

    pub(super) fn choose(&mut self, row: PlanRow) {
        if let Some(at) = self.rows.iter().position(|one| *one == row) {
            self.chosen = at;
        }
    }

    /// Makes several edits as one change, and shows how the length changed or why the change failed. After a success
    /// `row` is chosen. True on success.
    pub(super) fn change(&mut self, edits: &[SessionEdit], row: Option<PlanRow>) -> bool {
        let before = self.schedule().total();
        match self.draft.change(edits) {
            Ok(()) => {
                self.changed();
                row.into_iter().for_each(|row| self.choose(row));
                let now = self.schedule().total();
                if now != before {
                    let words = &WORDS.plan.messages.now;
                    self.message = Some(fill(words, &[("before", &clock(before)), ("now", &clock(now))]));
                }
                true
            }
            Err(why) => {
                self.message = Some(fill(&WORDS.plan.messages.not_changed, &[("why", &why.to_string())]));
                false
            }
        }
    }

    /// Makes an edit of a length. If the edit would change nothing in the class, says why instead. `less`: the edit
    /// makes the length shorter.
    pub(super) fn change_time(&mut self, edit: Option<SessionEdit>, less: bool) {
        let Some(edit) = edit else { return self.change_one(None) };
        // Shortening a written length that has no effect does no harm.
        let field = if let SessionEdit::Set { field, .. } = &edit { *field } else { "" };
        if less && edits::is_written(self.draft.text(), self.row(), field) {
            return self.change_one(Some(edit));
        }
        let now = self.schedule();
        let idle = self
            .draft
            .with(std::slice::from_ref(&edit))
            .ok()
            .filter(|new| new.schedule().spans == now.spans && new.schedule().session.slot == now.session.slot);
        let Some(idle) = idle else { return self.change_one(Some(edit)) };
        let words = &WORDS.plan.messages;
        let says = |fault: &&Fault| fault.code == FaultCode::NotInThisFormat && !self.draft.warnings().contains(fault);
        let block = self.row().block().and_then(|block| now.session.blocks.get(block));
        let why = match (idle.warnings().iter().find(says), block.map(|block| &block.format)) {
            (Some(fault), _) => fault.message.clone(),
            (None, Some(BlockFormat::Emom { .. })) => words.in_an_emom.clone(),
            (None, Some(BlockFormat::Amrap { .. })) => words.in_an_amrap.clone(),
            (None, Some(BlockFormat::Ladder { .. })) => words.in_a_ladder.clone(),
            (None, _) => words.length_unused.clone(),
        };
        self.message = Some(fill(&words.not_changed, &[("why", &why)]));
    }

    pub(super) fn change_one(&mut self, edit: Option<SessionEdit>) {
        match edit {
            Some(edit) => {
                self.change(&[edit], None);
            }
            None => self.message = Some(WORDS.plan.messages.not_here.clone()),
        }
    }

    pub(super) fn say_not_here(&mut self) -> Option<StepEffect> {
        self.message = Some(WORDS.plan.messages.not_here.clone());
        None
    }

    pub(super) fn station(&self) -> Option<&Station> {
        self.station_at(self.row())
    }

    pub(super) fn station_at(&self, row: PlanRow) -> Option<&Station> {
        let PlanRow::Station(block, station) = row else { return None };
        self.schedule().session.blocks.get(block)?.stations.get(station)
    }

    pub(super) fn undo_or_redo(&mut self, undo: bool) {
        let words = &WORDS.plan.messages;
        let done = if undo { self.draft.undo() } else { self.draft.redo() };
        let message = match (undo, done) {
            (true, true) => &words.undone,
            (true, false) => &words.nothing_to_undo,
            (false, true) => &words.redone,
            (false, false) => &words.nothing_to_redo,
        };
        self.message = Some(message.clone());
        self.changed();
    }

    fn key(&mut self, stroke: KeyStroke) -> Option<StepEffect> {
        self.message = None;
        match stroke {
            KeyStroke::Interrupt => return Some(StepEffect::End(RunEnding::Done)),
            KeyStroke::Suspend => return Some(StepEffect::Suspend),
            _ => {}
        }
        if let Some(question) = self.question.take() {
            return self.answer_conflict(question, stroke);
        }
        match self.focus {
            PlanFocus::Class => return command_of_stroke(stroke).and_then(|what| self.act(what)),
            PlanFocus::Finder(target) => self.in_finder(target, stroke),
            PlanFocus::Line(_) => self.in_line(stroke),
            PlanFocus::Keys => self.focus = PlanFocus::Class,
        }
        None
    }
}

impl Application for PlanEditor<'_> {
    type Press = PlanInput;
    type Event = Infallible;

    fn step(&mut self, reading: ClockReading, inputs: &[StepInput<PlanInput>]) -> Vec<StepEffect> {
        self.wall = Some(reading.wall);
        let mut effects = Vec::new();
        for input in inputs {
            self.turn += 1;
            match input {
                StepInput::Press(PlanInput::Key(stroke)) => effects.extend(self.key(*stroke)),
                StepInput::Press(PlanInput::Disk { was, is }) => self.merge_outside_change(was.clone(), is.clone()),
                StepInput::Press(PlanInput::Unsaved(why)) => self.unsaved = Some(why.clone()),
                StepInput::Press(PlanInput::Saved) => self.unsaved = None,
                StepInput::Press(PlanInput::NotTried(why)) => self.message = Some(why.clone()),
                StepInput::Say(line) => self.message = Some(line.clone()),
                StepInput::Lengths(_) | StepInput::Machine(_) => {}
            }
            if effects.contains(&StepEffect::End(RunEnding::Done)) {
                break;
            }
        }
        effects
    }

    /// The end time on the screen changes with each minute of the clock.
    fn changes_in(&self, _: DisplayKind) -> Option<Duration> {
        let wall = self.wall.as_ref()?;
        let into = i64::from(wall.second()) * 1000 + i64::from(wall.millisecond());
        u64::try_from(60_000 - into).ok().map(Duration::from_millis)
    }
}
