//! The defaults of the fields of a session file. Each is defined here and nowhere else.

use super::{BlockKind, BlockStart, CallChoice, SpeechLevel, TransitionMode};
use crate::movement::{Pattern, Position, Sides};
use crate::time::{FirstPhase, Tick};

/// The rest between two stations.
pub const REST: Tick = Tick::ZERO;
/// The rest after a block.
pub const REST_AFTER: Tick = Tick::ZERO;
/// Time to brief the class before a block.
pub const BRIEFING: Tick = Tick::ZERO;
/// How many times a block goes through its stations.
pub const ROUNDS: u32 = 1;
/// What a block is for.
pub const KIND: BlockKind = BlockKind::Main;
/// What starts a block.
pub const START: BlockStart = BlockStart::Auto;
/// Where the seconds for a change between stations come from.
pub const TRANSITIONS: TransitionMode = TransitionMode::Inside;
/// The calls of the time left.
pub const CALLS: &[CallChoice] = &[CallChoice::Halfway, CallChoice::Ten, CallChoice::Pips];
/// How much the program says.
pub const LEVEL: SpeechLevel = SpeechLevel::Changes;
/// The share of a work span that is left to the coach's voice, in percent.
pub const TALK_ROOM: u8 = 80;
/// The seed that picks between several wordings.
pub const SEED: u64 = 0;
/// Whether the tempo is clicked.
pub const CLICK: bool = false;
/// Whether the music keeps playing while class time is paused.
pub const MUSIC_IN_PAUSE: bool = false;
/// Whether the coach faces the class.
pub const MIRROR: bool = false;
/// Whether everybody has only one weight.
pub const ONE_WEIGHT: bool = false;
/// How many pieces of kit each person needs.
pub const COUNT: u8 = 1;
/// Whether the rest after the last interval is taken.
pub const LAST_REST: bool = false;

/// The pattern of a movement that is described in the session file.
pub const PATTERN: Pattern = Pattern::Mobility;
/// The position of a movement that is described in the session file.
pub const POSITION: Position = Position::Standing;
/// How a movement that is described in the session file uses the sides.
pub const SIDES: Sides = Sides::Together;
/// Whether a movement that is described in the session file loads its prime muscles.
pub const LOADED: bool = true;
/// Whether a station may be dropped before others when time runs short.
pub const OPTIONAL: bool = false;
/// The phase that a repetition of a movement described in the session file begins with.
pub const STARTS: FirstPhase = FirstPhase::Lower;
/// The names of the lowering and the lifting phase.
pub const PHASES: (&str, &str) = ("lower", "lift");
