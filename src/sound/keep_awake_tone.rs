//! The tone that keeps a speaker awake. Many wireless speakers switch themselves off after some minutes of silence, and
//! then cut off the start of the next sound.
//!
//! It is a tone of 20 Hz, 50 dB below full scale. Small speakers cannot reproduce it. A large speaker that reaches 100
//! dB plays it at 50 dB, and nobody hears 20 Hz below 78 dB (ISO 226, the value from memory). Whether the tone keeps a
//! given speaker awake has to be tried.

use std::f32::consts::TAU;

use super::volumes::VolumeRamp;

/// The frequency in Hz: a whole number, so that every second of the wave is the same.
const PITCH: u32 = 20;
/// The amplitude, as a factor of full scale: -50 dB.
const HEIGHT: f32 = 0.003_16;

/// Frames over which the amplitude changes evenly.
const PART: usize = 64;

/// The tone of one stream.
#[derive(Clone, Copy, Debug)]
pub(super) struct KeepAwakeTone {
    rate: u32,
    ramp: VolumeRamp,
    on: bool,
}

impl KeepAwakeTone {
    pub(super) fn new(rate: u32) -> KeepAwakeTone {
        KeepAwakeTone { rate: rate.max(1), ramp: VolumeRamp::new(rate, 0.0), on: false }
    }

    /// Adds the tone to all channels of `out`. `frame`: the number of the first frame in the stream. `wanted`: whether
    /// the tone should sound; it fades in and out.
    pub(super) fn add(&mut self, out: &mut [f32], channels: usize, frame: u64, wanted: bool) {
        if !wanted && !self.on {
            return;
        }
        let channels = channels.max(1);
        let mut frame = frame;
        for part in out.chunks_mut(PART * channels) {
            let (from, slope) = self.ramp.step(f32::from(u8::from(wanted)), part.len() / channels);
            for (at, samples) in part.chunks_mut(channels).enumerate() {
                let within = (frame % u64::from(self.rate)) as f32 / self.rate as f32;
                let sample = (TAU * PITCH as f32 * within).sin() * HEIGHT * (from + slope * at as f32);
                samples.iter_mut().for_each(|out| *out += sample);
                frame += 1;
            }
            self.on = wanted || from > 0.0;
        }
    }
}
