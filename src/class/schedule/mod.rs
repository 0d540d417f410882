//! The schedule: every span, call, tone and cue of a class, on its tick.

mod anew;
mod calls;
mod changeover;
mod compile;
mod lay_out;
mod learned;
mod part;
mod tones;
mod transition;
mod unroll;
mod work;

pub use anew::{change_between, change_to, in_reps, resettled};
pub use changeover::Costs;
pub use compile::{compile, compile_with};
pub use lay_out::lay_out;
pub use learned::{ENOUGH, GROUP, Learned, Measured, Sample, Who};
pub use transition::{KitChange, PositionChange, Transition, UnknownTransition};
pub use work::MODERATE;

use std::sync::Arc;

use serde::Serialize;
use strum::{Display, EnumString};

use crate::movement::{Item, KitNeed, Position};
use crate::session::{Block, Format, Session, Station};
use crate::time::Tick;

/// A class laid out in time. Later stages see this and nothing before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    pub session: Arc<Session>,
    /// What transitions were counted by, and are when a change asks for others.
    pub costs: Arc<Costs>,
    /// Contiguous and half-open, from tick 0 to the total. Never empty of ticks.
    pub spans: Vec<Span>,
    /// In order of tick; at one tick tones stand before calls, calls before cues.
    pub events: Vec<Event>,
}

/// One half-open stretch of ticks with one purpose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    pub start: Tick,
    /// The first tick after it.
    pub end: Tick,
    pub purpose: Purpose,
    /// Index into the session's blocks.
    pub block: usize,
    /// From 0, of the block's [`Block::passes`].
    pub round: u32,
    /// Who does what in it. For a rest, transition or briefing: what it leads to, within the same block.
    pub doing: Doing,
    pub side: Side,
    /// The first seconds of a work span, spent getting into it.
    pub settle: Tick,
    /// The most whole repetitions that fit at the tempo: on each side where sides take turns. None without a tempo.
    pub reps: Option<u64>,
    /// What has to be changed between the last work span and this. Empty in rests.
    pub change: Changeover,
    /// It starts only when the coach says so.
    pub gate: bool,
}

/// What a span is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Display, EnumString)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Purpose {
    /// The coach explains; nobody works.
    Briefing,
    Work,
    /// Rest between two stations, or what is left of the minute in an EMOM.
    Rest,
    /// Rest between two rounds.
    RoundRest,
    /// Rest between two blocks.
    BlockRest,
    /// Getting from one station to the next, in time put in for it.
    Transition,
}

impl Purpose {
    /// Whether it is one of the three rests.
    pub fn is_rest(self) -> bool {
        matches!(self, Purpose::Rest | Purpose::RoundRest | Purpose::BlockRest)
    }
}

/// Who does what in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Doing {
    /// Everybody does this station, by index into the block's stations.
    Station(usize),
    /// Everybody goes through all of the block's stations at their own pace.
    AllAtOwnPace,
    /// Turn `t` of a rotation: of `n` stations, group `g` is at station `(g + t) mod n`.
    Turn(usize),
    /// Nothing of this block any more: the rest after it.
    Nothing,
}

/// Which side works in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// Both together.
    Both,
    /// By turns, a repetition each.
    Alternating,
    Left,
    Right,
    /// Left from the end of settle, then a switch, then right for as long as left, to the end of the span.
    LeftThenRight {
        each: Tick,
        switch: Tick,
    },
}

/// What has to be changed to get from one work span into another.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Changeover {
    /// Kit to put away.
    pub down: Vec<KitNeed>,
    /// Kit to take up.
    pub up: Vec<KitNeed>,
    /// What lies out and is left: a box, a chair. Not a mat that people get up from anyway.
    pub off: Vec<Item>,
    /// What lies out and is gone to. Not a mat that people get down on anyway.
    pub onto: Vec<Item>,
    /// The new position, where it differs.
    pub position: Option<(Position, Position)>,
    /// The way to the floor or up from it.
    pub floor: Option<Floor>,
    /// The other side begins.
    pub side: Option<Side>,
    /// The new place in the room, where it differs.
    pub place: Option<String>,
    /// A different movement from the one before.
    pub movement: bool,
    /// What it costs, by the table of [`Costs`]; an estimate.
    pub needs: Tick,
}

/// Which way people change between the floor and their feet or a chair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Floor {
    Down,
    Up,
}

/// Something that sounds or is said at a tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    pub at: Tick,
    /// Index into the schedule's spans: the span it speaks of, which holds its tick or begins or ends on it.
    pub span: usize,
    pub what: What,
}

/// What sounds or is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum What {
    Tone(Tone),
    /// A call of the time left. Its words are `cue`'s.
    Call(Call),
    /// An instruction.
    Cue(Cue),
}

