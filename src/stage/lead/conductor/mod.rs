//! The conductor: leads a class step by step, from the clock and from what the coach presses.
//!
//! The conductor has no clock, no terminal and no sound of its own. A step takes a reading of the clock and the inputs
//! since the last step, and returns what has to be done about them.

mod changeover_timing;
mod changes;
mod commands;
mod current_moment;
mod flow;
mod music;
mod offers;
mod resume;
mod sounding;
mod speaking;
mod view;
mod voice;
mod volume;

use std::sync::Arc;
use std::time::Duration;

use super::commands::LeadCommand;
use super::keymap::Keymap;
use crate::runtime::{Application, ClassTime, ClockReading, ClockTime, DisplayKind, StepInput};
use class::change::{ChangeHistory, Course, SideDebt, SpanDeviation};
use class::cue::{PlannedCue, SpeechSettings, plan_and_insert_cues};
use class::movement::Movement;
use class::schedule::Schedule;
use class::time::Tick;
use journal::{Happening, TimedHappening};

/// How a class begins.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct ClassOpening {
    /// The class time to begin at: the start of a span.
    pub from: Tick,
    /// When the class begins by itself. None: on a key.
    pub begins: Option<ClockTime>,
    /// Nobody can press a key: blocks that wait for the coach begin by themselves.
    pub unattended: bool,
    /// When others need the room. The offers then end the class by this time, and what is left until this time is
    /// spare. None: the session's slot counts.
    pub room_free_until: Option<ClockTime>,
    pub muted: bool,
    /// What is said, and how long the voice takes for it.
    pub voicing: SpeechSettings,
    /// The movements that may replace another one.
    pub movements: Vec<Arc<Movement>>,
    /// What the coach's buttons ask for, for texts that name the buttons.
    pub keymap: Keymap,
}

/// What a step of the conductor wants done.
pub(super) type Effect = crate::runtime::StepEffect<TimedHappening>;

/// A class being led.
#[derive(Clone, Debug)]
pub struct Conductor {
    course: Course,
    history: ChangeHistory,
    /// How the course differs from the plan, and how much the sides are short.
    deviations: Vec<SpanDeviation>,
    debts: Vec<SideDebt>,
    /// How many moments the coach has marked.
    marks: usize,
    /// When the last change in force was made.
    changed_at: Option<ClockTime>,
    open_offers: Option<offers::OpenOffers>,
    room_free_until: Option<ClockTime>,
    movements: Vec<Arc<Movement>>,
    state: ConductorState,
    class: ClassTime,
    keymap: Keymap,
    /// The last reading.
    reading: ClockReading,
    unattended: bool,
    /// How long class time stood still in pauses and waits that are over.
    lost: Duration,
    /// How many of the schedule's events have been told.
    events_told: usize,
    /// How many of the schedule's spans have begun and been told.
    spans_begun: usize,
    /// Whether the next span to begin need not wait for the coach any more.
    next_is_opened: bool,
    /// All planned cues, said or unsaid.
    cues: Vec<PlannedCue>,
    voicing: SpeechSettings,
    /// The start of the span in which nothing more is said but the time. This lasts through pauses, to the end of the
    /// span.
    silenced_span: Option<Tick>,
    muted: bool,
    volumes: volume::BusVolumes,
    /// The block whose music plays.
    music: Option<usize>,
    view: view::OpenView,
    message: Option<(String, ClockTime)>,
    machine: Vec<(String, String)>,
    repeat_guard: commands::RepeatGuard,
    measurements: changeover_timing::ChangeoverMeasurements,
    effects: Vec<Effect>,
}

/// What the class is doing, with the clock times that this needs. Class time runs in `Running` only.
///
/// `halted_since`: since when class time has stood still. None if it has not run yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum ConductorState {
    /// Before the first count-in. `begins`: when the class begins by itself.
    Ready {
        since: ClockTime,
        begins: Option<ClockTime>,
    },
    /// Class time runs from `until` on. `pips_from`: when to ask for the pips, if words come before them.
    CountIn {
        until: ClockTime,
        pips_from: Option<ClockTime>,
        halted_since: Option<ClockTime>,
    },
    Running,
    /// A block waits for the coach.
    Gate {
        halted_since: ClockTime,
    },
    /// A pause since `since`. It is later than `halted_since` if class time stood still before the pause.
    Paused {
        since: ClockTime,
        halted_since: Option<ClockTime>,
        stopped: bool,
    },
    /// The last span is over.
    Done {
        halted_since: ClockTime,
    },
}

