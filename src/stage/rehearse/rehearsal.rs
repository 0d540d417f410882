//! The rehearsal, step by step.

use super::boundary::PATIENCE;
use super::table::{Found, Row, place, table};
use super::{Boundary, Press, Window, boundaries, give_rest};
use class::cue::{Voicing, cue_up};
use class::draft::{Draft, NotChanged};
use std::convert::Infallible;

use crate::runtime::{Application, ClassTime, ClockTime, Effect, Ending, Input, Reading, Sounding, Watcher};
use class::schedule::{Doing, Sample, Schedule, Side, Who};
use class::session::edit::Edit;
use class::session::fault::{Path, Step};
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// What the rehearsal is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stage {
    /// Before the first changeover.
    Ready,
    Running,
    Held,
    /// All changeovers are done: the table, with the question whether to write what was changed.
    Table,
}

/// Everything that a screen may show of a rehearsal.
#[derive(Clone, Debug, PartialEq)]
pub struct View<'a> {
    pub schedule: &'a Schedule,
    pub stage: Stage,
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
pub struct Settings {
    pub window: Window,
    /// Also rehearse the changeovers at which only the movement changes.
    pub all: bool,
    /// Who gets ready.
    pub who: Who,
    /// How long a group takes, in percent of the time that the coach alone takes: 150 is one and a half times as long.
    pub group: u32,
}

impl Settings {
    /// How long a group takes, from what was measured.
    pub fn of_group(&self, took: Tick) -> Tick {
        match self.who {
            Who::Coach => Tick(took.0.saturating_mul(u64::from(self.group)) / 100),
            Who::Group => took,
        }
    }
}

/// How a rehearsal ended, for its caller to act on.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Outcome {
    /// Every changeover that was measured, in order.
    pub samples: Vec<Sample>,
    /// The text to write into the file. None unless the coach said so.
    pub write: Option<String>,
}

/// The changeovers of a class, rehearsed one after the other.
#[derive(Debug)]
pub struct Rehearsal<'c> {
    draft: Draft<'c>,
    voicing: Voicing,
    /// The class of the draft, with its cues.
    schedule: Schedule,
    boundaries: Vec<Boundary>,
    /// What was found at each boundary.
    found: Vec<Found>,
    at: usize,
    settings: Settings,
    class: ClassTime,
    stage: Stage,
    /// How long the coach took to get ready at this boundary. None until then.
    ready: Option<Tick>,
    samples: Vec<Sample>,
    write: bool,
    muted: bool,
    help: bool,
    message: Option<(String, ClockTime)>,
    reading: Reading,
    effects: Vec<Effect>,
}

/// How long a line for the coach stays, in milliseconds.
const MESSAGE: u64 = 5_000;
/// How much one press changes a rest, in milliseconds.
const REST_STEP: i64 = 5_000;

