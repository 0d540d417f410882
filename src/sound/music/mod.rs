//! The coach's own music: files played under a class, and down under everything that the class has to hear.
//!
//! ```text
//! files ─▶ track (decoded) ─▶ feed (one after the other, levelled, at the device's rate) ─▶ tape ─▶ renderer
//!          └──────────── the player's thread ────────────────────────────────────┘  ring  └ the callback ┘
//! ```
//! Nothing of the class depends on it: it follows no tick, and a class without it is the same class.

mod duck;
mod feed;
mod files;
mod level;
mod player;
mod resample;
mod tape;
mod track;

pub use duck::{ATTACK, BRIDGE, RELEASE};
pub use feed::Feed;
pub use files::{ENDINGS, Lacking, MOST, files};
pub use level::{LOUDNESS, SWELL};
pub use tape::{AHEAD, Deck, FADE, Reel, Tape, tape};

pub(super) use player::Music;

/// A frame of music: left and right.
pub type Frame = [f32; 2];
