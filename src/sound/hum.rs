//! What keeps a loudspeaker awake: many without a wire switch themselves off when nothing comes for some minutes, and
//! cut the beginning of what comes next.
//!
//! A tone of 20 Hz, 50 dB under full scale. Small loudspeakers cannot give it, and on a large one that reaches 100 dB it
//! comes to 50 dB: nobody hears less than 78 dB there (ISO 226, the value from memory). Whether it wakes a given
//! loudspeaker is not known before it is tried.

use std::f32::consts::TAU;

use super::level::Ramp;

/// In Hz: a whole number, so that every second begins where the last one did.
const PITCH: u32 = 20;
/// Of full scale: -50 dB.
const HEIGHT: f32 = 0.003_16;

/// Frames over which its height changes evenly.
const PART: usize = 64;

/// The tone of one stream.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hum {
    rate: u32,
    ramp: Ramp,
    on: bool,
}

impl Hum {
    pub(super) fn new(rate: u32) -> Hum {
        Hum { rate: rate.max(1), ramp: Ramp::new(rate, 0.0), on: false }
    }

    /// Adds it to all channels of some frames, the first of which is the stream's frame `frame`.
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
