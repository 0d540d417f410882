//! The rehearsal, step by step.

use super::boundary::PATIENCE;
use super::table::{BoundaryResult, TransitionRow, place, table};
use super::{Boundary, RehearsalWindow, RehearseCommand, boundaries, give_rest};
use class::cue::{SpeechSettings, plan_and_insert_cues};
use class::session_draft::{DraftError, SessionDraft};
use std::convert::Infallible;
use std::time::Duration;

use crate::runtime::{
    Application, ClassTime, ClockReading, ClockTime, DisplayKind, RunEnding, StepEffect, StepInput, UpcomingSounds,
};
use class::schedule::{Activity, SampleSubject, Schedule, TransitionSample, WorkingSide};
use class::session::edit::SessionEdit;
use class::session::fault::{PathStep, ValuePath};
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// What the rehearsal is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RehearsalStage {
    /// Before the first changeover.
    Ready,
    Running,
    Paused,
    /// All changeovers are done: the table, with the question whether to write what was changed.
    Table,
}

/// Everything that a screen may show of a rehearsal.
#[derive(Clone, Debug, PartialEq)]
pub struct RehearsalMoment<'a> {
    pub schedule: &'a Schedule,
    pub stage: RehearsalStage,
    pub now: Tick,
    pub boundary: Boundary,
    /// The number of this changeover, from 0, and how many there are.
    pub index: usize,
    pub count: usize,
    /// How long it took to get ready. None until the coach is ready.
    pub took: Option<Tick>,
    /// How long a group would take. None if a group was timed.
    pub group: Option<Tick>,
    pub marked: bool,
    pub muted: bool,
    /// Whether the list of keys is open.
    pub help: bool,
    /// How many changes of the file are in force.
    pub changes: usize,
    pub message: Option<&'a str>,
}

/// How a class is rehearsed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RehearsalSettings {
    pub window: RehearsalWindow,
    /// Also rehearse the changeovers at which only the movement changes.
    pub all: bool,
    /// Who gets ready.
    pub who: SampleSubject,
    /// How long a group takes, in percent of the time that the coach alone takes: 150 is one and a half times as long.
    pub group: u32,
}

impl RehearsalSettings {
    /// How long a group takes, from what was measured.
    pub fn group_time(&self, took: Tick) -> Tick {
        match self.who {
            SampleSubject::Coach => Tick(took.0.saturating_mul(u64::from(self.group)) / 100),
            SampleSubject::Group => took,
        }
    }
}

/// How a rehearsal ended, for its caller to act on.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct RehearsalOutcome {
    /// Every changeover that was measured, in order.
    pub samples: Vec<TransitionSample>,
    /// The text to write into the file. None unless the coach said so.
    pub write: Option<String>,
}

/// The changeovers of a class, rehearsed one after the other.
#[derive(Debug)]
pub struct Rehearsal<'c> {
    draft: SessionDraft<'c>,
    voicing: SpeechSettings,
    /// The class of the draft, with its cues.
    schedule: Schedule,
    boundaries: Vec<Boundary>,
    /// The result at each boundary.
    results: Vec<BoundaryResult>,
    at: usize,
    settings: RehearsalSettings,
    class: ClassTime,
    stage: RehearsalStage,
    /// How long the coach took to get ready at this boundary. None until then.
    ready: Option<Tick>,
    samples: Vec<TransitionSample>,
    write: bool,
    muted: bool,
    help: bool,
    message: Option<(String, ClockTime)>,
    reading: ClockReading,
    effects: Vec<StepEffect>,
}

/// How long a line for the coach stays.
const MESSAGE: Duration = Duration::from_secs(5);
/// How much one press changes a rest, in milliseconds.
const REST_STEP: i64 = 5_000;

