//! The coach's own music: files that play during a class, lowered under everything that the class has to hear.
//!
//! ```text
//! files ─▶ track (decoded) ─▶ feed (one after the other, levelled, at the device's rate) ─▶ tape ─▶ renderer
//!          └──────────── the player's thread ────────────────────────────────────┘  ring  └ the callback ┘
//! ```
//! Nothing in a class depends on music. Music follows no tick, and the class is the same without it.

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
