//! Measured transitions, and the times that planning takes from them.

use std::collections::BTreeMap;

use strum::{Display, EnumString};

use super::TransitionKind;
use crate::time::Tick;

/// One measured transition, from the end of the work before it until people are ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TransitionSample {
    pub kind: TransitionKind,
    pub took: Tick,
    pub who: SampleSubject,
}

/// Who was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Display, EnumString)]
#[strum(serialize_all = "snake_case")]
pub enum SampleSubject {
    /// The coach, in a rehearsal.
    Coach,
    /// A class.
    Group,
}

/// The measured time of each kind of transition. Kinds with fewer than [`ENOUGH`] samples are left out.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct LearnedTransitions(BTreeMap<TransitionKind, MeasuredNeed>);

/// The measured time of a kind of transition.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MeasuredNeed {
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

impl FromIterator<(TransitionKind, MeasuredNeed)> for LearnedTransitions {
    fn from_iter<I: IntoIterator<Item = (TransitionKind, MeasuredNeed)>>(kinds: I) -> LearnedTransitions {
        LearnedTransitions(kinds.into_iter().collect())
    }
}

impl LearnedTransitions {
    /// Nothing measured.
    pub const NOTHING: LearnedTransitions = LearnedTransitions(BTreeMap::new());

    /// The times from samples. For each kind with at least [`ENOUGH`] samples it is the time in which three of four
    /// were ready (75th percentile by nearest rank), rounded up to the next half second. `group` percent of the coach's
    /// time counts as the time of a group.
    pub fn from_samples(samples: impl IntoIterator<Item = TransitionSample>, group: u32) -> LearnedTransitions {
        let mut by_kind: BTreeMap<TransitionKind, Vec<u64>> = BTreeMap::new();
        for TransitionSample { kind, took, who } in samples {
            let took = match who {
                SampleSubject::Coach => took.0.saturating_mul(u64::from(group)) / 100,
                SampleSubject::Group => took.0,
            };
            by_kind.entry(kind).or_default().push(took);
        }
        let enough = by_kind.into_iter().filter(|(_, took)| took.len() >= ENOUGH);
        let measured = enough.map(|(kind, mut took)| {
            took.sort_unstable();
            let third_quarter = took[(took.len() * 3).div_ceil(4) - 1];
            (kind, MeasuredNeed { needs: Tick(third_quarter.div_ceil(STEP) * STEP), samples: took.len() })
        });
        LearnedTransitions(measured.collect())
    }

    /// The measured time of a kind. None when it has too few samples.
    pub fn measured_need(&self, kind: TransitionKind) -> Option<MeasuredNeed> {
        self.0.get(&kind).copied()
    }

    /// Every kind with enough samples.
    pub fn iter(&self) -> impl Iterator<Item = (TransitionKind, MeasuredNeed)> {
        self.0.iter().map(|(&kind, &measured)| (kind, measured))
    }
}
