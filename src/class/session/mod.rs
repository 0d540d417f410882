//! The session: what the coach planned. It is read from a file, and every name and default in it is resolved.

pub mod defaults;
pub mod edit;
mod excerpt;
pub mod fault;
pub mod fields;
mod former_names;
pub mod limits;
pub mod list;
mod nesting;
mod read;
mod resolve;
pub mod ron_structs;
mod shape;
pub mod tree;
pub mod write;

pub use former_names::name_now;
pub use read::{SessionReadResult, parse, read};

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use strum::{Display, EnumIter, EnumString, IntoStaticStr};

use self::fault::FaultCode;
use crate::movement::{Correction, KitItem, Load, Movement, Muscle, NeededKit, Region, Sides, Tier};
use crate::time::{Tempo, Tick};

/// A session with its movements looked up and its defaults filled in. The compiler reads this.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    pub title: String,
    /// How long the room is booked. None when it is not known.
    pub slot: Option<Tick>,
    /// How many people are expected. None when it is not known.
    pub people: Option<u32>,
    /// The regions and states to look after in this class.
    pub look_after: Vec<Region>,
    pub kit: Vec<OwnedKit>,
    /// The clear floor, in square metres. None when it is not known.
    pub floor: Option<u32>,
    /// Whether everybody has only one weight. A station that needs two must then have a variant.
    pub one_weight: bool,
    /// The emergency text of the room: address, nearest defibrillator, number to call.
    pub emergency: Option<String>,
    /// Whether the coach faces the class. The screen then also shows the coach's own side.
    pub mirror: bool,
    /// The seed that picks between wordings. The same file therefore gives the same wordings.
    pub seed: u64,
    /// The share of a work span that is left to the coach's voice, in percent, 0 to 100.
    pub talk_room: u8,
    /// The class's music: files and folders, relative to the session file. Empty for none.
    pub music: Arc<[String]>,
    /// Whether the music keeps playing while class time is paused.
    pub music_in_pause: bool,
    /// The advice that the coach allows for the whole class.
    pub allow: Vec<Allowance>,
    pub blocks: Vec<Block>,
}

/// A rule of advice that the coach allows, with the reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allowance {
    pub rule: FaultCode,
    pub why: String,
}

/// Kit that people have or that is in the room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnedKit {
    pub item: KitItem,
    pub load: Option<Load>,
    pub amount: KitAmount,
}

/// How much there is of a piece of kit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KitAmount {
    /// This many for each person.
    Each(u32),
    /// This many in the room, for all to share.
    Shared(u32),
}

/// A block: stations done in one format.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    pub name: String,
    pub kind: BlockKind,
    pub format: BlockFormat,
    /// From 1.
    pub rounds: u32,
    pub stations: Vec<Station>,
    /// Rest between two rounds.
    pub round_rest: Tick,
    /// Rest after the block. Skipped after the last block.
    pub rest_after: Tick,
    pub transitions: TransitionMode,
    pub start: BlockStart,
    /// Planned time to brief the class. It comes before the first station and before the wait for a start key.
    pub briefing: Tick,
    /// The muscles that the block is meant to work.
    pub focus: Vec<Muscle>,
    /// The training aim of the block. None when it has no particular aim.
    pub aim: Option<BlockAim>,
    /// The advice that the coach allows for this block.
    pub allow: Vec<Allowance>,
    pub calls: Vec<CallChoice>,
    pub level: SpeechLevel,
    /// The music of the block. A block without its own music shares that of the session, also in memory.
    pub music: Arc<[String]>,
    /// The coach's own note: printed, never spoken.
    pub note: Option<String>,
}

/// The letter of a block by its index from 0: A to Z, then AA, AB ...
pub fn block_letter(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    if index < 26 { letter.to_string() } else { format!("{}{letter}", block_letter(index / 26 - 1)) }
}

impl Block {
    /// How many times the block goes through its stations: rounds, sets, rungs of a ladder or passes of intervals.
    pub fn passes(&self) -> u32 {
        match &self.format {
            BlockFormat::Ladder { rungs } => self.rounds * u32::try_from(rungs.len()).unwrap_or(u32::MAX),
            BlockFormat::Intervals { count, .. } => {
                self.rounds * count.div_ceil(u32::try_from(self.stations.len()).unwrap_or(u32::MAX).max(1))
            }
            _ => self.rounds,
        }
    }
}