impl<'c> Rehearsal<'c> {
    /// A rehearsal of the changeovers of a draft. None if it has none.
    pub fn new(draft: Draft<'c>, voicing: Voicing, settings: Settings, reading: Reading) -> Option<Rehearsal<'c>> {
        let schedule = cued(&draft, &voicing);
        let boundaries = boundaries(&schedule, settings.all);
        let first = boundaries.first()?;
        Some(Rehearsal {
            class: ClassTime::standing(first.part(settings.window).start),
            found: vec![Found::default(); boundaries.len()],
            draft,
            voicing,
            schedule,
            boundaries,
            at: 0,
            settings,
            stage: Stage::Ready,
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
    pub fn step(&mut self, reading: Reading, inputs: &[Input<Press>]) -> Vec<Effect> {
        let before = self.clock();
        self.reading = reading;
        if self.reading.slept.is_some() && self.stage == Stage::Running {
            self.hold(before);
        }
        self.flow();
        for input in inputs {
            match input {
                Input::Press(press) => self.press(*press),
                Input::Say(line) => self.say(line.clone()),
                Input::Lengths(_) | Input::Machine(_) => {}
            }
            self.flow();
        }
        std::mem::take(&mut self.effects)
    }

    /// Everything that a screen may show at the last step.
    pub fn view(&self) -> View<'_> {
        View {
            schedule: &self.schedule,
            stage: self.stage,
            now: self.now(),
            boundary: self.boundary(),
            index: self.at,
            count: self.boundaries.len(),
            took: self.ready,
            group: self.ready.filter(|_| self.settings.who == Who::Coach).map(|took| self.settings.of_group(took)),
            marked: self.found[self.at].marked,
            muted: self.muted,
            help: self.help,
            changes: self.draft.changes(),
            message: self.message.as_ref().map(|(line, _)| line.as_str()),
        }
    }

    /// Milliseconds of the clock until the rehearsal looks or sounds different. None while nothing changes by itself.
    pub fn changes_in(&self) -> Option<u64> {
        let message = self.message.as_ref().map(|(_, until)| until.since(self.clock()));
        let running = (self.stage == Stage::Running).then(|| {
            // The digits change on whole seconds before and after the boundary.
            let (now, at) = (self.now().0, self.boundary().at.0);
            let to_digit = if now < at { (at - now - 1) % 1000 + 1 } else { 1000 - (now - at) % 1000 };
            to_digit.min(self.ends().less(self.now()).0)
        });
        [message, running].into_iter().flatten().min()
    }

    /// What was measured, for each changeover of the class as it is now.
    pub fn table(&self) -> Vec<Row> {
        table(&self.schedule, &self.boundaries, &self.found, &self.settings)
    }

    /// What to keep of the rehearsal.
    pub fn outcome(&self) -> Outcome {
        let write = (self.write && self.draft.changes() > 0).then(|| self.draft.text().to_owned());
        Outcome { samples: self.samples.clone(), write }
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
        let part = self.boundary().part(self.settings.window);
        let end = if self.ready.is_some() { part.end } else { part.end + PATIENCE };
        end.min(self.schedule.total())
    }

    fn flow(&mut self) {
        if self.message.as_ref().is_some_and(|(_, until)| *until <= self.clock()) {
            self.message = None;
        }
        while self.stage == Stage::Running
            && let Some(at) = self.class.reaches(self.ends())
            && at <= self.clock()
        {
            self.hop(at);
        }
    }

    fn press(&mut self, press: Press) {
        match press {
            Press::Suspend => {
                self.hold(self.clock());
                self.effects.push(Effect::Suspend);
            }
            Press::Interrupt => self.effects.push(Effect::End(Ending::Done)),
            Press::Help => self.help = !self.help,
            Press::No if self.help => self.help = false,
            Press::Mute => {
                self.muted = !self.muted;
                self.effects.push(Effect::Hush);
                self.play();
            }
            _ if self.stage == Stage::Table => self.answer(press),
            Press::Ready => self.ready_pressed(),
            Press::Next => self.hop(self.clock()),
            Press::Back if self.at == 0 => self.go_to(0, self.clock()),
            Press::Back => self.go_to(self.at - 1, self.clock()),
            Press::Again => self.go_to(self.at, self.clock()),
            Press::Tight => {
                let marked = &mut self.found[self.at].marked;
                *marked = !*marked;
            }
            Press::MoreRest => self.give_rest(REST_STEP),
            Press::LessRest => self.give_rest(-REST_STEP),
            Press::Earlier => self.shift(-1),
            Press::Later => self.shift(1),
            Press::Undo if self.draft.undo() => self.changed(&WORDS.rehearse.messages.undone),
            Press::Undo => self.say(WORDS.rehearse.messages.nothing_to_undo.clone()),
            Press::Redo if self.draft.redo() => self.changed(&WORDS.rehearse.messages.redone),
            Press::Redo => self.say(WORDS.rehearse.messages.nothing_to_redo.clone()),
            Press::Hold if self.stage == Stage::Running => self.hold(self.clock()),
            Press::Hold => self.run(self.clock()),
            Press::Quit => self.end(),
            Press::Yes | Press::No => {}
        }
    }

    /// A key on the table. It answers whether what was changed goes into the file.
    fn answer(&mut self, press: Press) {
        match press {
            Press::Yes if self.draft.changes() > 0 => {
                self.write = true;
                self.effects.push(Effect::End(Ending::Done));
            }
            Press::No | Press::Quit => self.effects.push(Effect::End(Ending::Done)),
            Press::Ready if self.draft.changes() == 0 => self.effects.push(Effect::End(Ending::Done)),
            Press::Back => {
                self.go_to(self.boundaries.len() - 1, self.clock());
            }
            Press::Again => {
                self.go_to(0, self.clock());
            }
            _ => {}
        }
    }

    fn ready_pressed(&mut self) {
        let (now, at) = (self.now(), self.boundary().at);
        match self.stage {
            Stage::Ready | Stage::Held => self.run(self.clock()),
            Stage::Running if self.ready.is_some() => self.hop(self.clock()),
            Stage::Running if now < at => {
                self.say(WORDS.rehearse.messages.too_early.clone());
            }
            Stage::Running => {
                let took = now - at;
                self.ready = Some(took);
                self.found[self.at].took = Some(took);
                self.samples.push(Sample { kind: self.boundary().kind, took, who: self.settings.who });
            }
            Stage::Table => {}
        }
    }

    /// Goes to the next changeover, or to the table.
    fn hop(&mut self, at: ClockTime) {
        if self.at + 1 < self.boundaries.len() { self.go_to(self.at + 1, at) } else { self.end() }
    }

    /// Starts the part of the class around a changeover.
    fn go_to(&mut self, index: usize, at: ClockTime) {
        self.at = index;
        self.ready = None;
        self.class = ClassTime::standing(self.boundary().part(self.settings.window).start);
        self.run(at);
    }

    fn run(&mut self, at: ClockTime) {
        self.stage = Stage::Running;
        self.class.run(at);
        self.play();
    }

    fn hold(&mut self, at: ClockTime) {
        self.class.stand(at);
        if self.stage == Stage::Running {
            self.stage = Stage::Held;
        }
        self.effects.push(Effect::Hush);
    }

    fn end(&mut self) {
        self.class.stand(self.clock());
        self.stage = Stage::Table;
        self.effects.push(Effect::Hush);
    }

    /// Plays what is left of this part of the class.
    fn play(&mut self) {
        if self.stage != Stage::Running || self.muted {
            return;
        }
        let (from, until) = (self.now(), self.boundary().part(self.settings.window).end + PATIENCE);
        let events = self.schedule.events.iter().filter(|event| event.at >= from && event.at < until);
        let sounding = Sounding { from, after_ms: 0, events: events.cloned().collect() };
        self.effects.push(Effect::Play(sounding));
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
    fn shift(&mut self, by: isize) {
        let after = &self.schedule.spans[self.boundary().after];
        let Doing::Station(station) = after.doing else {
            return self.say(WORDS.rehearse.messages.all_at_once.clone());
        };
        let block = after.block;
        let to = station.checked_add_signed(by).filter(|&to| to < self.schedule.session.blocks[block].stations.len());
        let Some(to) = to else {
            return self.say(WORDS.rehearse.messages.at_the_end.clone());
        };
        let list = Path(vec![Step::Field("blocks"), Step::Item(block), Step::Field("stations")]);
        let edit = Edit::Move { list: list.clone(), index: station, into: list, to };
        match self.draft.change(&[edit]) {
            Ok(()) => self.changed(&WORDS.rehearse.messages.moved),
            Err(why) => self.not_changed(&why),
        }
    }

    fn not_changed(&mut self, why: &NotChanged) {
        self.say(fill(&WORDS.rehearse.messages.not_changed, &[("why", &why.to_string())]));
    }

    /// Called when the draft has changed: finds the same place in the new class, and what was found at each boundary.
    fn changed(&mut self, line: &str) {
        let key = |schedule: &Schedule, boundary: &Boundary| {
            let spans = [boundary.before, boundary.after].map(|index| &schedule.spans[index]);
            let ids = spans.map(|span| schedule.station_of(span).map(|station| station.movement.id.clone()));
            let [from, to] = ids;
            // If one span has both sides, their lengths do not count for which changeover it is: a rest changes them.
            let side = Some(spans[1].side).filter(|side| matches!(side, Side::Left | Side::Right));
            (spans[1].block, spans[1].round, side, from, to)
        };
        let old: Vec<_> = self.boundaries.iter().map(|boundary| key(&self.schedule, boundary)).collect();
        let (here, was_at) = (old[self.at].clone(), self.at);
        let schedule = cued(&self.draft, &self.voicing);
        let boundaries = boundaries(&schedule, self.settings.all);
        if boundaries.is_empty() {
            return self.end();
        }
        let keys: Vec<_> = boundaries.iter().map(|boundary| key(&schedule, boundary)).collect();
        let mut left: Vec<Option<_>> = old.into_iter().map(Some).collect();
        let found = keys.iter().map(|key| {
            let same = left.iter().position(|old| old.as_ref() == Some(key))?;
            left[same] = None;
            Some(self.found[same])
        });
        self.found = found.map(Option::unwrap_or_default).collect();
        // The same changeover; else one to the same movement in the same round; else whatever is at this index now.
        let same = keys.iter().position(|key| *key == here);
        let leads_there = || keys.iter().position(|key| (key.0, key.1, &key.4) == (here.0, here.1, &here.4));
        let at = same.or_else(leads_there).unwrap_or(was_at).min(boundaries.len() - 1);
        (self.schedule, self.boundaries) = (schedule, boundaries);
        let was_running = self.stage == Stage::Running;
        self.go_to(at, self.clock());
        if !was_running {
            self.hold(self.clock());
        }
        self.say(fill(line, &[("place", &place(&self.schedule, self.boundary().after))]));
    }

    fn say(&mut self, line: String) {
        self.message = Some((line, self.clock().after(MESSAGE)));
    }
}

impl Application for Rehearsal<'_> {
    type Press = Press;
    type Event = Infallible;

    fn step(&mut self, reading: Reading, inputs: &[Input<Press>]) -> Vec<Effect> {
        Rehearsal::step(self, reading, inputs)
    }

    fn changes_in(&self, _: Watcher) -> Option<u64> {
        Rehearsal::changes_in(self)
    }
}

/// The class of a draft, with its cues.
fn cued(draft: &Draft, voicing: &Voicing) -> Schedule {
    let mut schedule = draft.schedule().clone();
    cue_up(&mut schedule, Tick::ZERO, voicing);
    schedule
}