impl<'c> Rehearsal<'c> {
    /// A rehearsal of the changeovers of a draft. None if it has none.
    pub fn new(
        draft: SessionDraft<'c>,
        voicing: SpeechSettings,
        settings: RehearsalSettings,
        reading: ClockReading,
    ) -> Option<Rehearsal<'c>> {
        let schedule = schedule_with_cues(&draft, &voicing);
        let boundaries = boundaries(&schedule, settings.all);
        let first = boundaries.first()?;
        Some(Rehearsal {
            class: ClassTime::halted_at(first.rehearsed_range(settings.window).start),
            results: vec![BoundaryResult::default(); boundaries.len()],
            draft,
            voicing,
            schedule,
            boundaries,
            at: 0,
            settings,
            stage: RehearsalStage::Ready,
            ready: None,
            samples: Vec::new(),
            write: false,
            muted: false,
            help: false,
            message: None,
            reading,
            effects: Vec::new(),
        })
    }

    /// Takes the time and the inputs from outside.
    pub fn step(&mut self, reading: ClockReading, inputs: &[StepInput<RehearseCommand>]) -> Vec<StepEffect> {
        let before = self.clock();
        self.reading = reading;
        if self.reading.slept.is_some() && self.stage == RehearsalStage::Running {
            self.pause(before);
        }
        self.catch_up();
        for input in inputs {
            match input {
                StepInput::Press(press) => self.press(*press),
                StepInput::Say(line) => self.say(line.clone()),
                StepInput::Lengths(_) | StepInput::Machine(_) => {}
            }
            self.catch_up();
        }
        std::mem::take(&mut self.effects)
    }

    /// Everything that a screen may show at the last step.
    pub fn moment(&self) -> RehearsalMoment<'_> {
        RehearsalMoment {
            schedule: &self.schedule,
            stage: self.stage,
            now: self.now(),
            boundary: self.boundary(),
            index: self.at,
            count: self.boundaries.len(),
            took: self.ready,
            group: self
                .ready
                .filter(|_| self.settings.who == SampleSubject::Coach)
                .map(|took| self.settings.group_time(took)),
            marked: self.results[self.at].marked,
            muted: self.muted,
            help: self.help,
            changes: self.draft.changes(),
            message: self.message.as_ref().map(|(line, _)| line.as_str()),
        }
    }

    /// How long it takes until the rehearsal looks or sounds different. None while nothing changes by itself.
    pub fn changes_in(&self) -> Option<Duration> {
        let message = self.message.as_ref().map(|(_, until)| until.since(self.clock()));
        let running = (self.stage == RehearsalStage::Running).then(|| {
            // The digits change on whole seconds before and after the boundary.
            let (now, at) = (self.now().0, self.boundary().at.0);
            let to_digit = if now < at { (at - now - 1) % 1000 + 1 } else { 1000 - (now - at) % 1000 };
            Duration::from_millis(to_digit).min(self.ends().saturating_sub(self.now()).duration())
        });
        [message, running].into_iter().flatten().min()
    }

    /// What was measured, for each changeover of the class as it is now.
    pub fn table(&self) -> Vec<TransitionRow> {
        table(&self.schedule, &self.boundaries, &self.results, &self.settings)
    }

    /// What to keep of the rehearsal.
    pub fn outcome(&self) -> RehearsalOutcome {
        let write = (self.write && self.draft.changes() > 0).then(|| self.draft.text().to_owned());
        RehearsalOutcome { samples: self.samples.clone(), write }
    }

    fn boundary(&self) -> Boundary {
        self.boundaries[self.at]
    }

    fn clock(&self) -> ClockTime {
        self.reading.at
    }

    fn now(&self) -> Tick {
        self.class.at(self.clock())
    }

    /// Where this part of the class ends: with its window, or later as long as the coach is not ready.
    fn ends(&self) -> Tick {
        let part = self.boundary().rehearsed_range(self.settings.window);
        let end = if self.ready.is_some() { part.end } else { part.end + PATIENCE };
        end.min(self.schedule.total())
    }

    fn catch_up(&mut self) {
        if self.message.as_ref().is_some_and(|(_, until)| *until <= self.clock()) {
            self.message = None;
        }
        while self.stage == RehearsalStage::Running
            && let Some(at) = self.class.clock_time_of(self.ends())
            && at <= self.clock()
        {
            self.next_boundary(at);
        }
    }

    fn press(&mut self, press: RehearseCommand) {
        match press {
            RehearseCommand::Suspend => {
                self.pause(self.clock());
                self.effects.push(StepEffect::Suspend);
            }
            RehearseCommand::Interrupt => self.effects.push(StepEffect::End(RunEnding::Done)),
            RehearseCommand::Help => self.help = !self.help,
            RehearseCommand::No if self.help => self.help = false,
            RehearseCommand::Mute => {
                self.muted = !self.muted;
                self.effects.push(StepEffect::Hush);
                self.play();
            }
            _ if self.stage == RehearsalStage::Table => self.answer(press),
            RehearseCommand::Ready => self.ready_pressed(),
            RehearseCommand::Next => self.next_boundary(self.clock()),
            RehearseCommand::Back if self.at == 0 => self.go_to(0, self.clock()),
            RehearseCommand::Back => self.go_to(self.at - 1, self.clock()),
            RehearseCommand::Again => self.go_to(self.at, self.clock()),
            RehearseCommand::Tight => {
                let marked = &mut self.results[self.at].marked;
                *marked = !*marked;
            }
            RehearseCommand::MoreRest => self.give_rest(REST_STEP),
            RehearseCommand::LessRest => self.give_rest(-REST_STEP),
            RehearseCommand::Earlier => self.move_station(-1),
            RehearseCommand::Later => self.move_station(1),
            RehearseCommand::Undo if self.draft.undo() => self.changed(&WORDS.rehearse.messages.undone),
            RehearseCommand::Undo => self.say(WORDS.rehearse.messages.nothing_to_undo.clone()),
            RehearseCommand::Redo if self.draft.redo() => self.changed(&WORDS.rehearse.messages.redone),
            RehearseCommand::Redo => self.say(WORDS.rehearse.messages.nothing_to_redo.clone()),
            RehearseCommand::Pause if self.stage == RehearsalStage::Running => self.pause(self.clock()),
            RehearseCommand::Pause => self.run(self.clock()),
            RehearseCommand::Quit => self.end(),
            RehearseCommand::Yes | RehearseCommand::No => {}
        }
    }

    /// Takes a key on the table. The key decides whether the changes are written to the file.
    fn answer(&mut self, press: RehearseCommand) {
        match press {
            RehearseCommand::Yes if self.draft.changes() > 0 => {
                self.write = true;
                self.effects.push(StepEffect::End(RunEnding::Done));
            }
            RehearseCommand::No | RehearseCommand::Quit => self.effects.push(StepEffect::End(RunEnding::Done)),
            RehearseCommand::Ready if self.draft.changes() == 0 => self.effects.push(StepEffect::End(RunEnding::Done)),
            RehearseCommand::Back => {
                self.go_to(self.boundaries.len() - 1, self.clock());
            }
            RehearseCommand::Again => {
                self.go_to(0, self.clock());
            }
            _ => {}
        }
    }

    fn ready_pressed(&mut self) {
        let (now, at) = (self.now(), self.boundary().at);
        match self.stage {
            RehearsalStage::Ready | RehearsalStage::Paused => self.run(self.clock()),
            RehearsalStage::Running if self.ready.is_some() => self.next_boundary(self.clock()),
            RehearsalStage::Running if now < at => {
                self.say(WORDS.rehearse.messages.too_early.clone());
            }
            RehearsalStage::Running => {
                let took = now - at;
                self.ready = Some(took);
                self.results[self.at].took = Some(took);
                self.samples.push(TransitionSample { kind: self.boundary().kind, took, who: self.settings.who });
            }
            RehearsalStage::Table => {}
        }
    }

    /// Goes to the next changeover, or to the table.
    fn next_boundary(&mut self, at: ClockTime) {
        if self.at + 1 < self.boundaries.len() { self.go_to(self.at + 1, at) } else { self.end() }
    }

    /// Starts the part of the class around a changeover.
    fn go_to(&mut self, index: usize, at: ClockTime) {
        self.at = index;
        self.ready = None;
        self.class = ClassTime::halted_at(self.boundary().rehearsed_range(self.settings.window).start);
        self.run(at);
    }

    fn run(&mut self, at: ClockTime) {
        self.stage = RehearsalStage::Running;
        self.class.run(at);
        self.play();
    }

    fn pause(&mut self, at: ClockTime) {
        self.class.halt(at);
        if self.stage == RehearsalStage::Running {
            self.stage = RehearsalStage::Paused;
        }
        self.effects.push(StepEffect::Hush);
    }

    fn end(&mut self) {
        self.class.halt(self.clock());
        self.stage = RehearsalStage::Table;
        self.effects.push(StepEffect::Hush);
    }

    /// Plays what is left of this part of the class.
    fn play(&mut self) {
        if self.stage != RehearsalStage::Running || self.muted {
            return;
        }
        let (from, until) = (self.now(), self.boundary().rehearsed_range(self.settings.window).end + PATIENCE);
        let events = self.schedule.events.iter().filter(|event| event.at >= from && event.at < until);
        let sounding = UpcomingSounds { from, after: Duration::ZERO, events: events.cloned().collect() };
        self.effects.push(StepEffect::Play(sounding));
    }

    fn give_rest(&mut self, by: i64) {
        let boundary = self.boundary();
        let Some(edit) = give_rest::rest_edit(&self.schedule, &boundary, by) else {
            return self.say(WORDS.rehearse.messages.no_rest.clone());
        };
        match self.draft.change(&[edit]) {
            Ok(()) => {
                self.changed("");
                // Added rest first replaces the settle time in the work; only then does it add time to get ready.
                let now = self.boundary();
                let between = &self.schedule.spans[now.before + 1..now.after];
                let rest: Tick = between.iter().filter(|span| span.purpose.is_rest()).map(|span| span.length()).sum();
                let (rest, now, before) = (clock(rest), clock(now.given), clock(boundary.given));
                let words = &WORDS.rehearse.messages.given;
                self.say(fill(words, &[("now", &now), ("rest", &rest), ("before", &before)]));
            }
            Err(why) => self.not_changed(&why),
        }
    }

    /// Moves the next station within its block.
    fn move_station(&mut self, by: isize) {
        let after = &self.schedule.spans[self.boundary().after];
        let Activity::Station(station) = after.activity else {
            return self.say(WORDS.rehearse.messages.all_at_once.clone());
        };
        let block = after.block;
        let to = station.checked_add_signed(by).filter(|&to| to < self.schedule.session.blocks[block].stations.len());
        let Some(to) = to else {
            return self.say(WORDS.rehearse.messages.at_the_end.clone());
        };
        let list = ValuePath(vec![PathStep::Field("blocks"), PathStep::Item(block), PathStep::Field("stations")]);
        let edit = SessionEdit::Move { list: list.clone(), index: station, into: list, to };
        match self.draft.change(&[edit]) {
            Ok(()) => self.changed(&WORDS.rehearse.messages.moved),
            Err(why) => self.not_changed(&why),
        }
    }

    fn not_changed(&mut self, why: &DraftError) {
        self.say(fill(&WORDS.rehearse.messages.not_changed, &[("why", &why.to_string())]));
    }

    /// Called when the draft has changed: finds the same place in the new class, and the result at each boundary.
    fn changed(&mut self, line: &str) {
        let key = |schedule: &Schedule, boundary: &Boundary| {
            let spans = [boundary.before, boundary.after].map(|index| &schedule.spans[index]);
            let ids = spans.map(|span| schedule.station_of(span).map(|station| station.movement.id.clone()));
            let [from, to] = ids;
            // If one span has both sides, their lengths do not count for which changeover it is: a rest changes them.
            let side = Some(spans[1].side).filter(|side| matches!(side, WorkingSide::Left | WorkingSide::Right));
            (spans[1].block, spans[1].round, side, from, to)
        };
        let old: Vec<_> = self.boundaries.iter().map(|boundary| key(&self.schedule, boundary)).collect();
        let (here, was_at) = (old[self.at].clone(), self.at);
        let schedule = schedule_with_cues(&self.draft, &self.voicing);
        let boundaries = boundaries(&schedule, self.settings.all);
        if boundaries.is_empty() {
            return self.end();
        }
        let keys: Vec<_> = boundaries.iter().map(|boundary| key(&schedule, boundary)).collect();
        let mut left: Vec<Option<_>> = old.into_iter().map(Some).collect();
        let found = keys.iter().map(|key| {
            let same = left.iter().position(|old| old.as_ref() == Some(key))?;
            left[same] = None;
            Some(self.results[same])
        });
        self.results = found.map(Option::unwrap_or_default).collect();
        // The same changeover; else one to the same movement in the same round; else the changeover that is at this
        // index now.
        let same = keys.iter().position(|key| *key == here);
        let leads_there = || keys.iter().position(|key| (key.0, key.1, &key.4) == (here.0, here.1, &here.4));
        let at = same.or_else(leads_there).unwrap_or(was_at).min(boundaries.len() - 1);
        (self.schedule, self.boundaries) = (schedule, boundaries);
        let was_running = self.stage == RehearsalStage::Running;
        self.go_to(at, self.clock());
        if !was_running {
            self.pause(self.clock());
        }
        self.say(fill(line, &[("place", &place(&self.schedule, self.boundary().after))]));
    }

    fn say(&mut self, line: String) {
        self.message = Some((line, self.clock().after(MESSAGE)));
    }
}

impl Application for Rehearsal<'_> {
    type Press = RehearseCommand;
    type Event = Infallible;

    fn step(&mut self, reading: ClockReading, inputs: &[StepInput<RehearseCommand>]) -> Vec<StepEffect> {
        Rehearsal::step(self, reading, inputs)
    }

    fn changes_in(&self, _: DisplayKind) -> Option<Duration> {
        Rehearsal::changes_in(self)
    }
}

/// The class of a draft, with its cues.
fn schedule_with_cues(draft: &SessionDraft, voicing: &SpeechSettings) -> Schedule {
    let mut schedule = draft.schedule().clone();
    plan_and_insert_cues(&mut schedule, Tick::ZERO, voicing);
    schedule
}
