//! Puts rendered sound on the channels of a device, and makes the renderer a [`Source`] that is read sample by sample.

use std::num::{NonZeroU16, NonZeroU32};
use std::time::Duration;

use rodio::Source;

use super::EngineVolumes;
use super::music::StereoFrame;
use super::renderer::{BLOCK, Renderer};

/// Puts one mono sample and a frame of music on the channels of an output frame. The first two channels carry both; any
/// further ones stay silent, so that a subwoofer gets no speech. A mono device gets both sides of the music.
pub(super) fn fold(mono: f32, music: StereoFrame, out: &mut [f32], levels: &EngineVolumes) {
    let channels = out.len();
    for (channel, sample) in out.iter_mut().enumerate() {
        let mono = if channels == 1 || levels.carries(channel) { mono } else { 0.0 };
        *sample = folded(mono, music, channel, channels);
    }
}

fn folded(mono: f32, [left, right]: StereoFrame, channel: usize, channels: usize) -> f32 {
    match channel {
        0 if channels == 1 => mono + (left + right) / 2.0,
        0 => mono + left,
        1 => mono + right,
        _ => 0.0,
    }
}

impl Iterator for Renderer {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        let channels = usize::from(self.channels);
        if self.given >= BLOCK * channels {
            self.render(BLOCK);
            self.given = 0;
        }
        let (frame, channel) = (self.given / channels, self.given % channels);
        self.given += 1;
        Some(folded(self.block[frame], self.music[frame], channel, channels))
    }
}

impl Source for Renderer {
    fn current_span_len(&self) -> Option<usize> {
        None
    }

    fn channels(&self) -> NonZeroU16 {
        NonZeroU16::new(self.channels).unwrap_or(NonZeroU16::MIN)
    }

    fn sample_rate(&self) -> NonZeroU32 {
        NonZeroU32::new(self.rate).unwrap_or(NonZeroU32::MIN)
    }

    fn total_duration(&self) -> Option<Duration> {
        None
    }
}
