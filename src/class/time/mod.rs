//! Class time: ticks, lengths as people write them, tempo and its beats.

mod beats;
mod length;
mod tempo;
mod tick;

pub use beats::Beats;
pub use length::{LengthFault, clock, parse_length, spoken_length};
pub use tempo::{FirstPhase, Tempo, TempoFault};
pub use tick::Tick;