impl ConductorState {
    /// Since when class time has stood still, if it has run before.
    fn halted_since(self) -> Option<ClockTime> {
        match self {
            ConductorState::Ready { .. } | ConductorState::Running => None,
            ConductorState::CountIn { halted_since, .. } | ConductorState::Paused { halted_since, .. } => halted_since,
            ConductorState::Gate { halted_since } | ConductorState::Done { halted_since } => Some(halted_since),
        }
    }

    /// Whether class time has run yet.
    fn has_begun(self) -> bool {
        self == ConductorState::Running || self.halted_since().is_some()
    }

    fn is_gate(self) -> bool {
        matches!(self, ConductorState::Gate { .. })
    }

    fn is_done(self) -> bool {
        matches!(self, ConductorState::Done { .. })
    }
}

impl Conductor {
    /// A class that is ready to begin.
    pub fn new(mut schedule: Schedule, opening: ClassOpening, reading: ClockReading) -> Conductor {
        let from = opening.from.min(schedule.total());
        let begun = schedule.span_at(from).unwrap_or(schedule.spans.len());
        let cues = plan_and_insert_cues(&mut schedule, Tick::ZERO, &opening.voicing);
        let told = schedule.events.partition_point(|event| (event.at, event.span) < (from, begun));
        Conductor {
            course: Course::new(schedule),
            history: ChangeHistory::default(),
            deviations: Vec::new(),
            debts: Vec::new(),
            marks: 0,
            changed_at: None,
            open_offers: None,
            room_free_until: opening.room_free_until,
            movements: opening.movements,
            keymap: opening.keymap,
            state: ConductorState::Ready { since: reading.at, begins: opening.begins },
            class: ClassTime::halted_at(from),
            reading,
            unattended: opening.unattended,
            lost: Duration::ZERO,
            events_told: told,
            spans_begun: begun,
            next_is_opened: false,
            cues,
            voicing: opening.voicing,
            silenced_span: None,
            muted: opening.muted,
            volumes: volume::BusVolumes::default(),
            music: None,
            view: view::OpenView::default(),
            message: None,
            machine: Vec::new(),
            repeat_guard: commands::RepeatGuard::default(),
            measurements: changeover_timing::ChangeoverMeasurements::default(),
            effects: Vec::new(),
        }
    }

    /// Takes the time and the inputs from outside. Time comes first: what is due by now has happened before the inputs
    /// count.
    pub fn step(&mut self, reading: ClockReading, inputs: &[StepInput<LeadCommand>]) -> Vec<Effect> {
        let before = self.clock();
        self.reading = reading;
        if let Some(length) = self.reading.slept {
            self.after_sleep(before, length);
        }
        self.catch_up();
        for input in inputs {
            match input {
                StepInput::Press(press) => self.press(*press),
                StepInput::Say(line) => self.show_message(line.clone()),
                StepInput::Lengths(lengths) => self.learn_lengths(lengths),
                StepInput::Machine(lines) => self.update_system_status(lines),
            }
            self.catch_up();
        }
        self.update_music();
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
        self.effects.push(Effect::Tell(TimedHappening { at, total, what }));
    }

    /// Takes the new states of parts of the computer.
    fn update_system_status(&mut self, lines: &[(String, String)]) {
        for (label, value) in lines {
            match self.machine.iter_mut().find(|(known, _)| known == label) {
                Some((_, old)) => old.clone_from(value),
                None => self.machine.push((label.clone(), value.clone())),
            }
        }
    }

    /// Shows the coach a line for a while.
    fn show_message(&mut self, line: String) {
        self.tell(Happening::Said(line.clone()));
        self.message = Some((line, self.clock().after(current_moment::MESSAGE)));
    }
}

impl Application for Conductor {
    type Press = LeadCommand;
    type Event = TimedHappening;

    fn step(&mut self, reading: ClockReading, inputs: &[StepInput<LeadCommand>]) -> Vec<Effect> {
        Conductor::step(self, reading, inputs)
    }

    fn changes_in(&self, watcher: DisplayKind) -> Option<Duration> {
        Conductor::changes_in(self, watcher)
    }
}
