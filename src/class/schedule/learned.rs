//! Measured transitions, and the times that planning takes from them.

use std::collections::BTreeMap;

use strum::{Display, EnumString};

use super::Transition;
use crate::time::Tick;

/// One measured transition, from the end of the work before it until people are ready.
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
    /// The coach, in a rehearsal.
    Coach,
    /// A class.
    Group,
}

/// The measured time of each kind of transition. Kinds with fewer than [`ENOUGH`] samples are left out.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Learned(BTreeMap<Transition, Measured>);

/// The measured time of a kind of transition.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measured {
    pub needs: Tick,
    /// The number of samples.
    pub samples: usize,
}

/// The number of samples that a kind needs before its measured time is used; our estimate.
pub const ENOUGH: usize = 5;

/// The time of a group in percent of the time of the coach alone; our estimate.
pub const GROUP: u32 = 150;

/// Measured times are rounded up to a multiple of this, in milliseconds. A plan needs nothing finer.
const STEP: u64 = 500;

impl FromIterator<(Transition, Measured)> for Learned {
    fn from_iter<I: IntoIterator<Item = (Transition, Measured)>>(kinds: I) -> Learned {
        Learned(kinds.into_iter().collect())
    }
}

impl Learned {
    /// Nothing measured.
    pub const NOTHING: Learned = Learned(BTreeMap::new());

    /// The times from samples. For each kind with at least [`ENOUGH`] samples it is the time in which three of four
    /// were ready (75th percentile by nearest rank), rounded up to the next half second. `group` percent of the coach's
    /// time counts as the time of a group.
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

    /// The measured time of a kind. None when it has too few samples.
    pub fn get(&self, kind: Transition) -> Option<Measured> {
        self.0.get(&kind).copied()
    }

    /// Every kind with enough samples.
    pub fn iter(&self) -> impl Iterator<Item = (Transition, Measured)> {
        self.0.iter().map(|(&kind, &measured)| (kind, measured))
    }
}
