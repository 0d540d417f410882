//! What the loop runs: an application, what it takes in and what it wants done.

use std::convert::Infallible;
use std::time::Duration;

use class::schedule::ScheduleEvent;
use class::time::Tick;
use sound::{SoundBus, ToneSignal};

use super::clock::ClockReading;

/// Something that is led by keys and a clock: a class, a rehearsal, a plan, a sound check, the front door.
pub trait Application {
    /// What the coach can ask for.
    type Press;
    /// What it tells the display and the recorder.
    type Event;

    /// Takes the time and the inputs since the last step, and gives back what is to be done.
    fn step(&mut self, reading: ClockReading, inputs: &[StepInput<Self::Press>]) -> Vec<StepEffect<Self::Event>>;

    /// How long it takes until the application looks or sounds different. None: nothing changes by itself.
    fn changes_in(&self, watcher: DisplayKind) -> Option<Duration>;
}

/// Something from outside that a step takes in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StepInput<P> {
    Press(P),
    /// A line for the coach: a device was lost, a text could not be spoken.
    Say(String),
    /// How long the voice takes for the texts that it has spoken by now.
    Lengths(Vec<(String, Duration)>),
    /// The state of parts of the computer, for the ready screen: each a label and a short value.
    Machine(Vec<(String, String)>),
}

/// What the audio output reports.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AudioNews {
    Say(String),
    Lengths(Vec<(String, Duration)>),
    Machine(Vec<(String, String)>),
}

impl<P> From<AudioNews> for StepInput<P> {
    fn from(news: AudioNews) -> StepInput<P> {
        match news {
            AudioNews::Say(line) => StepInput::Say(line),
            AudioNews::Lengths(lengths) => StepInput::Lengths(lengths),
            AudioNews::Machine(lines) => StepInput::Machine(lines),
        }
    }
}

/// Something that a step wants done outside. By itself an application tells nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StepEffect<E = Infallible> {
    /// Play this from now on, and nothing else.
    Play(UpcomingSounds),
    /// Be silent at once.
    Hush,
    /// Set the volume of one kind of sound, in percent.
    Volume(SoundBus, u8),
    /// Play the music of this block, if the block has music; else stop the music.
    Music(Option<usize>),
    /// Let the coach hear this signal now, quietly.
    Signal(ToneSignal),
    /// Tell the recorder and the display, in order.
    Tell(E),
    /// Hand the terminal to the shell until the shell gives it back.
    Suspend,
    /// Nothing is left to run: end, unless the display stays open for the coach.
    Over,
    /// End now.
    End(RunEnding),
}

/// What is to sound from now on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UpcomingSounds {
    /// Class time at which the sound begins.
    pub from: Tick,
    /// How long it takes until then. Above zero during a count-in: its pips sound before class time runs.
    pub after: Duration,
    /// The events in order, up to where class time will stop. Events before `from` are sounding already and continue.
    pub events: Vec<ScheduleEvent>,
}

/// How an application ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunEnding {
    /// It was over.
    Done,
    /// The coach ended it early.
    Quit,
    /// A signal ended it: its number.
    Signal(i32),
}

/// Who has to know about a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DisplayKind {
    /// A screen with running digits.
    Screen,
    /// Lines, which change only when something happens.
    Lines,
}