/// The tones, told apart by rhythm as well as by pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Tone {
    /// One of the three on the last seconds of a span.
    Pip,
    /// Work begins.
    Start,
    /// Work ends and no work follows at once.
    Rest,
    /// The other side.
    Switch,
    /// A block ends.
    BlockEnd,
    /// The class ends.
    ClassEnd,
    /// A repetition begins. This and the next are clicks of the tempo; they are no part of a schedule, but put between
    /// what is in it.
    Rep,
    /// Another phase of a repetition begins.
    Phase,
}

/// The calls, in the order in which one gives way to another: the first wins the tick.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Call {
    Switch,
    End,
    Ten,
    Halfway,
    Thirty,
    Fifteen,
}

/// An instruction, spoken or printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cue {
    pub kind: CueKind,
    pub audience: Audience,
    /// How long it takes to say; an estimate until the voice has said it.
    pub length: Tick,
    pub text: String,
}

/// What a cue is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum CueKind {
    /// The coming station, with what changes.
    Next,
    /// The other side comes.
    Side,
    Technique,
    Fault,
    Tier,
    /// A round or a set is over: how long the rest is.
    RoundEnd,
    /// A block is over: how long the rest is.
    BlockEnd,
    /// The last station of the class has begun.
    ClassEnd,
}

/// For whose ears.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Audience {
    Class,
    Coach,
}

impl Event {
    /// Its place among the events: by tick and span; tones, then calls, then cues.
    pub fn order(&self) -> (Tick, usize, u8) {
        let what = match self.what {
            What::Tone(_) => 0,
            What::Call(_) => 1,
            What::Cue(_) => 2,
        };
        (self.at, self.span, what)
    }
}

impl Schedule {
    /// Of how many rounds the span's is one: as [`Block::passes`] until a change adds a round or leaves one out. In
    /// straight sets every station has sets of its own; a rest belongs to the work before it.
    pub fn passes(&self, span: &Span) -> u32 {
        let of_block = |other: &&Span| other.block == span.block && other.purpose == Purpose::Work;
        let work = || self.spans.iter().filter(of_block);
        let of = match (&self.block_of(span).format, span.purpose) {
            (Format::Sets, Purpose::Work) => Some(span.doing),
            (Format::Sets, _) => work().rfind(|other| other.start < span.start).map(|other| other.doing),
            _ => None,
        };
        let alike = work().filter(|other| of.is_none_or(|doing| other.doing == doing));
        alike.map(|other| other.round + 1).max().unwrap_or(0)
    }

    /// The length of the whole class.
    pub fn total(&self) -> Tick {
        self.spans.last().map_or(Tick::ZERO, |span| span.end)
    }

    /// The span that holds a tick; None from the total on.
    pub fn span_at(&self, now: Tick) -> Option<usize> {
        let after = self.spans.partition_point(|span| span.end <= now);
        (after < self.spans.len()).then_some(after)
    }

    /// The next work span from an index on, that one included.
    pub fn work_from(&self, from: usize) -> Option<usize> {
        (from..self.spans.len()).find(|&index| self.spans[index].purpose == Purpose::Work)
    }

    /// The block of a span.
    pub fn block_of(&self, span: &Span) -> &Block {
        &self.session.blocks[span.block]
    }

    /// The one station of a span, where everybody does the same.
    pub fn station_of(&self, span: &Span) -> Option<&Station> {
        match span.doing {
            Doing::Station(index) => self.session.blocks[span.block].stations.get(index),
            _ => None,
        }
    }
}

impl Span {
    /// From start to end.
    pub fn length(&self) -> Tick {
        self.end - self.start
    }

    /// Where settle ends and the work itself begins.
    pub fn working_from(&self) -> Tick {
        self.start + self.settle
    }

    /// The side that works at a tick of the span.
    pub fn side_at(&self, now: Tick) -> Side {
        match (self.side, self.switch_at()) {
            (Side::LeftThenRight { .. }, Some(switch_at)) if now < switch_at => Side::Left,
            (Side::LeftThenRight { .. }, _) => Side::Right,
            (side, _) => side,
        }
    }

    /// Where the switch from left to right begins, in a span that has one.
    pub fn switch_at(&self) -> Option<Tick> {
        match self.side {
            Side::LeftThenRight { each, .. } => Some(self.working_from() + each),
            _ => None,
        }
    }

    /// Where right begins, in a span that has a switch.
    pub fn right_at(&self) -> Option<Tick> {
        match self.side {
            Side::LeftThenRight { each, switch } => Some(self.working_from() + each + switch),
            _ => None,
        }
    }
}
