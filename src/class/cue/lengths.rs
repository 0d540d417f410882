//! How long each text takes to say, as far as it is known.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use super::Pace;
use crate::time::Tick;

/// The lengths a plan counts with: those the voice has shown, and for every other text what its pace reserves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lengths {
    pace: Pace,
    known: Arc<HashMap<String, Tick>>,
    /// Class time in a second of speech, in seconds: speech takes no less time in a class that runs faster.
    speed: u32,
}

impl Lengths {
    /// Nothing but the pace is known of the voice yet.
    pub fn at(pace: Pace) -> Lengths {
        Lengths { pace, known: Arc::default(), speed: 1 }
    }

    /// The same in a class that runs so many times as fast as life.
    pub fn at_speed(self, speed: u32) -> Lengths {
        Lengths { speed: speed.max(1), ..self }
    }

    /// How long to keep for a text, in class time.
    pub fn of(&self, text: &str) -> Tick {
        let length = self.known.get(text).copied().unwrap_or_else(|| self.pace.reserve(text));
        Tick(length.0.saturating_mul(u64::from(self.speed)))
    }

    /// Whether the voice has said this text.
    pub fn knows(&self, text: &str) -> bool {
        self.known.contains_key(text)
    }

    /// Learns how long the voice takes for some texts; part of a tick counts as one.
    pub fn learn(&mut self, lengths: impl IntoIterator<Item = (String, Duration)>) {
        let ticks = |length: Duration| Tick(u64::try_from(length.as_nanos().div_ceil(1_000_000)).unwrap_or(u64::MAX));
        let lengths = lengths.into_iter().map(|(text, length)| (text, ticks(length)));
        Arc::make_mut(&mut self.known).extend(lengths);
    }
}

impl Default for Lengths {
    /// The built-in voice, of which nothing has been heard.
    fn default() -> Lengths {
        Lengths::at(Pace::BUILT_IN)
    }
}