/// What a block is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default, Serialize, Deserialize, Display, EnumString, EnumIter)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum BlockKind {
    WarmUp,
    #[default]
    Main,
    CoolDown,
}

/// How the stations of a block follow each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BlockFormat {
    /// Every station in turn, round after round.
    Circuit,
    /// Every round of the first station, then every round of the next.
    Sets,
    /// On every minute (or other length): work, then rest for the remaining time. A round is a pass over the stations.
    Emom { every: Tick },
    /// As many rounds of the stations as possible in this time, each person at their own pace. The block's `rounds` are
    /// the number of times that the time is run.
    Amrap { time: Tick },
    /// A round of the stations for each length of work, in this order. Up, down or both is already applied.
    Ladder { rungs: Vec<Tick> },
    /// Work and rest, `count` times, with the stations in turn. `last_rest` keeps the rest after the last work.
    Intervals { count: u32, last_rest: bool },
    /// One group at each station. All groups work at the same time and move to the next station together. Every group
    /// is at every station once a round.
    Rotation,
}

/// Where the seconds come from that a change between stations needs and the rest before does not cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TransitionMode {
    /// The work span keeps its length and begins with them, as settle.
    Inside,
    /// They are added as a transition span.
    Added,
    /// This length, less the rest before it, is added before every station except the first.
    Fixed(Tick),
}

impl BlockFormat {
    /// Whether the block is counted in rounds. False for a ladder and for intervals.
    pub fn counts_rounds(&self) -> bool {
        !matches!(self, BlockFormat::Ladder { .. } | BlockFormat::Intervals { .. })
    }
}

/// The training aim of a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, Display, EnumString, EnumIter)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum BlockAim {
    /// To get stronger: few repetitions, long rests.
    Strength,
    /// To last longer: the rests are short on purpose.
    Conditioning,
}

/// What starts a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default, Serialize, Deserialize, Display, EnumString, EnumIter)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum BlockStart {
    /// It starts by itself after the block before.
    #[default]
    Auto,
    /// It waits for the coach's key.
    OnKey,
}

/// A call of the time left that can be set for a session or a block.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, Display, EnumString, EnumIter,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum CallChoice {
    /// Half of the span is over. Only in spans of at least 40 s.
    Halfway,
    Thirty,
    Fifteen,
    Ten,
    /// Three short tones in the last three seconds.
    Pips,
    /// The end of the work is said.
    End,
}

/// How much the program says.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    Display,
    EnumString,
    EnumIter,
    IntoStaticStr,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum SpeechLevel {
    /// Nothing sounds.
    Silent,
    /// Tones alone.
    Tones,
    /// Tones and the time left.
    Calls,
    /// Also what comes next: movement, kit, position, side, safety.
    #[default]
    Changes,
    /// Also technique and easier and harder options, for when the coach has lost their voice.
    Full,
}

/// A station: a movement, and how long or how many times it is done here.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    pub movement: Arc<Movement>,
    pub work: WorkAmount,
    pub sides: Sides,
    /// The tempo here. None when the movement has no repetitions.
    pub tempo: Option<Tempo>,
    /// Rest after this station, before the next of the same round.
    pub rest: Tick,
    /// What each person needs here.
    pub kit: Vec<NeededKit>,
    /// The place in the room. None when the station has no fixed place.
    pub place: Option<String>,
    /// The name for large lettering, at most [`Movement::SHORT`] characters.
    pub short: String,
    pub prompts: Vec<String>,
    pub faults: Vec<Correction>,
    pub easier: Option<Tier>,
    pub harder: Option<Tier>,
    /// How to do it with only one weight.
    pub variant: Option<String>,
    /// Whether it is dropped before others when time runs short.
    pub optional: bool,
    /// Whether the phases of the tempo are clicked, softly and never under speech.
    pub click: bool,
}

/// The work of a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkAmount {
    /// This length.
    Time(Tick),
    /// This many repetitions at the station's tempo; for one-sided work, on each side.
    Reps(u32),
}
