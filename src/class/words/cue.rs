//! The words of cues, and the names of kit, positions, regions, levels and purposes.

use std::collections::BTreeMap;

use serde::Deserialize;
use strum::IntoEnumIterator;

use super::{CountedWord, WordsError, missing};
use crate::movement::{Load, Position, Region};
use crate::session::SpeechLevel;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CueWords {
    pub numbers: NumberWords,
    pub lengths: LengthWords,
    pub units: BTreeMap<String, String>,
    pub calls: TimeCallWords,
    pub sentences: SentenceWords,
    pub changes: ChangeoverWords,
    pub sides: SideWords,
    pub loads: BTreeMap<Load, String>,
    pub kit: BTreeMap<String, KitWords>,
    pub positions: BTreeMap<Position, PositionWords>,
    pub regions: BTreeMap<Region, RegionWords>,
    pub levels: BTreeMap<SpeechLevel, String>,
    pub purposes: PurposeWords,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NumberWords {
    /// Zero to nineteen.
    pub small: Vec<String>,
    /// Twenty to ninety.
    pub tens: Vec<String>,
    pub hundred: String,
    pub thousand: String,
    pub and: String,
    pub point: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LengthWords {
    pub hour: CountedWord,
    pub minute: CountedWord,
    pub second: CountedWord,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimeCallWords {
    pub switch: String,
    pub end: String,
    pub ten: String,
    pub halfway: String,
    pub thirty: String,
    pub fifteen: String,
}

/// Whole sentences. A list has several wordings of the same sentence.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SentenceWords {
    pub first: String,
    pub next: Vec<String>,
    pub next_terse: String,
    pub next_block: Vec<String>,
    pub next_round: Vec<String>,
    pub last_round: Vec<String>,
    pub again: Vec<String>,
    pub again_terse: String,
    pub rotation: String,
    pub rotate: Vec<String>,
    pub rotate_terse: Vec<String>,
    pub own_pace: String,
    pub own_pace_terse: String,
    pub list_end: String,
    pub list_or: String,
    pub reps: CountedWord,
    pub a_side: String,
    pub side: Vec<String>,
    pub side_terse: Vec<String>,
    pub block_end: Vec<String>,
    pub round_end: Vec<String>,
    pub set_end: Vec<String>,
    pub rest_terse: String,
    pub class_end: Vec<String>,
    pub easier: String,
    pub harder: String,
    pub tiers: String,
    pub alternative: String,
    pub instead: String,
    pub leave_out: String,
    pub watch: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChangeoverWords {
    pub down: String,
    pub up: String,
    pub swap: String,
    pub loaded: String,
    pub other_side: String,
    pub place: String,
    pub first_side: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SideWords {
    pub left: String,
    pub right: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KitWords {
    pub one: String,
    pub many: String,
    /// Said in place of the usual words for picking it up.
    #[serde(default)]
    pub up: Option<String>,
    /// Said in place of the usual words for putting it down.
    #[serde(default)]
    pub down: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PositionWords {
    /// From a higher position.
    pub down: String,
    /// From a lower position.
    pub up: String,
    /// From a position of the same height.
    pub over: String,
    pub stay: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RegionWords {
    pub name: String,
    pub said: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PurposeWords {
    pub briefing: String,
    pub work: String,
    pub rest: String,
    pub round_rest: String,
    pub block_rest: String,
    pub transition: String,
}

impl CueWords {
    /// Checks what the types of the fields do not: each table is complete, and each list has at least two wordings.
    pub(super) fn check_complete(&self) -> Result<(), WordsError> {
        if (self.numbers.small.len(), self.numbers.tens.len()) != (20, 8) {
            return Err(WordsError::Numbers);
        }
        missing(&self.loads, Load::ALL)?;
        missing(&self.positions, Position::ALL)?;
        missing(&self.regions, Region::ALL)?;
        missing(&self.levels, &SpeechLevel::iter().collect::<Vec<_>>())?;
        let sentences = &self.sentences;
        let lists = [
            &sentences.next,
            &sentences.next_block,
            &sentences.next_round,
            &sentences.last_round,
            &sentences.again,
            &sentences.rotate,
            &sentences.rotate_terse,
            &sentences.side,
            &sentences.side_terse,
            &sentences.block_end,
            &sentences.round_end,
            &sentences.set_end,
            &sentences.class_end,
            &sentences.watch,
        ];
        if lists.iter().any(|list| list.len() < 2) {
            return Err(WordsError::OneWording);
        }
        Ok(())
    }
}
