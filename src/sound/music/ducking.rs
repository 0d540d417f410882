//! Ducking: music is lowered under what the class has to hear. How far, how fast, and when it comes up again.

use std::time::Duration;

use crate::loudness;

/// How long music takes to go down. The next sound is known in advance, so music is all the way down when it starts.
pub const ATTACK: Duration = Duration::from_millis(150);

/// How long music takes to come up again, from the end of the sound.
pub const RELEASE: Duration = Duration::from_millis(600);

/// Music stays down between two sounds closer than this, because it would have to go down again before it is up. Longer
/// than the 1 s between two pips.
pub const BRIDGE: Duration = Duration::from_millis(1_500);

/// The lowest volume of a sound that counts for ducking, as a factor. Under a softer sound music goes no lower.
const SOFTEST: f32 = 0.01;

/// The level of music, between full and [`loudness::UNDER`] times the volume of what sounds. It changes evenly in
/// decibels.
#[derive(Clone, Copy, Debug)]
pub(super) struct MusicDucker {
    rate: u32,
    /// 0: all the way up, 1: all the way down.
    depth: f32,
    /// The level when all the way down, as a factor.
    floor: f32,
}

impl MusicDucker {
    pub(super) fn new(rate: u32) -> MusicDucker {
        MusicDucker { rate: rate.max(1), depth: 0.0, floor: loudness::UNDER }
    }

    /// Moves on by `frames` frames and returns the level after them. `sound`: the number of frames from there to the
    /// next sound (0 while one sounds), and its volume. None if no sound is known.
    pub(super) fn step(&mut self, frames: usize, sound: Option<(u64, f32)>) -> f32 {
        let near = |within: Duration| sound.filter(|(after, _)| *after <= self.frames_in(within));
        let down = near(if self.depth >= 1.0 { BRIDGE } else { ATTACK });
        if let Some((_, volume)) = down {
            self.floor = loudness::UNDER * volume.clamp(SOFTEST, 1.0);
        }
        let whole = self.frames_in(if down.is_some() { ATTACK } else { RELEASE }).max(1);
        let step = frames as f32 / whole as f32;
        self.depth = (self.depth + if down.is_some() { step } else { -step }).clamp(0.0, 1.0);
        self.floor.powf(self.depth)
    }

    /// Starts the music here. Returns the level that it would have if it had already been playing.
    pub(super) fn begin(&mut self, sound: Option<(u64, f32)>) -> f32 {
        self.depth = if sound.is_some_and(|(after, _)| after <= self.frames_in(ATTACK)) { 1.0 } else { 0.0 };
        self.step(0, sound)
    }

    fn frames_in(&self, length: Duration) -> u64 {
        length.as_millis() as u64 * u64::from(self.rate) / 1000
    }
}
