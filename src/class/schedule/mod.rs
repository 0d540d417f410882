//! The schedule: every span, call, tone and cue of a class, with its tick.

mod calls;
mod changeover;
mod compile;
mod lay_out;
mod learned;
mod rejoin;
mod span_parts;
mod tones;
mod transition;
mod unroll;
mod work_shape;

pub use changeover::ChangeoverCosts;
pub use compile::{compile, compile_with};
pub use lay_out::lay_out;
pub use learned::{ENOUGH, GROUP, LearnedTransitions, MeasuredNeed, SampleSubject, TransitionSample};
pub use rejoin::{change_between, change_to, in_reps, with_settle};
pub use transition::{KitChange, PositionChange, TransitionKind, UnknownTransition};
pub use work_shape::MODERATE;

use std::sync::Arc;

use serde::Serialize;
use strum::{Display, EnumString};

use crate::movement::{KitItem, NeededKit, Position};
use crate::session::{Block, BlockFormat, Session, Station};
use crate::time::Tick;

/// A class laid out in time. Later stages work with the schedule alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    pub session: Arc<Session>,
    /// The costs from which the lengths of transitions are taken, also after a live change.
    pub costs: Arc<ChangeoverCosts>,
    /// Contiguous and half-open, from tick 0 to the total. Every span has at least one tick.
    pub spans: Vec<Span>,
    /// Sorted by [`ScheduleEvent::order`].
    pub events: Vec<ScheduleEvent>,
}

/// A half-open range of ticks with one purpose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    pub start: Tick,
    /// The first tick after the span.
    pub end: Tick,
    pub purpose: SpanPurpose,
    /// Index into the session's blocks.
    pub block: usize,
    /// The pass of the block that it belongs to, from 0 and below [`Block::passes`].
    pub round: u32,
    /// Who does what in it. In a rest, transition or briefing: what comes next in the same block.
    pub activity: Activity,
    pub side: WorkingSide,
    /// The time at the start of a work span in which people still get ready.
    pub settle: Tick,
    /// The number of whole repetitions that fit at the tempo, for each side unless both work together. None without a
    /// tempo.
    pub reps: Option<u64>,
    /// The changeover from the work span before to this one. Empty in rests.
    pub change: Changeover,
    /// It starts only when the coach presses the key.
    pub gate: bool,
}

/// What a span is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Display, EnumString)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum SpanPurpose {
    /// The coach explains; nobody works.
    Briefing,
    Work,
    /// Rest between two stations, or what is left of the minute in an EMOM.
    Rest,
    /// Rest between two rounds.
    RoundRest,
    /// Rest between two blocks.
    BlockRest,
    /// Getting from one station to the next, in time that is added for it.
    Transition,
}

impl SpanPurpose {
    /// Whether it is one of the three rests.
    pub fn is_rest(self) -> bool {
        matches!(self, SpanPurpose::Rest | SpanPurpose::RoundRest | SpanPurpose::BlockRest)
    }
}

/// Who does what in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Activity {
    /// Everybody does this station, by index into the block's stations.
    Station(usize),
    /// Everybody goes through all of the block's stations at their own pace.
    AllAtOwnPace,
    /// Turn `t` of a rotation with `n` stations: group `g` is at station `(g + t) mod n`.
    Turn(usize),
    /// Nothing more of this block: the rest after the block.
    Nothing,
}

/// Which side works in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WorkingSide {
    /// Both together.
    Both,
    /// Left and right alternate, one repetition each.
    Alternating,
    Left,
    Right,
    /// Left from the end of the settle, then a switch, then right for as long as left, up to the end of the span.
    LeftThenRight {
        each: Tick,
        switch: Tick,
    },
}

/// What people change to get from one work span to the next.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Changeover {
    /// Kit to put down.
    pub down: Vec<NeededKit>,
    /// Kit to pick up.
    pub up: Vec<NeededKit>,
    /// Items that stay in place and that people leave: a box, a chair. Not a mat from which people get up anyway.
    pub off: Vec<KitItem>,
    /// Items that stay in place and that people go to. Not a mat on to which people get down anyway.
    pub onto: Vec<KitItem>,
    /// The old and the new position, when they differ.
    pub position: Option<(Position, Position)>,
    /// Whether people get down to the floor or up from it.
    pub floor: Option<FloorChange>,
    /// The new side, when the same movement continues on the other side.
    pub side: Option<WorkingSide>,
    /// The new place in the room, when it differs.
    pub place: Option<String>,
    /// Whether the movement differs from the one before.
    pub movement: bool,
    /// The time that it needs, by [`ChangeoverCosts`].
    pub needs: Tick,
}

/// Down to the floor, or up from it to the feet or a chair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FloorChange {
    Down,
    Up,
}

/// Something that sounds or is said at a tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScheduleEvent {
    pub at: Tick,
    /// Index into the schedule's spans: the span that it is about. Its tick is in that span or at the end of it.
    pub span: usize,
    pub what: EventContent,
}

