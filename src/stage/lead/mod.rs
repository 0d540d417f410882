//! Leading a class: the conductor, its keys, its offers and its screens.

mod commands;
mod conductor;
pub mod engine_audio;
mod keymap;
mod keymap_error;
mod moment;
mod offer;
pub mod opening;
pub mod plain_display;
mod recorder;
pub mod screen;

pub use class::cue::{COUNT_IN, count_in};
pub use commands::{KEYS, LeadCommand};
pub use conductor::{ClassOpening, Conductor};
pub use keymap::{BuiltInKeymap, Keymap, key_name};
pub use keymap_error::KeymapError;
pub use moment::{ClassChanges, ClassPhase, Moment, ScreenView, ShownOffer};
pub use offer::{Offer, OfferAction, STRETCH, offers};
