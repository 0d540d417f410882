//! Volumes: any thread may set them at any time, and the renderer follows without a click.

use std::sync::atomic::{AtomicBool, AtomicU8, AtomicU32, Ordering};

use super::SoundBus;

/// The volumes of one engine. The latest value set is the one that counts.
#[derive(Debug)]
pub struct EngineVolumes {
    tones: AtomicU32,
    speech: AtomicU32,
    music: AtomicU32,
    muted: AtomicBool,
    /// The one channel that sounds; [`ALL`] for all.
    only: AtomicU8,
    awake: AtomicBool,
}

const ALL: u8 = u8::MAX;

impl Default for EngineVolumes {
    fn default() -> EngineVolumes {
        let full = || AtomicU32::new(1f32.to_bits());
        EngineVolumes {
            tones: full(),
            speech: full(),
            music: full(),
            muted: AtomicBool::new(false),
            only: AtomicU8::new(ALL),
            awake: AtomicBool::new(false),
        }
    }
}

impl EngineVolumes {
    /// Sets a volume, a factor from 0 to 1.
    pub fn set(&self, bus: SoundBus, volume: f32) {
        let volume = if volume.is_finite() { volume.clamp(0.0, 1.0) } else { 0.0 };
        self.cell(bus).store(volume.to_bits(), Ordering::Relaxed);
    }

    /// Turns all sound off, or on again.
    pub fn mute(&self, muted: bool) {
        self.muted.store(muted, Ordering::Relaxed);
    }

    /// Plays tones and speech on one channel only, counted from 0. None: on all channels.
    pub fn set_only(&self, channel: Option<u8>) {
        self.only.store(channel.unwrap_or(ALL), Ordering::Relaxed);
    }

    /// Whether a channel of several carries tones and speech.
    pub(super) fn carries(&self, channel: usize) -> bool {
        let only = self.only.load(Ordering::Relaxed);
        only == ALL || usize::from(only) == channel
    }

    /// Turns the tone that keeps speakers awake on or off.
    pub fn keep_awake(&self, awake: bool) {
        self.awake.store(awake, Ordering::Relaxed);
    }

    /// Whether the tone that keeps speakers awake should sound.
    pub(super) fn keeps_awake(&self) -> bool {
        self.awake.load(Ordering::Relaxed)
    }

    /// The volume that a bus should have now, 0 while muted.
    pub fn of(&self, bus: SoundBus) -> f32 {
        if self.muted.load(Ordering::Relaxed) { 0.0 } else { f32::from_bits(self.cell(bus).load(Ordering::Relaxed)) }
    }

    fn cell(&self, bus: SoundBus) -> &AtomicU32 {
        match bus {
            SoundBus::Tones => &self.tones,
            SoundBus::Speech => &self.speech,
            SoundBus::Music => &self.music,
        }
    }
}

/// A volume that moves evenly to its target. From silence to full it takes 20 ms.
#[derive(Clone, Copy, Debug)]
pub(super) struct VolumeRamp {
    level: f32,
    most: f32,
}

impl VolumeRamp {
    pub(super) fn new(rate: u32, level: f32) -> VolumeRamp {
        VolumeRamp { level, most: 50.0 / rate.max(1) as f32 }
    }

    /// Moves on by `frames` frames. Returns the level before the first one and the change per frame.
    pub(super) fn step(&mut self, target: f32, frames: usize) -> (f32, f32) {
        let most = self.most * frames as f32;
        let before = self.level;
        self.level += (target - before).clamp(-most, most);
        (before, (self.level - before) / frames.max(1) as f32)
    }
}
