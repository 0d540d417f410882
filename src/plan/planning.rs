//! Planning a class: the state of the screen, and what each key makes of it.

use jiff::ZonedDateTime;

use super::edits::{self, added, added_block};
use super::finder::{Chip, Finder};
use super::fit::fitted;
use super::keys::{Do, does};
use super::rows::{Row, finding, rows};
use super::{Stroke, merge};
use crate::check::{Past, advice, check, recovery};
use crate::cue::{Voicing, cue_up};
use crate::door::{Finding, Outline};
use crate::draft::{Draft, NotChanged};
use crate::lead::{Effect, Input, Led, Reading, Sounding, Watcher};
use crate::movement::Catalogue;
use crate::schedule::{Cue, CueKind, Event as Scheduled, Purpose, Schedule, Span, What};
use crate::session::block_letter;
use crate::session::edit::Edit;
use crate::time::{Tick, clock};
use crate::words::{WORDS, fill};

/// What reaches the planning from outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    Key(Stroke),
    /// The file is another than it was when it was last read or written.
    Disk {
        was: String,
        is: String,
    },
    /// The file cannot be written: why.
    Unsaved(String),
    /// It could be again.
    Saved,
}

/// What the keys go to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Focus {
    Class,
    Finder(Target),
    Line(Typed),
    Keys,
}

/// What a found movement is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    Add,
    Replace,
    Block,
}

/// A text being typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    pub row: Row,
    pub field: &'static str,
    pub text: String,
}

/// What only the coach can decide: the file was changed outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    was: String,
    is: String,
    /// Why the other text cannot be taken; None where it can.
    pub fault: Option<String>,
}

/// A place from which the class is to be tried, as `lead --from` takes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Try(pub String);

/// A class that is being planned.
#[derive(Clone, Debug)]
pub struct Planning<'c> {
    draft: Draft<'c>,
    catalogue: &'c Catalogue,
    past: Past,
    rows: Vec<Row>,
    findings: Vec<(Row, Finding)>,
    chosen: usize,
    focus: Focus,
    finder: Finder,
    message: Option<String>,
    unsaved: Option<String>,
    question: Option<Question>,
    attempt: Option<Try>,
    wall: Option<ZonedDateTime>,
    turn: u64,
}

/// The lines that a page is.
const PAGE: usize = 8;
/// The longest text that can be typed.
const LETTERS: usize = 120;
/// Between two cues that are listened to.
const PAUSE: Tick = Tick(700);

