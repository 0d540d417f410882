//! The volume of a class as JSON, in its own format.

use std::collections::BTreeMap;

use serde::Serialize;

use class::movement::{Muscle, Pattern};
use class::session::{Session, block_letter};
use class::volume::{Part, Volume};

/// The volume of a class: the whole and each block.
#[derive(Debug, Serialize)]
pub struct VolumeOut<'a> {
    class: PartOut,
    blocks: Vec<BlockOut<'a>>,
}

#[derive(Debug, Serialize)]
struct BlockOut<'a> {
    letter: String,
    name: &'a str,
    #[serde(flatten)]
    part: PartOut,
}

#[derive(Debug, Serialize)]
struct PartOut {
    work_ms: u64,
    rest_ms: u64,
    /// The share of work in work and rest; null if there is neither.
    density_percent: Option<u64>,
    reps: u64,
    muscles_ms: BTreeMap<Muscle, u64>,
    patterns_ms: BTreeMap<Pattern, u64>,
}

impl<'a> VolumeOut<'a> {
    /// The volume of a session.
    pub fn new(volume: &Volume, session: &'a Session) -> VolumeOut<'a> {
        let blocks = volume.blocks.iter().zip(&session.blocks).enumerate();
        VolumeOut {
            class: PartOut::new(&volume.class),
            blocks: blocks
                .map(|(index, (part, block))| BlockOut {
                    letter: block_letter(index),
                    name: &block.name,
                    part: PartOut::new(part),
                })
                .collect(),
        }
    }
}

impl PartOut {
    fn new(part: &Part) -> PartOut {
        PartOut {
            work_ms: part.work.0,
            rest_ms: part.rest.0,
            density_percent: part.density(),
            reps: part.reps,
            muscles_ms: part.muscles.iter().map(|(&muscle, time)| (muscle, time.0)).collect(),
            patterns_ms: part.patterns.iter().map(|(&pattern, time)| (pattern, time.0)).collect(),
        }
    }
}
