//! Leading a class: the conductor, its clock and its run loop.

mod moment;

pub use moment::{Moment, Phase, View};
