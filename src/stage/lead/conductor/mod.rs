//! The conductor: leads a class step by step, from the clock and from what the coach presses.
//!
//! The conductor has no clock, no terminal and no sound of its own. A step takes a reading of the clock and the inputs
//! since the last step, and returns what has to be done about them.

mod changes;
mod flow;
mod music;
mod offers;
mod presses;
mod ready;
mod show;
mod sounding;
mod speaking;
mod take_up;
mod voice;
mod volume;

use std::sync::Arc;

use super::keymap::Keymap;
use super::keys::Press;
use super::moment::View;
use crate::runtime::{Application, ClassTime, ClockTime, Input, Reading, Watcher};
use class::change::{Course, Debt, History, Mark};
use class::cue::{PlannedCue, Voicing, cue_up};
use class::movement::Movement;
use class::schedule::Schedule;
use class::time::Tick;
use journal::{Happening, Told};

/// How a class begins.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Opening {
    /// The class time to begin at: the start of a span.
    pub from: Tick,
    /// When the class begins by itself. None: on a key.
    pub begins: Option<ClockTime>,
    /// Nobody can press a key: blocks that wait for the coach begin by themselves.
    pub unattended: bool,
    /// When others need the room. The offers then end the class by this time, and what is left until this time is
    /// spare. None: the session's slot counts.
    pub room_until: Option<ClockTime>,
    pub muted: bool,
    /// What is said, and how long the voice takes for it.
    pub voicing: Voicing,
    /// The movements that may replace another one.
    pub movements: Vec<Arc<Movement>>,
    /// What the coach's buttons ask for, for texts that name the buttons.
    pub keymap: Keymap,
}

/// What a step of the conductor wants done.
pub(super) type Effect = crate::runtime::Effect<Told>;

/// A class being led.
#[derive(Clone, Debug)]
pub struct Conductor {
    course: Course,
    history: History,
    /// How the course differs from the plan, and how much the sides are short.
    marks: Vec<Mark>,
    debts: Vec<Debt>,
    /// How many moments the coach has marked.
    flags: usize,
    /// When the last change in force was made.
    changed_at: Option<ClockTime>,
    open: Option<offers::Open>,
    room_until: Option<ClockTime>,
    movements: Vec<Arc<Movement>>,
    state: State,
    class: ClassTime,
    keymap: Keymap,
    /// The last reading.
    reading: Reading,
    unattended: bool,
    /// Whether class time has run yet.
    began: bool,
    /// Since when class time has stood still, once the class has begun.
    stood_since: Option<ClockTime>,
    /// For how many milliseconds class time stood still before that.
    lost: u64,
    /// How many of the schedule's events have been told.
    told: usize,
    /// How many of the schedule's spans have begun and been told.
    begun: usize,
    /// The span that has not begun, but need not wait for the coach any more.
    opened: Option<usize>,
    /// All planned cues, said or unsaid.
    cues: Vec<PlannedCue>,
    voicing: Voicing,
    /// The start of the span in which nothing more is said but the time.
    not_now: Option<Tick>,
    /// When to ask for the pips, in a count-in that begins with words.
    pips_from: Option<ClockTime>,
    muted: bool,
    volumes: volume::Volumes,
    /// The block whose music plays.
    music: Option<usize>,
    view: View,
    /// The view that returns when the help or the question closes.
    under: View,
    message: Option<(String, ClockTime)>,
    machine: Vec<(String, String)>,
    pressed: presses::Last,
    measured: ready::Measured,
    effects: Vec<Effect>,
}

/// What the class is doing, with the clock times that this needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Ready { since: ClockTime, begins: Option<ClockTime> },
    CountIn { until: ClockTime },
    Running,
    Gate,
    Held { since: ClockTime, stopped: bool },
    Done,
}

impl Conductor {
    /// A class that is ready to begin.
    pub fn new(mut schedule: Schedule, opening: Opening, reading: Reading) -> Conductor {
        let from = opening.from.min(schedule.total());
        let begun = schedule.span_at(from).unwrap_or(schedule.spans.len());
        let cues = cue_up(&mut schedule, Tick::ZERO, &opening.voicing);
        let told = schedule.events.partition_point(|event| (event.at, event.span) < (from, begun));
        Conductor {
            course: Course::new(schedule),
            history: History::default(),
            marks: Vec::new(),
            debts: Vec::new(),
            flags: 0,
            changed_at: None,
            open: None,
            room_until: opening.room_until,
            movements: opening.movements,
            keymap: opening.keymap,
            state: State::Ready { since: reading.at, begins: opening.begins },
            class: ClassTime::standing(from),
            reading,
            unattended: opening.unattended,
            began: false,
            stood_since: None,
            lost: 0,
            told,
            begun,
            opened: None,
            cues,
            voicing: opening.voicing,
            not_now: None,
            pips_from: None,
            muted: opening.muted,
            volumes: volume::Volumes::default(),
            music: None,
            view: View::Coach,
            under: View::Coach,
            message: None,
            machine: Vec::new(),
            pressed: presses::Last::default(),
            measured: ready::Measured::default(),
            effects: Vec::new(),
        }
    }

    /// Takes the time and the inputs from outside. Time comes first: what is due by now has happened before the inputs
    /// count.
    pub fn step(&mut self, reading: Reading, inputs: &[Input<Press>]) -> Vec<Effect> {
        let before = self.clock();
        self.reading = reading;
        if let Some(ms) = self.reading.slept {
            self.woke(before, ms);
        }
        self.flow();
        for input in inputs {
            match input {
                Input::Press(press) => self.press(*press),
                Input::Say(line) => self.say(line.clone()),
                Input::Lengths(lengths) => self.learn(lengths),
                Input::Machine(lines) => self.machine_stands(lines),
            }
            self.flow();
        }
        self.follow_with_music();
        std::mem::take(&mut self.effects)
    }

    /// The class as it runs.
    pub fn schedule(&self) -> &Schedule {
        self.course.schedule()
    }

    /// The class as planned and as it runs.
    pub fn course(&self) -> &Course {
        &self.course
    }

    /// Class time at the last step.
    pub fn now(&self) -> Tick {
        self.class.at(self.reading.at)
    }

    /// The time of day at the last step.
    pub fn wall(&self) -> &jiff::ZonedDateTime {
        &self.reading.wall
    }

    fn clock(&self) -> ClockTime {
        self.reading.at
    }

    fn tell(&mut self, what: Happening) {
        let at = self.now();
        self.tell_at(at, what);
    }

    fn tell_at(&mut self, at: Tick, what: Happening) {
        let total = self.schedule().total();
        self.effects.push(Effect::Tell(Told { at, total, what }));
    }

    /// Takes the new states of parts of the computer.
    fn machine_stands(&mut self, lines: &[(String, String)]) {
        for (label, value) in lines {
            match self.machine.iter_mut().find(|(known, _)| known == label) {
                Some((_, old)) => old.clone_from(value),
                None => self.machine.push((label.clone(), value.clone())),
            }
        }
    }

    /// Shows the coach a line for a while.
    fn say(&mut self, line: String) {
        self.tell(Happening::Said(line.clone()));
        self.message = Some((line, self.clock().after(show::MESSAGE)));
    }
}

impl Application for Conductor {
    type Press = Press;
    type Event = Told;

    fn step(&mut self, reading: Reading, inputs: &[Input<Press>]) -> Vec<Effect> {
        Conductor::step(self, reading, inputs)
    }

    fn changes_in(&self, watcher: Watcher) -> Option<u64> {
        Conductor::changes_in(self, watcher)
    }
}
