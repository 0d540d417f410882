//! The volume of a class as JSON, in its own format.

use std::collections::BTreeMap;

use serde::Serialize;

use class::movement::{Muscle, Pattern};
use class::session::{Session, block_letter};
use class::training_volume::{TrainingVolume, VolumeTotals};

/// The volume of a class: the whole and each block.
#[derive(Debug, Serialize)]
pub struct VolumeJson<'a> {
    class: VolumeTotalsJson,
    blocks: Vec<BlockVolumeJson<'a>>,
}

#[derive(Debug, Serialize)]
struct BlockVolumeJson<'a> {
    letter: String,
    name: &'a str,
    #[serde(flatten)]
    part: VolumeTotalsJson,
}

#[derive(Debug, Serialize)]
struct VolumeTotalsJson {
    work_ms: u64,
    rest_ms: u64,
    /// The share of work in work and rest; null if there is neither.
    density_percent: Option<u64>,
    reps: u64,
    muscles_ms: BTreeMap<Muscle, u64>,
    patterns_ms: BTreeMap<Pattern, u64>,
}

impl<'a> VolumeJson<'a> {
    /// The volume of a session.
    pub fn new(volume: &TrainingVolume, session: &'a Session) -> VolumeJson<'a> {
        let blocks = volume.blocks.iter().zip(&session.blocks).enumerate();
        VolumeJson {
            class: VolumeTotalsJson::new(&volume.class),
            blocks: blocks
                .map(|(index, (part, block))| BlockVolumeJson {
                    letter: block_letter(index),
                    name: &block.name,
                    part: VolumeTotalsJson::new(part),
                })
                .collect(),
        }
    }
}

impl VolumeTotalsJson {
    fn new(part: &VolumeTotals) -> VolumeTotalsJson {
        VolumeTotalsJson {
            work_ms: part.work.0,
            rest_ms: part.rest.0,
            density_percent: part.density(),
            reps: part.reps,
            muscles_ms: part.muscles.iter().map(|(&muscle, time)| (muscle, time.0)).collect(),
            patterns_ms: part.patterns.iter().map(|(&pattern, time)| (pattern, time.0)).collect(),
        }
    }
}
