//! What was measured of transitions, and what they are then taken to need.

use std::collections::BTreeMap;

use strum::{Display, EnumString};

use super::Transition;
use crate::time::Tick;

/// One transition that was measured: from the end of the work before to ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    pub kind: Transition,
    pub took: Tick,
    pub who: Who,
}

/// Who was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Display, EnumString)]
#[strum(serialize_all = "snake_case")]
pub enum Who {
    /// The coach, rehearsing.
    Coach,
    /// A class.
    Group,
}

/// What kinds of transition need, as measured. What was measured too seldom is not in it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Learned(BTreeMap<Transition, Measured>);

/// What a kind of transition needs, as measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measured {
    pub needs: Tick,
    /// How often it was measured.
    pub samples: usize,
}

/// So often a kind must have been measured before that counts; our estimate.
pub const ENOUGH: usize = 5;

/// How much longer a group takes than the coach alone, in percent; our estimate.
pub const GROUP: u32 = 150;

/// Half seconds are as fine as a plan should be.
const STEP: u64 = 500;

impl FromIterator<(Transition, Measured)> for Learned {
    fn from_iter<I: IntoIterator<Item = (Transition, Measured)>>(kinds: I) -> Learned {
        Learned(kinds.into_iter().collect())
    }
}

impl Learned {
    /// Nothing measured.
    pub const NOTHING: Learned = Learned(BTreeMap::new());

    /// What samples teach: for each kind with [`ENOUGH`] of them, the time in which three of four were ready (75th
    /// percentile by nearest rank), up to the next half second. What the coach took counts `group` percent.
    pub fn from_samples(samples: impl IntoIterator<Item = Sample>, group: u32) -> Learned {
        let mut by_kind: BTreeMap<Transition, Vec<u64>> = BTreeMap::new();
        for Sample { kind, took, who } in samples {
            let took = match who {
                Who::Coach => took.0.saturating_mul(u64::from(group)) / 100,
                Who::Group => took.0,
            };
            by_kind.entry(kind).or_default().push(took);
        }
        let enough = by_kind.into_iter().filter(|(_, took)| took.len() >= ENOUGH);
        let measured = enough.map(|(kind, mut took)| {
            took.sort_unstable();
            let third_quarter = took[(took.len() * 3).div_ceil(4) - 1];
            (kind, Measured { needs: Tick(third_quarter.div_ceil(STEP) * STEP), samples: took.len() })
        });
        Learned(measured.collect())
    }

    /// What a kind needs, if it was measured often enough.
    pub fn get(&self, kind: Transition) -> Option<Measured> {
        self.0.get(&kind).copied()
    }

    /// Every kind that was measured often enough.
    pub fn iter(&self) -> impl Iterator<Item = (Transition, Measured)> {
        self.0.iter().map(|(&kind, &measured)| (kind, measured))
    }
}
