//! The known and the estimated lengths of spoken texts.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use super::SpeechPace;
use crate::time::Tick;

/// The lengths that the planner uses: the true length of each text that the voice has said, and for other texts the
/// reserve by the voice's pace.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SpeechLengths {
    pace: SpeechPace,
    known: Arc<HashMap<String, Tick>>,
    /// Seconds of class time for each second of speech. Above 1 when the class runs faster than real time, because
    /// speech does not.
    speed: u32,
}

impl SpeechLengths {
    /// Lengths for a voice of which only the pace is known yet.
    pub fn at(pace: SpeechPace) -> SpeechLengths {
        SpeechLengths { pace, known: Arc::default(), speed: 1 }
    }

    /// The same lengths in a class that runs `speed` times as fast as real time.
    pub fn at_speed(self, speed: u32) -> SpeechLengths {
        SpeechLengths { speed: speed.max(1), ..self }
    }

    /// The time to keep free for a text, in class time.
    pub fn of(&self, text: &str) -> Tick {
        let length = self.known.get(text).copied().unwrap_or_else(|| self.pace.reserve(text));
        Tick(length.0.saturating_mul(u64::from(self.speed)))
    }

    /// Whether the true length of this text is known.
    pub fn knows(&self, text: &str) -> bool {
        self.known.contains_key(text)
    }

    /// Records how long the voice takes for some texts, rounded up to ticks.
    pub fn learn(&mut self, lengths: impl IntoIterator<Item = (String, Duration)>) {
        let ticks = |length: Duration| Tick(u64::try_from(length.as_nanos().div_ceil(1_000_000)).unwrap_or(u64::MAX));
        let lengths = lengths.into_iter().map(|(text, length)| (text, ticks(length)));
        Arc::make_mut(&mut self.known).extend(lengths);
    }
}

impl Default for SpeechLengths {
    /// The built-in voice, with no true lengths known.
    fn default() -> SpeechLengths {
        SpeechLengths::at(SpeechPace::BUILT_IN)
    }
}
