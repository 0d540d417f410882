//! The coach's own music: files that play during a class, lowered under everything that the class has to hear.
//!
//! ```text
//! files ─▶ track (decoded) ─▶ feed (one after the other, levelled, at the device's rate) ─▶ ring ─▶ renderer
//!          └──────────── the player's thread ────────────────────────────────────┘  ring  └ the callback ┘
//! ```
//! Nothing in a class depends on music. Music follows no tick, and the class is the same without it.

mod ducking;
mod files;
mod gain;
mod player;
mod playlist_feed;
mod resample;
mod ring;
mod track;

pub use ducking::{ATTACK, BRIDGE, RELEASE};
pub use files::{ENDINGS, MOST, PlaylistError, files};
pub use gain::{LOUDNESS, SWELL};
pub use playlist_feed::PlaylistFeed;
pub use ring::{AHEAD, FADE, MusicRequest, MusicRingReader, MusicRingWriter, tape};

pub(super) use player::MusicControl;

/// A frame of music: left and right.
pub type StereoFrame = [f32; 2];
