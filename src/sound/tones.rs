//! The tones: what each sounds like.
//!
//! People act on the tones, so each tone has its own pitch and also its own rhythm, for those who cannot hear pitch in
//! a noisy room. All energy is between 500 Hz and 3 kHz: small speakers play nothing below that, and many people hear
//! little above it. The pitches are those of equal temperament at A4 = 440 Hz (ISO 16).

use std::f64::consts::TAU;
use std::sync::Arc;

use strum::{Display, EnumIter, EnumString, IntoEnumIterator};

use super::loudness;
use class::schedule::Tone;

/// A tone, by its meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Display, EnumIter, EnumString)]
#[strum(serialize_all = "snake_case")]
pub enum ToneSignal {
    /// One of the last seconds before a start. The count-in is like a time signal: short pips of 1 kHz, then the longer
    /// start tone exactly on the second.
    Pip,
    /// Work starts.
    Start,
    /// Work ends, and no other work follows at once.
    Rest,
    /// Switch to the other side.
    Switch,
    /// Ten seconds are left.
    Ten,
    BlockEnd,
    ClassEnd,
    /// A click of the tempo: a repetition starts. This one and the next are soft.
    Rep,
    /// A click of the tempo: the next phase of the repetition starts.
    Phase,
    /// An offer is shown. This one and the next two are quiet and for the coach only.
    Opened,
    /// An offer is applied.
    Taken,
    /// A change is undone.
    Undone,
}

impl From<Tone> for ToneSignal {
    fn from(tone: Tone) -> ToneSignal {
        match tone {
            Tone::Pip => ToneSignal::Pip,
            Tone::Start => ToneSignal::Start,
            Tone::Rest => ToneSignal::Rest,
            Tone::Switch => ToneSignal::Switch,
            Tone::BlockEnd => ToneSignal::BlockEnd,
            Tone::ClassEnd => ToneSignal::ClassEnd,
            Tone::Rep => ToneSignal::Rep,
            Tone::Phase => ToneSignal::Phase,
        }
    }
}

/// One note of a tone: its pitch in Hz, its length and the silence after it in milliseconds.
type ToneNote = (f64, u32, u32);

const MARK: f64 = 1000.0;
const E5: f64 = 659.255;
const A5: f64 = 880.0;
const E6: f64 = 1318.510;
const A6: f64 = 1760.0;

impl ToneSignal {
    fn notes(self) -> &'static [ToneNote] {
        match self {
            ToneSignal::Pip => &[(MARK, 100, 0)],
            ToneSignal::Start => &[(MARK, 500, 0)],
            // Short, long, falling.
            ToneSignal::Rest => &[(A5, 120, 60), (E5, 420, 0)],
            // Up and down, like the change of sides.
            ToneSignal::Switch => &[(A5, 80, 40), (E6, 80, 40), (A5, 80, 40), (E6, 80, 0)],
            // Two close together.
            ToneSignal::Ten => &[(E6, 60, 60), (E6, 60, 0)],
            // Three even steps, rising.
            ToneSignal::BlockEnd => &[(E5, 180, 70), (A5, 180, 70), (E6, 180, 0)],
            // Short, short, short, very long.
            ToneSignal::ClassEnd => &[(E6, 120, 60), (A5, 120, 60), (E6, 120, 60), (A5, 900, 0)],
            ToneSignal::Rep => &[(A6, 25, 0)],
            ToneSignal::Phase => &[(A5, 25, 0)],
            ToneSignal::Opened => &[(A6, 30, 0)],
            ToneSignal::Taken => &[(E6, 30, 40), (A6, 30, 0)],
            ToneSignal::Undone => &[(A6, 30, 40), (E6, 30, 0)],
        }
    }

    /// Whether it is for the coach only: quiet, and on the coach's own device if there is one.
    pub fn is_for_coach(self) -> bool {
        matches!(self, ToneSignal::Opened | ToneSignal::Taken | ToneSignal::Undone)
    }

    /// Whether it stays in the background.
    pub fn is_soft(self) -> bool {
        self.is_for_coach() || matches!(self, ToneSignal::Rep | ToneSignal::Phase)
    }

    /// Whether it marks a boundary of the class. Speech stops for it. Other tones are lowered under speech.
    pub fn is_boundary(self) -> bool {
        matches!(
            self,
            ToneSignal::Start | ToneSignal::Rest | ToneSignal::Switch | ToneSignal::BlockEnd | ToneSignal::ClassEnd
        )
    }

    /// Whether it closes what was before it. A closing tone still sounds on the tick at which a gate stops the class.
    pub fn is_closing(self) -> bool {
        matches!(self, ToneSignal::Rest | ToneSignal::BlockEnd | ToneSignal::ClassEnd)
    }

    /// Its samples at a rate in Hz, every note at the same loudness. There is no silence at either end.
    pub fn samples(self, rate: u32) -> Vec<f32> {
        let frames = |millis: u32| (u64::from(millis) * u64::from(rate) / 1000) as usize;
        let ramp = frames(4).max(1);
        let mut samples = Vec::new();
        for &(pitch, length, gap) in self.notes() {
            let length = frames(length);
            let mut note: Vec<f32> =
                (0..length).map(|n| (TAU * pitch * (n as f64 + 0.5) / f64::from(rate)).sin() as f32).collect();
            // The gain is measured on the note without ramps. The ramps keep it from clicking.
            let gain = gain_for(rate, &note) * if self.is_soft() { loudness::UNDER } else { 1.0 };
            for (n, sample) in note.iter_mut().enumerate() {
                let edge = (n + 1).min(length - n).min(ramp) as f32 / ramp as f32;
                *sample *= gain * edge;
            }
            samples.extend(note);
            samples.resize(samples.len() + frames(gap), 0.0);
        }
        samples
    }
}

/// The factor that brings a note to [`loudness::TARGET`].
fn gain_for(rate: u32, note: &[f32]) -> f32 {
    let loudness = loudness::measure(rate, note).unwrap_or(loudness::TARGET);
    10f64.powf((loudness::TARGET - loudness) / 20.0) as f32
}

/// All tones at one rate, made once for each device.
#[derive(Clone, Debug)]
pub struct ToneSamples(Arc<[Arc<[f32]>]>);

impl ToneSamples {
    /// The tones at a rate in samples a second.
    pub fn at(rate: u32) -> ToneSamples {
        ToneSamples(ToneSignal::iter().map(|signal| signal.samples(rate).into()).collect())
    }

    /// The samples of a tone.
    pub fn get(&self, signal: ToneSignal) -> &Arc<[f32]> {
        &self.0[signal as usize]
    }
}
