//! Sound: tones and speech as a score of events on absolute frames, played on time by any device.
//!
//! This module knows frames and PCM, not movements. Class time comes from the clock, never from a device.

mod channels;
mod desk;
mod device;
mod dials;
mod engine;
mod hum;
mod kernel;
mod level;
mod line;
pub mod loudness;
pub mod music;
mod of_class;
mod offline;
mod outlet;
mod pcm;
mod plan;
pub mod render;
mod renderer;
mod score;
mod tones;
pub mod voice;

pub use device::{DeviceLine, devices};
pub use dials::Dials;
pub use engine::{Engine, Format, Report, Settings, State, Status};
pub use kernel::Kernel;
pub use level::Levels;
pub use line::{Asked, Line};
pub use of_class::{plan_of, sound_in_room, sound_of, words_of};
pub use offline::{Offline, Piece, render};
pub use outlet::{Lost, NoSound, Opened, Outlet, Pull};
pub use pcm::Pcm;
pub use plan::{Plan, Run, Sound, Sounding};
pub use renderer::{Conduct, Order, Renderer};
pub use score::{Bus, Clip, Note, Score};
pub use tones::{Signal, Tones};