impl<'c> Planning<'c> {
    /// The planning of a draft. `past`: the classes before it, for what has to rest.
    pub fn new(draft: Draft<'c>, catalogue: &'c Catalogue, past: Past) -> Planning<'c> {
        let mut planning = Planning {
            draft,
            catalogue,
            past,
            rows: Vec::new(),
            findings: Vec::new(),
            chosen: 0,
            focus: Focus::Class,
            finder: Finder::default(),
            message: None,
            unsaved: None,
            question: None,
            attempt: None,
            wall: None,
            turn: 0,
        };
        planning.changed();
        planning.chosen = 2.min(planning.rows.len().saturating_sub(1));
        planning
    }

    /// What is to stand in the file; None while the coach has to say first what that is.
    pub fn to_save(&self) -> Option<&str> {
        self.question.is_none().then(|| self.draft.text())
    }

    /// The class as it is now, without cues.
    pub fn schedule(&self) -> &Schedule {
        self.draft.schedule()
    }

    /// It in outline.
    pub fn outline(&self) -> Outline {
        Outline::of(self.schedule())
    }

    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// Which of them is chosen.
    pub fn chosen(&self) -> usize {
        self.chosen
    }

    /// The line that is chosen.
    pub fn row(&self) -> Row {
        self.rows.get(self.chosen).copied().unwrap_or(Row::Class)
    }

    /// What was found, each with the line that it concerns.
    pub fn findings(&self) -> &[(Row, Finding)] {
        &self.findings
    }

    pub fn focus(&self) -> &Focus {
        &self.focus
    }

    pub fn finder(&self) -> &Finder {
        &self.finder
    }

    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// Why the file cannot be written, where it cannot.
    pub fn unsaved(&self) -> Option<&str> {
        self.unsaved.as_deref()
    }

    pub fn question(&self) -> Option<&Question> {
        self.question.as_ref()
    }

    /// How many changes can be taken back.
    pub fn changes(&self) -> usize {
        self.draft.changes()
    }

    /// When the class would end that began now.
    pub fn ends(&self) -> Option<String> {
        let length = jiff::SignedDuration::from_millis(i64::try_from(self.schedule().total().0).ok()?);
        let end = self.wall.as_ref()?.checked_add(length).ok()?;
        Some(end.strftime("%H:%M").to_string())
    }

    /// Where the coach wants to try the class, since this was last asked.
    pub fn attempted(&mut self) -> Option<Try> {
        self.attempt.take()
    }

    /// Where this is the same, it looks the same.
    pub fn face(&self) -> (u64, Option<String>) {
        (self.turn, self.ends())
    }

    /// The first span of the line that is chosen.
    pub fn first_span(&self) -> Option<&Span> {
        let row = self.row();
        row.spans(self.schedule()).next()
    }

    /// Looks at the class anew after it changed.
    fn changed(&mut self) {
        let schedule = self.draft.schedule();
        self.rows = rows(schedule);
        let mut faults = self.draft.warnings().to_vec();
        faults.extend(check(schedule));
        faults.extend(advice::advise(schedule));
        recovery::check(schedule, &self.past, &mut faults);
        let mut findings: Vec<(Row, Finding)> = faults.iter().map(|fault| (Row::of(fault), finding(fault))).collect();
        findings.sort_by_key(|(row, finding)| (*row, finding.severity));
        self.findings = findings;
        self.chosen = self.chosen.min(self.rows.len().saturating_sub(1));
    }

    fn choose(&mut self, row: Row) {
        if let Some(at) = self.rows.iter().position(|one| *one == row) {
            self.chosen = at;
        }
    }

    /// Makes some edits as one change, and says what came of it. Where they are made, `row` is then chosen.
    fn change(&mut self, edits: &[Edit], row: Option<Row>) -> bool {
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

    fn change_one(&mut self, edit: Option<Edit>) {
        match edit {
            Some(edit) => {
                self.change(&[edit], None);
            }
            None => self.message = Some(WORDS.plan.messages.not_here.clone()),
        }
    }

    /// The work before the place where a found movement would stand.
    fn before(&self, target: Target) -> Option<&Span> {
        let spans = &self.schedule().spans;
        let row = self.row();
        let behind = match (row, target) {
            (Row::Station(..), Target::Add) => row.spans(self.schedule()).next().map(|span| span.end),
            (Row::Station(..), Target::Replace) => row.spans(self.schedule()).next().map(|span| span.start),
            (Row::Class, Target::Add) => Some(Tick::ZERO),
            (Row::Block(_) | Row::Station(..), Target::Block) => {
                Row::Block(row.block()?).spans(self.schedule()).last().map(|span| span.end)
            }
            _ => row.spans(self.schedule()).next().map(|span| span.start),
        }?;
        spans.iter().rfind(|span| span.purpose == Purpose::Work && span.end <= behind)
    }

    fn look(&mut self) {
        let Focus::Finder(target) = self.focus else { return };
        let before = self.before(target).cloned();
        let costs = self.draft.costs().clone();
        self.finder.look(self.catalogue, self.draft.schedule(), before.as_ref(), &costs);
    }

    fn open(&mut self, target: Target) {
        self.focus = Focus::Finder(target);
        self.finder.clear();
        self.look();
    }

    /// Opens a line with what is written there now.
    fn type_text(&mut self, row: Row, field: &'static str, now: Option<String>) {
        self.focus = Focus::Line(Typed { row, field, text: now.unwrap_or_default() });
    }

    fn act(&mut self, what: Do) -> Option<Effect> {
        let (row, schedule) = (self.row(), self.draft.schedule());
        match what {
            Do::Up => self.chosen = self.chosen.saturating_sub(1),
            Do::Down => self.chosen = (self.chosen + 1).min(self.rows.len().saturating_sub(1)),
            Do::PageUp => self.chosen = self.chosen.saturating_sub(PAGE),
            Do::PageDown => self.chosen = (self.chosen + PAGE).min(self.rows.len().saturating_sub(1)),
            Do::First => self.chosen = 0,
            Do::Last => self.chosen = self.rows.len().saturating_sub(1),
            Do::Add => self.open(Target::Add),
            Do::Replace if matches!(row, Row::Station(..)) => self.open(Target::Replace),
            Do::Block => self.open(Target::Block),
            Do::Drop => self.change_one(edits::drop(row)),
            Do::Earlier | Do::Later => match edits::shifted(schedule, row, what == Do::Later) {
                Some((edit, to)) => {
                    self.change(&[edit], Some(to));
                }
                None => self.message = Some(WORDS.plan.messages.at_the_end.clone()),
            },
            Do::Longer | Do::Shorter => {
                let steps = if what == Do::Longer { 1 } else { -1 };
                let edit = edits::longer(self.draft.text(), schedule, row, steps);
                self.change_one(edit);
            }
            Do::MoreRest => self.change_one(edits::more_rest(schedule, row, 1)),
            Do::LessRest => self.change_one(edits::more_rest(schedule, row, -1)),
            Do::Rounds(rounds) => self.change_one(edits::rounds(row, rounds)),
            Do::Sides => {
                let edit = self.station().map(|station| edits::other_sides(station, row));
                self.change_one(edit);
            }
            Do::Easier | Do::Harder => {
                let Some(station) = self.station() else { return self.not_here() };
                let (field, tier) = match what {
                    Do::Easier => ("easier", &station.easier),
                    _ => ("harder", &station.harder),
                };
                let now = tier.as_ref().map(|tier| tier.what.clone());
                self.type_text(row, field, now);
            }
            Do::Prompts => {
                let Some(station) = self.station() else { return self.not_here() };
                let now = station.prompts.join("; ");
                self.type_text(row, "prompts", Some(now));
            }
            Do::Note => {
                let Some(block) = row.block() else { return self.not_here() };
                let now = schedule.session.blocks[block].note.clone();
                self.type_text(Row::Block(block), "note", now);
            }
            Do::Undo | Do::Redo => self.back(what == Do::Undo),
            Do::Fit => self.fit(),
            Do::Listen => return self.listen(),
            Do::Try => return self.attempt(),
            Do::Help => self.focus = Focus::Keys,
            Do::Leave => return Some(Effect::Quit),
            Do::Replace => return self.not_here(),
        }
        None
    }

    fn not_here(&mut self) -> Option<Effect> {
        self.message = Some(WORDS.plan.messages.not_here.clone());
        None
    }

    fn station(&self) -> Option<&crate::session::Station> {
        match self.row() {
            Row::Station(block, station) => self.schedule().session.blocks.get(block)?.stations.get(station),
            _ => None,
        }
    }

    fn back(&mut self, undo: bool) {
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

    fn fit(&mut self) {
        let words = &WORDS.plan.messages;
        if self.schedule().session.slot.is_none() {
            self.message = Some(words.no_slot.clone());
            return;
        }
        let edits = fitted(self.draft.text(), self.draft.schedule());
        if edits.is_empty() {
            self.message = Some(words.fits_already.clone());
            return;
        }
        let count = edits.len().to_string();
        if self.change(&edits, None) {
            let total = clock(self.schedule().total());
            self.message = Some(fill(&words.fitted, &[("count", &count), ("total", &total)]));
        }
    }

    /// Says what is said of the station, one cue after the other.
    fn listen(&mut self) -> Option<Effect> {
        let mut schedule = self.schedule().clone();
        cue_up(&mut schedule, Tick::ZERO, &Voicing::default());
        let row = self.row();
        let first = row.spans(&schedule).next()?.start;
        let span = schedule.span_at(first)?;
        // What comes is said while the work before it goes on.
        let before = schedule.spans[..span].iter().rposition(|span| span.purpose == Purpose::Work).unwrap_or(span);
        let is_of_it = |event: &Scheduled, cue: &Cue| {
            let comes = matches!(cue.kind, CueKind::Next | CueKind::Side);
            if comes { (before..span).contains(&event.span) } else { event.span == span }
        };
        let mut at = Tick::ZERO;
        let mut said = Vec::new();
        let events: Vec<Scheduled> = schedule
            .events
            .iter()
            .filter_map(|event| {
                let What::Cue(cue) = &event.what else { return None };
                if !is_of_it(event, cue) {
                    return None;
                }
                let event = Scheduled { at, span, what: What::Cue(cue.clone()) };
                at += cue.length + PAUSE;
                said.push(format!("“{}”", cue.text));
                Some(event)
            })
            .collect();
        let words = &WORDS.plan.messages;
        self.message = Some(if said.is_empty() { words.nothing_said.clone() } else { said.join("  ") });
        Some(Effect::Play(Sounding { from: Tick::ZERO, after_ms: 0, events }))
    }

    fn attempt(&mut self) -> Option<Effect> {
        self.attempt = Some(Try(match self.row() {
            Row::Class => "A".to_owned(),
            Row::Block(block) => block_letter(block),
            Row::Station(block, station) => format!("{}.{}", block_letter(block), station + 1),
        }));
        Some(Effect::Quit)
    }

    fn found(&mut self, target: Target) {
        let Some(id) = self.finder.hits.get(self.finder.chosen).map(|hit| hit.id.clone()) else {
            self.message = Some(WORDS.plan.messages.no_movement.clone());
            return;
        };
        let row = self.row();
        let (edits, to) = match target {
            Target::Add => {
                let (edit, to) = added(row, &id);
                (vec![edit], to)
            }
            Target::Block => {
                let (edit, to) = added_block(self.schedule(), row, &id);
                (vec![edit], to)
            }
            Target::Replace => (edits::replaced(self.draft.text(), row, &id), row),
        };
        if self.change(&edits, Some(to)) {
            self.focus = Focus::Class;
        }
    }

    fn in_finder(&mut self, target: Target, stroke: Stroke) {
        match stroke {
            Stroke::Escape => self.focus = Focus::Class,
            Stroke::Enter if self.finder.chip == Chip::Words => return self.found(target),
            Stroke::Enter => self.finder.chip = Chip::Words,
            Stroke::Tab => self.finder.turn(false),
            Stroke::BackTab => self.finder.turn(true),
            Stroke::Up | Stroke::Left => self.finder.step(self.catalogue, true),
            Stroke::Down | Stroke::Right => self.finder.step(self.catalogue, false),
            Stroke::PageUp => (0..PAGE).for_each(|_| self.finder.step(self.catalogue, true)),
            Stroke::PageDown => (0..PAGE).for_each(|_| self.finder.step(self.catalogue, false)),
            Stroke::Backspace | Stroke::Delete => self.finder.rub(),
            Stroke::Letter(letter) => self.finder.letter(letter),
            Stroke::Home | Stroke::End | Stroke::Help | Stroke::Interrupt | Stroke::Suspend => {}
        }
        self.look();
    }

    fn in_line(&mut self, stroke: Stroke) {
        let Focus::Line(typed) = &mut self.focus else { return };
        match stroke {
            Stroke::Letter(letter) if !letter.is_control() && typed.text.chars().count() < LETTERS => {
                typed.text.push(letter);
            }
            Stroke::Backspace => drop(typed.text.pop()),
            Stroke::Delete => typed.text.clear(),
            Stroke::Escape => self.focus = Focus::Class,
            Stroke::Enter => {
                let Typed { row, field, text } = typed.clone();
                let edit = match field {
                    "prompts" => edits::with_prompts(row, &text),
                    _ => edits::with_text(row, field, &text),
                };
                self.focus = Focus::Class;
                // Nothing written and nothing to write is no change.
                if !matches!(edit, Edit::Clear { .. }) || edits::is_written(self.draft.text(), row, field) {
                    self.change(&[edit], None);
                }
            }
            _ => {}
        }
    }

    /// The coach says which of two texts stands.
    fn answer(&mut self, question: Question, stroke: Stroke) -> Option<Effect> {
        match stroke {
            // What stands in the file stays there.
            Stroke::Letter('q') | Stroke::Escape => return Some(Effect::Quit),
            Stroke::Letter('t') if question.fault.is_none() => {
                let Question { was, is, .. } = question;
                self.take(&was, &is, is.clone());
            }
            Stroke::Letter('m') => self.message = Some(WORDS.plan.messages.mine.clone()),
            _ => self.question = Some(question),
        }
        None
    }

    /// The file was changed outside: both changes, where that can be; else the coach is asked.
    fn outside(&mut self, was: String, is: String) {
        let was = self.question.take().map_or(was, |question| question.was);
        match merge(&was, self.draft.text(), &is) {
            Some(both) => self.take(&was, &is, both),
            None => self.question = Some(Question { was, is, fault: None }),
        }
    }

    fn take(&mut self, was: &str, is: &str, now: String) {
        match self.draft.carry(now, |old| merge(was, old, is)) {
            Ok(()) => {
                self.focus = Focus::Class;
                self.changed();
                self.message = Some(WORDS.plan.messages.outside.clone());
            }
            Err(why) => {
                let fault = match why {
                    NotChanged::Faulty(fault) => fault,
                    NotChanged::Refused(why) => why.to_string(),
                };
                self.question = Some(Question { was: was.to_owned(), is: is.to_owned(), fault: Some(fault) });
            }
        }
    }

    fn key(&mut self, stroke: Stroke) -> Option<Effect> {
        self.message = None;
        match stroke {
            Stroke::Interrupt => return Some(Effect::Quit),
            Stroke::Suspend => return Some(Effect::Suspend),
            _ => {}
        }
        if let Some(question) = self.question.take() {
            return self.answer(question, stroke);
        }
        match self.focus {
            Focus::Class => return does(stroke).and_then(|what| self.act(what)),
            Focus::Finder(target) => self.in_finder(target, stroke),
            Focus::Line(_) => self.in_line(stroke),
            Focus::Keys => self.focus = Focus::Class,
        }
        None
    }
}

impl Led for Planning<'_> {
    type Press = Event;

    fn step(&mut self, reading: Reading, inputs: &[Input<Event>]) -> Vec<Effect> {
        self.wall = Some(reading.wall);
        let mut effects = Vec::new();
        for input in inputs {
            self.turn += 1;
            match input {
                Input::Press(Event::Key(stroke)) => effects.extend(self.key(*stroke)),
                Input::Press(Event::Disk { was, is }) => self.outside(was.clone(), is.clone()),
                Input::Press(Event::Unsaved(why)) => self.unsaved = Some(why.clone()),
                Input::Press(Event::Saved) => self.unsaved = None,
                Input::Say(line) => self.message = Some(line.clone()),
                Input::Lengths(_) | Input::Machine(_) => {}
            }
            if effects.contains(&Effect::Quit) {
                break;
            }
        }
        effects
    }

    /// Once the clock on the wall shows another minute, the class would end later.
    fn changes_in(&self, _: Watcher) -> Option<u64> {
        let wall = self.wall.as_ref()?;
        let into = i64::from(wall.second()) * 1000 + i64::from(wall.millisecond());
        u64::try_from(60_000 - into).ok()
    }
}
