//! The session: what the coach planned, read from a file and with every name and default resolved.

pub mod bounds;
pub mod defaults;
mod depth;
pub mod edit;
pub mod fault;
pub mod fields;
pub mod list;
mod read;
mod resolve;
mod shape;
mod shown;
pub mod tree;
pub mod write;
pub mod written;

pub use read::{Reading, parse, read};

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use strum::{Display, EnumIter, EnumString};

use self::fault::Code;
use crate::movement::{Correction, Item, KitNeed, Load, Movement, Muscle, Region, Sides, Tier};
use crate::time::{Tempo, Tick};

/// A session with its movements found and its defaults filled in. What the compiler reads.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    pub title: String,
    /// How long the room is booked, where that is known.
    pub slot: Option<Tick>,
    /// How many people are expected, where that is known.
    pub people: Option<u32>,
    /// The regions that somebody in the class minds.
    pub mind: Vec<Region>,
    pub kit: Vec<KitOwned>,
    /// How many square metres of clear floor there are, where that is known.
    pub floor: Option<u32>,
    /// Everybody has only one weight: no station may ask for two loads.
    pub one_weight: bool,
    /// The room's own text for an emergency: address, nearest defibrillator, number.
    pub emergency: Option<String>,
    /// The coach faces the class: show also which side the coach is on.
    pub mirror: bool,
    /// Chooses between wordings, so that the same file gives the same class.
    pub seed: u64,
    /// Share of a work span that the machine leaves to the coach's voice, in percent, 0 to 100.
    pub talk_room: u8,
    /// The class's music: files and folders, relative to the session file. Empty for none.
    pub music: Arc<[String]>,
    /// Music plays on while class time stands.
    pub music_in_hold: bool,
    /// What the coach has thought over, for the whole class.
    pub allow: Vec<Allowance>,
    pub blocks: Vec<Block>,
}

/// A rule of advice that the coach has thought over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allowance {
    pub rule: Code,
    pub why: String,
}

/// Kit as the people or the room own it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitOwned {
    pub item: Item,
    pub load: Option<Load>,
    pub amount: Amount,
}

/// How much there is of a piece of kit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// So many for each person.
    Each(u32),
    /// So many in the room, shared.
    Shared(u32),
}

/// A block: stations done in one format.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    pub name: String,
    pub kind: Kind,
    pub format: Format,
    /// From 1.
    pub rounds: u32,
    pub stations: Vec<Station>,
    /// Rest between two rounds.
    pub round_rest: Tick,
    /// Rest after the block. The last block's is not taken.
    pub rest_after: Tick,
    pub transitions: Transitions,
    pub start: Start,
    /// Planned time to brief the class, before the first station and before a start key.
    pub briefing: Tick,
    /// The muscles that the block means to work.
    pub focus: Vec<Muscle>,
    /// What the work is to bring about, where that asks for something.
    pub aim: Option<Aim>,
    /// What the coach has thought over, for this block.
    pub allow: Vec<Allowance>,
    pub calls: Vec<CallWord>,
    pub level: Level,
    /// The block's music: the session's own, the same in memory, where the block says nothing.
    pub music: Arc<[String]>,
    /// The coach's own note: printed, never spoken.
    pub note: Option<String>,
}

/// The letter of a block by its place: A to Z, then AA, AB ...
pub fn block_letter(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    if index < 26 { letter.to_string() } else { format!("{}{letter}", block_letter(index / 26 - 1)) }
}

impl Block {
    /// How often the block goes through its stations: rounds, the rungs of a ladder, sets, passes of intervals.
    pub fn passes(&self) -> u32 {
        match &self.format {
            Format::Ladder { rungs } => self.rounds * u32::try_from(rungs.len()).unwrap_or(u32::MAX),
            Format::Intervals { count, .. } => {
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
pub enum Kind {
    WarmUp,
    #[default]
    Main,
    CoolDown,
}

/// How the stations of a block follow each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Format {
    /// Every station in turn, round after round.
    Circuit,
    /// Every round of the first station, then every round of the next.
    Sets,
    /// On every minute (or other length): work, and rest for what is left of it. The rounds count passes over the stations.
    Emom { every: Tick },
    /// As many rounds as possible of the stations in this time, each person at their own pace. Rounds count how often the time is run.
    Amrap { time: Tick },
    /// A round of the stations for each length of work, in this order (already laid out up, down or both).
    Ladder { rungs: Vec<Tick> },
    /// `count` times work and rest, going through the stations in turn. The rest after the last is taken only if `last_rest`.
    Intervals { count: u32, last_rest: bool },
    /// Groups, one at each station, work at the same time and move on together. Every group meets every station once a round.
    Rotation,
}

/// What happens with the seconds that a change between stations needs and the rest before does not pay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Transitions {
    /// The span keeps its length and begins with them as settle.
    Inside,
    /// They are put in as a transition span.
    Added,
    /// Exactly this much is put in before every station but the first.
    Fixed(Tick),
}

impl Format {
    /// Whether what is counted are rounds: not the rungs of a ladder, nor intervals.
    pub fn counts_rounds(&self) -> bool {
        !matches!(self, Format::Ladder { .. } | Format::Intervals { .. })
    }
}

/// What the work of a block is to bring about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, Display, EnumString, EnumIter)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Aim {
    /// To get stronger: few repetitions, long rests.
    Strength,
    /// To last longer: rests are short and meant to be.
    Conditioning,
}

/// What starts a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default, Serialize, Deserialize, Display, EnumString, EnumIter)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Start {
    /// It follows by itself.
    #[default]
    Auto,
    /// It waits for the coach.
    OnKey,
}

/// A call of the time left that can be set for a session or a block.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, Display, EnumString, EnumIter,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum CallWord {
    /// Half of the span is over; only in spans of 40 s and more.
    Halfway,
    Thirty,
    Fifteen,
    Ten,
    /// Three pips on the last three seconds.
    Pips,
    /// The end of the span is said.
    End,
}

/// How much the machine says.
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
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Level {
    /// Nothing sounds.
    Silent,
    /// Tones alone.
    Tones,
    /// Tones and the time left.
    Calls,
    /// Also what comes next: movement, kit, position, side, safety.
    #[default]
    Changes,
    /// Also technique and tiers, for when the coach's voice fails.
    Full,
}

/// A station: a movement with how long or how often it is done here.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    pub movement: Arc<Movement>,
    pub work: Work,
    pub sides: Sides,
    /// The tempo here, where the movement has repetitions.
    pub tempo: Option<Tempo>,
    /// Rest after this station, before the next of the same round.
    pub rest: Tick,
    /// What each person needs here.
    pub kit: Vec<KitNeed>,
    /// Where in the room, if stations have places.
    pub place: Option<String>,
    /// At most [`Movement::SHORT`] letters.
    pub short: String,
    pub prompts: Vec<String>,
    pub faults: Vec<Correction>,
    pub easier: Option<Tier>,
    pub harder: Option<Tier>,
    /// The way to do it for somebody who has only one weight.
    pub variant: Option<String>,
    /// The first to be dropped when time runs short.
    pub optional: bool,
    /// The phases of the tempo are clicked, softly and never under speech.
    pub click: bool,
}

/// How much work a station asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// So long.
    Time(Tick),
    /// So many repetitions at the station's tempo; for one-sided work, on each side.
    Reps(u32),
}