/// What sounds or is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EventContent {
    Tone(Tone),
    /// A call of the time left. Module `cue` has its words.
    Call(TimeCall),
    /// An instruction.
    Cue(Cue),
}

/// The tones. They differ in rhythm as well as in pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Tone {
    /// One of the three short tones in the last three seconds of a span.
    Pip,
    /// Work begins.
    Start,
    /// Work ends and no work follows immediately.
    Rest,
    /// The sides switch.
    Switch,
    /// A block ends.
    BlockEnd,
    /// The class ends.
    ClassEnd,
    /// A repetition begins. This tone and [`Tone::Phase`] are clicks of the tempo. A schedule does not contain them;
    /// they are added to its events later.
    Rep,
    /// Another phase of a repetition begins.
    Phase,
}

/// The calls. When two are too close together, only the one that is listed first here is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum TimeCall {
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
    /// The time that it takes to say; an estimate until the voice has spoken it.
    pub length: Tick,
    pub text: String,
}

/// What a cue is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum CueKind {
    /// The next station, with what changes.
    Next,
    /// The other side comes next.
    Side,
    Technique,
    Fault,
    Tier,
    /// A round or a set is over, with the length of the rest.
    RoundEnd,
    /// A block is over, with the length of the rest.
    BlockEnd,
    /// The last station of the class has begun.
    ClassEnd,
}

/// Who hears a cue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Display)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Audience {
    Class,
    Coach,
}

impl ScheduleEvent {
    /// The sorting key of events: by tick, then by span, then tones before calls before cues.
    pub fn order(&self) -> (Tick, usize, u8) {
        let what = match self.what {
            EventContent::Tone(_) => 0,
            EventContent::Call(_) => 1,
            EventContent::Cue(_) => 2,
        };
        (self.at, self.span, what)
    }
}

impl Schedule {
    /// The number of rounds in the block of a span: [`Block::passes`] until a live change adds or drops a round. In
    /// straight sets it is the number of sets of the span's station; a rest belongs to the work before it.
    pub fn passes(&self, span: &Span) -> u32 {
        let of_block = |other: &&Span| other.block == span.block && other.purpose == SpanPurpose::Work;
        let work = || self.spans.iter().filter(of_block);
        let of = match (&self.block_of(span).format, span.purpose) {
            (BlockFormat::Sets, SpanPurpose::Work) => Some(span.activity),
            (BlockFormat::Sets, _) => work().rfind(|other| other.start < span.start).map(|other| other.activity),
            _ => None,
        };
        let alike = work().filter(|other| of.is_none_or(|doing| other.activity == doing));
        alike.map(|other| other.round + 1).max().unwrap_or(0)
    }

    /// The length of the whole class.
    pub fn total(&self) -> Tick {
        self.spans.last().map_or(Tick::ZERO, |span| span.end)
    }

    /// The index of the span that contains a tick. None at the end of the class and later.
    pub fn span_at(&self, now: Tick) -> Option<usize> {
        let after = self.spans.partition_point(|span| span.end <= now);
        (after < self.spans.len()).then_some(after)
    }

    /// The index of the first work span at or after an index.
    pub fn work_from(&self, from: usize) -> Option<usize> {
        (from..self.spans.len()).find(|&index| self.spans[index].purpose == SpanPurpose::Work)
    }

    /// The block of a span.
    pub fn block_of(&self, span: &Span) -> &Block {
        &self.session.blocks[span.block]
    }

    /// The station of a span in which everybody does the same. None for other spans.
    pub fn station_of(&self, span: &Span) -> Option<&Station> {
        match span.activity {
            Activity::Station(index) => self.session.blocks[span.block].stations.get(index),
            _ => None,
        }
    }
}

impl Span {
    /// The length from start to end.
    pub fn length(&self) -> Tick {
        self.end - self.start
    }

    /// The tick on which the settle ends and the work itself begins.
    pub fn work_start(&self) -> Tick {
        self.start + self.settle
    }

    /// The side that works on a tick of the span.
    pub fn side_at(&self, now: Tick) -> WorkingSide {
        match (self.side, self.switch_start()) {
            (WorkingSide::LeftThenRight { .. }, Some(switch_at)) if now < switch_at => WorkingSide::Left,
            (WorkingSide::LeftThenRight { .. }, _) => WorkingSide::Right,
            (side, _) => side,
        }
    }

    /// The tick on which the switch from left to right begins. None in a span without a switch.
    pub fn switch_start(&self) -> Option<Tick> {
        match self.side {
            WorkingSide::LeftThenRight { each, .. } => Some(self.work_start() + each),
            _ => None,
        }
    }

    /// The tick on which the right side begins. None in a span without a switch.
    pub fn right_start(&self) -> Option<Tick> {
        match self.side {
            WorkingSide::LeftThenRight { each, switch } => Some(self.work_start() + each + switch),
            _ => None,
        }
    }
}
