//! The runtime of everything that a coach leads by keys: the terminal, the clock, the keys and the loop.
//!
//! An [`Application`] is a pure step: it takes a reading of the clock and the inputs since the last step, and gives back
//! effects. [`run()`] waits, steps and carries the effects out. The runtime knows no class; a class, a rehearsal, a plan, a
//! sound check and the front door are applications of it.

mod application;
pub mod awake;
mod class_time;
mod clock;
mod console;
mod display;
mod keys;
pub mod power;
mod read_out;
mod recorder;
mod run;
pub mod terminal;

pub use application::{Application, AudioNews, DisplayKind, RunEnding, StepEffect, StepInput, UpcomingSounds};
pub use class_time::ClassTime;
pub(crate) use clock::wall_before;
pub use clock::{Clock, ClockReading, ClockTime, RealClock, SteppedClock, wall_after};
pub use console::{Console, Incoming, InputSource, Messenger};
pub use display::{DisplayOutput, ScreenDisplay, run_on_screen};
#[cfg(test)]
pub(crate) use keys::doubled;
pub use keys::{KeyBinding, KeyCommand, command_of_key};
pub use recorder::{NoRecorder, Recorder};
pub use run::{AudioOutput, NoAudio, run};
