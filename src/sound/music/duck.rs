//! How music goes down under what the class has to hear: how far, how fast, and when it comes up again.

use std::time::Duration;

use crate::loudness;

/// How long it takes down. What is to sound is known ahead, so music is all the way down when it begins.
pub const ATTACK: Duration = Duration::from_millis(150);

/// How long it takes up again, from the end of the sound.
pub const RELEASE: Duration = Duration::from_millis(600);

/// Between two sounds closer than this music stays down: it would not be up before it had to go down again. Longer
/// than the second between two pips.
pub const BRIDGE: Duration = Duration::from_millis(1_500);

/// However soft the coach has set what sounds, music goes this far below it and no further.
const SOFTEST: f32 = 0.01;

/// The height of music on its way between full and [`loudness::UNDER`] the volume of what sounds. It moves evenly in
/// decibels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Duck {
    rate: u32,
    /// 0 all the way up, 1 all the way down.
    depth: f32,
    /// The height when all the way down.
    floor: f32,
}

impl Duck {
    pub(super) fn new(rate: u32) -> Duck {
        Duck { rate: rate.max(1), depth: 0.0, floor: loudness::UNDER }
    }

    /// Moves on by some frames, and gives the height after them. `sound`: in how many frames from there the next sound
    /// begins, 0 while one sounds, and the volume it has; None when there is none in sight.
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

    /// Music begins here: the height is the one that it would have had if it had played before.
    pub(super) fn begin(&mut self, sound: Option<(u64, f32)>) -> f32 {
        self.depth = if sound.is_some_and(|(after, _)| after <= self.frames_in(ATTACK)) { 1.0 } else { 0.0 };
        self.step(0, sound)
    }

    fn frames_in(&self, length: Duration) -> u64 {
        length.as_millis() as u64 * u64::from(self.rate) / 1000
    }
}
