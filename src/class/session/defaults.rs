//! The defaults: what a session file leaves out, each written down here and nowhere else.

use super::{CallWord, Kind, Level, Start, Transitions};
use crate::movement::{Pattern, Position, Sides};
use crate::time::{Starts, Tick};

/// Rest between two stations.
pub const REST: Tick = Tick::ZERO;
/// Rest after a block.
pub const REST_AFTER: Tick = Tick::ZERO;
/// Time to brief the class before a block.
pub const BRIEFING: Tick = Tick::ZERO;
/// How often the stations of a block are gone through.
pub const ROUNDS: u32 = 1;
/// What a block is for.
pub const KIND: Kind = Kind::Main;
/// What starts a block.
pub const START: Start = Start::Auto;
/// What happens with the seconds that a change of station needs.
pub const TRANSITIONS: Transitions = Transitions::Inside;
/// The calls of the time left.
pub const CALLS: &[CallWord] = &[CallWord::Halfway, CallWord::Ten, CallWord::Pips];
/// How much the machine says.
pub const LEVEL: Level = Level::Changes;
/// The share of a work span left to the coach's voice, in percent.
pub const TALK_ROOM: u8 = 80;
/// Which of several wordings is chosen.
pub const SEED: u64 = 0;
/// Whether the tempo is clicked.
pub const CLICK: bool = false;
/// Whether music plays on while class time stands.
pub const MUSIC_IN_HOLD: bool = false;
/// Whether the coach faces the class.
pub const MIRROR: bool = false;
/// Whether everybody has only one weight.
pub const ONE_WEIGHT: bool = false;
/// How many pieces of kit each person needs.
pub const COUNT: u8 = 1;
/// Whether the rest after the last interval is taken.
pub const LAST_REST: bool = false;

/// How a movement that is described in place moves.
pub const PATTERN: Pattern = Pattern::Mobility;
/// How the body stands or lies in a movement that is described in place.
pub const POSITION: Position = Position::Standing;
/// How a movement that is described in place uses the sides.
pub const SIDES: Sides = Sides::Together;
/// Whether a movement that is described in place loads its prime muscles.
pub const LOADED: bool = true;
/// Whether a station may be dropped first when time runs short.
pub const OPTIONAL: bool = false;
/// The phase with which a movement that is described in place begins.
pub const STARTS: Starts = Starts::Lower;
/// What the lowering and the lifting phase are called.
pub const PHASES: (&str, &str) = ("lower", "lift");
