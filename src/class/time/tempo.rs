//! Tempo: how long each part of a repetition takes.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use strum::{Display, EnumString};

use super::Tick;

/// The four counts of a repetition, lower–hold–lift–hold, as coaches write them: `2-0-2-0`. One count is one second.
///
/// The order eccentric–pause–concentric–pause is the usual one (secondary sources).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tempo {
    /// Seconds to lower, hold, lift and hold, each from 0 to [`Tempo::LONGEST_COUNT`].
    pub counts: [u8; 4],
}

/// The phase that a repetition begins with: a squat lowers first, a deadlift lifts first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default, Serialize, Deserialize, Display, EnumString)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum FirstPhase {
    /// The eccentric phase comes first.
    #[default]
    Lower,
    /// The concentric phase comes first.
    Lift,
}

/// What is wrong with a written tempo.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TempoFault {
    /// Not four counts with hyphens between them.
    #[error("a tempo is four counts: lower-hold-lift-hold, such as 2-0-2-0")]
    Shape,
    /// A count over [`Tempo::LONGEST_COUNT`].
    #[error("a count of a tempo is at most {} seconds", Tempo::LONGEST_COUNT)]
    TooLong,
    /// All four counts are zero.
    #[error("a tempo needs at least one count above zero")]
    Empty,
}

impl Tempo {
    /// The longest count that is accepted, in seconds.
    pub const LONGEST_COUNT: u8 = 30;

    /// The length of one repetition.
    pub fn rep(self) -> Tick {
        Tick::seconds(self.counts.iter().map(|&count| u64::from(count)).sum())
    }

    /// The number of whole repetitions that fit into `length`.
    pub fn reps_in(self, length: Tick) -> u64 {
        length.0 / self.rep().0
    }

    /// The four phases of a repetition that begins with `starts`, in order. Each has its index in [`Tempo::counts`]
    /// (0 lower, 1 hold low, 2 lift, 3 hold high), its start counted from the start of the repetition, and its length.
    pub fn phases(self, starts: FirstPhase) -> [(usize, Tick, Tick); 4] {
        let first = match starts {
            FirstPhase::Lower => 0,
            FirstPhase::Lift => 2,
        };
        let mut from = Tick::ZERO;
        [0, 1, 2, 3].map(|step| {
            let phase = (first + step) % 4;
            let length = Tick::seconds(u64::from(self.counts[phase]));
            let at = from;
            from += length;
            (phase, at, length)
        })
    }
}

impl FromStr for Tempo {
    type Err = TempoFault;

    fn from_str(text: &str) -> Result<Tempo, TempoFault> {
        let mut counts = [0u8; 4];
        let mut parts = text.trim().split('-');
        for count in &mut counts {
            let part = parts.next().ok_or(TempoFault::Shape)?.trim();
            if part.is_empty() || part.len() > 3 || !part.bytes().all(|b| b.is_ascii_digit()) {
                return Err(TempoFault::Shape);
            }
            let value: u16 = part.parse().map_err(|_| TempoFault::Shape)?;
            *count = u8::try_from(value).map_err(|_| TempoFault::TooLong)?;
            if *count > Tempo::LONGEST_COUNT {
                return Err(TempoFault::TooLong);
            }
        }
        if parts.next().is_some() {
            return Err(TempoFault::Shape);
        }
        if counts == [0; 4] {
            return Err(TempoFault::Empty);
        }
        Ok(Tempo { counts })
    }
}

impl fmt::Display for Tempo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [lower, low, lift, high] = self.counts;
        write!(f, "{lower}-{low}-{lift}-{high}")
    }
}
