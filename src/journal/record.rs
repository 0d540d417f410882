//! The records of a journal in their JSON form, which is separate from the types of the class.

use jiff::{Timestamp, ZonedDateTime};
use serde::{Deserialize, Serialize};

use crate::Happening;
use crate::Told;
use class::change::{Change, Debt, Reach};
use class::fnv::fnv;
use class::schedule::{Doing, Measured, Side, Transition};
use class::session::{Level, bounds};
use class::time::Tick;

/// The version of the journal format. Raised when a record is added, removed or changes its meaning.
pub const VERSION: u32 = 1;

/// The first line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// The version of the journal: [`VERSION`].
    pub journal: u32,
    /// The version of the program that led the class.
    pub program: String,
    /// When the class started, with the time zone.
    pub wall: ZonedDateTime,
    /// How many times as fast as planned the class ran. Only a class at 1 was led for people.
    pub speed: u32,
    pub session: Text,
    /// The coach's own movements, in the order in which they were read.
    pub movements: Vec<Text>,
    /// The measured changeovers that the plan uses.
    pub learned: Vec<MeasuredOut>,
    pub opening: Opening,
    /// The length of the plan in milliseconds. It shows whether another version of the program plans differently.
    pub plan_ms: u64,
}

/// A file with its whole text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Text {
    pub path: String,
    /// The hash of the text (FNV-1a, 128 bits), which shows whether the text was altered.
    pub hash: String,
    pub text: String,
}

impl Text {
    /// The text of a file, with its hash.
    pub fn new(path: String, text: String) -> Text {
        Text { path, hash: hash(&text), text }
    }

    /// Whether the text is the one that was hashed.
    pub fn is_whole(&self) -> bool {
        self.hash == hash(&self.text)
    }
}

fn hash(text: &str) -> String {
    format!("{:032x}", fnv(text.as_bytes()))
}

/// The measured length of a kind of changeover.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredOut {
    kind: String,
    needs_ms: u64,
    samples: usize,
}

impl MeasuredOut {
    /// The form for the journal.
    pub fn of(kind: Transition, measured: Measured) -> MeasuredOut {
        MeasuredOut { kind: kind.to_string(), needs_ms: measured.needs.0, samples: measured.samples }
    }

    /// The form for the plan. None if the kind is unknown or the length is too long.
    pub fn measured(&self) -> Option<(Transition, Measured)> {
        let needs = Some(Tick(self.needs_ms)).filter(|needs| *needs <= bounds::TOTAL)?;
        Some((self.kind.parse().ok()?, Measured { needs, samples: self.samples }))
    }
}

/// The settings with which the class started.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// The class time at which it started, in milliseconds.
    pub from_ms: u64,
    /// How much is said. None: each block's own level.
    pub level: Option<Level>,
    pub muted: bool,
    /// When the room is needed by others, if the coach gave that time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Timestamp>,
}

/// A line after the first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Class time in milliseconds; never less than in the record before.
    pub at: u64,
    pub wall: Timestamp,
    pub what: What,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum What {
    /// Class time starts to run after this many milliseconds.
    CountIn {
        ms: u64,
    },
    /// A span started, by its index in the schedule of that moment.
    Span(usize),
    /// Class time has reached the time of this record.
    Beat,
    Gate,
    Opened {
        waited_ms: u64,
    },
    Held {
        stopped: bool,
    },
    Resumed {
        after_ms: u64,
    },
    /// The coach changed the rest of the class. `total_ms`: the new length of the class.
    Changed {
        change: ChangeOut,
        total_ms: u64,
    },
    Undone {
        total_ms: u64,
    },
    Redone {
        total_ms: u64,
    },
    Slept {
        ms: u64,
    },
    Level(Level),
    Muted(bool),
    /// The coach set a mark, to look at this moment later.
    Flagged,
    /// A line that the coach was shown.
    Said(String),
    /// The class was resumed after it had been cut off. `lost_ms`: how much of the time since the last record is lost
    /// to the class; 0 if class time ran on.
    TakenUp {
        lost_ms: u64,
    },
    Done,
    Quit,
    /// A note typed after the class.
    Note(String),
}

/// A change, with everything that is needed to repeat it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum ChangeOut {
    Next,
    Back,
    Again,
    RestNow,
    Stretch { by_ms: i64, block: bool },
    Return { by_ms: i64 },
    DropRound,
    AddRound,
    Fit { end_ms: u64 },
    Cut { end_ms: u64 },
    StandIn { block: usize, station: usize, movement: String },
    Easier { block: usize, station: usize },
    Repay(DebtOut),
    LetBe(DebtOut),
}

/// How much work one side is short of the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DebtOut {
    block: usize,
    doing: DoingOut,
    /// Whether the left side is short. Otherwise it is the right side.
    left: bool,
    by_ms: u64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum DoingOut {
    Station(usize),
    AllAtOwnPace,
    Turn(usize),
    Nothing,
}

impl What {
    /// The record of a happening. None if the happening follows from other records.
    pub fn of(told: &Told) -> Option<What> {
        let total_ms = told.total.0;
        Some(match &told.what {
            Happening::CountIn { ms } => What::CountIn { ms: *ms },
            Happening::Span(span) => What::Span(*span),
            Happening::Due(_) => return None,
            Happening::Gate => What::Gate,
            Happening::Opened { waited_ms } => What::Opened { waited_ms: *waited_ms },
            Happening::Held { stopped } => What::Held { stopped: *stopped },
            Happening::Resumed { after_ms } => What::Resumed { after_ms: *after_ms },
            Happening::Changed(change) => What::Changed { change: ChangeOut::from(change), total_ms },
            Happening::Undone => What::Undone { total_ms },
            Happening::Redone => What::Redone { total_ms },
            Happening::Slept { ms } => What::Slept { ms: *ms },
            Happening::Muted(muted) => What::Muted(*muted),
            Happening::Level(level) => What::Level(*level),
            Happening::Flagged => What::Flagged,
            Happening::Said(line) => What::Said(line.clone()),
            Happening::Done => What::Done,
            Happening::Quit => What::Quit,
        })
    }

    /// Whether the record must survive a power cut.
    pub fn is_weighty(&self) -> bool {
        !matches!(self, What::Beat | What::Said(_))
    }
}

impl From<&Change> for ChangeOut {
    fn from(change: &Change) -> ChangeOut {
        match change {
            Change::Next => ChangeOut::Next,
            Change::Back => ChangeOut::Back,
            Change::Again => ChangeOut::Again,
            Change::RestNow => ChangeOut::RestNow,
            Change::Stretch { by, reach } => ChangeOut::Stretch { by_ms: *by, block: *reach == Reach::Block },
            Change::Return { by } => ChangeOut::Return { by_ms: *by },
            Change::DropRound => ChangeOut::DropRound,
            Change::AddRound => ChangeOut::AddRound,
            Change::Fit { end } => ChangeOut::Fit { end_ms: end.0 },
            Change::Cut { end } => ChangeOut::Cut { end_ms: end.0 },
            Change::StandIn { block, station, movement } => {
                ChangeOut::StandIn { block: *block, station: *station, movement: movement.clone() }
            }
            Change::Easier { block, station } => ChangeOut::Easier { block: *block, station: *station },
            Change::Repay(debt) => ChangeOut::Repay(DebtOut::from(debt)),
            Change::LetBe(debt) => ChangeOut::LetBe(DebtOut::from(debt)),
        }
    }
}

impl From<&ChangeOut> for Change {
    fn from(change: &ChangeOut) -> Change {
        match change {
            ChangeOut::Next => Change::Next,
            ChangeOut::Back => Change::Back,
            ChangeOut::Again => Change::Again,
            ChangeOut::RestNow => Change::RestNow,
            ChangeOut::Stretch { by_ms, block } => {
                Change::Stretch { by: *by_ms, reach: if *block { Reach::Block } else { Reach::This } }
            }
            ChangeOut::Return { by_ms } => Change::Return { by: *by_ms },
            ChangeOut::DropRound => Change::DropRound,
            ChangeOut::AddRound => Change::AddRound,
            ChangeOut::Fit { end_ms } => Change::Fit { end: Tick(*end_ms) },
            ChangeOut::Cut { end_ms } => Change::Cut { end: Tick(*end_ms) },
            ChangeOut::StandIn { block, station, movement } => {
                Change::StandIn { block: *block, station: *station, movement: movement.clone() }
            }
            ChangeOut::Easier { block, station } => Change::Easier { block: *block, station: *station },
            ChangeOut::Repay(debt) => Change::Repay(Debt::from(debt)),
            ChangeOut::LetBe(debt) => Change::LetBe(Debt::from(debt)),
        }
    }
}

impl DebtOut {
    /// Whether its station exists in the class and its length is possible.
    pub(super) fn is_within(&self, most_ms: u64, is_station: impl Fn(usize, usize) -> bool) -> bool {
        let station = match self.doing {
            DoingOut::Station(station) | DoingOut::Turn(station) => station,
            DoingOut::AllAtOwnPace | DoingOut::Nothing => 0,
        };
        self.by_ms <= most_ms && is_station(self.block, station)
    }
}

impl From<&Debt> for DebtOut {
    fn from(debt: &Debt) -> DebtOut {
        let doing = match debt.doing {
            Doing::Station(station) => DoingOut::Station(station),
            Doing::AllAtOwnPace => DoingOut::AllAtOwnPace,
            Doing::Turn(turn) => DoingOut::Turn(turn),
            Doing::Nothing => DoingOut::Nothing,
        };
        DebtOut { block: debt.block, doing, left: debt.side == Side::Left, by_ms: debt.by.0 }
    }
}

impl From<&DebtOut> for Debt {
    fn from(debt: &DebtOut) -> Debt {
        let doing = match debt.doing {
            DoingOut::Station(station) => Doing::Station(station),
            DoingOut::AllAtOwnPace => Doing::AllAtOwnPace,
            DoingOut::Turn(turn) => Doing::Turn(turn),
            DoingOut::Nothing => Doing::Nothing,
        };
        let side = if debt.left { Side::Left } else { Side::Right };
        Debt { block: debt.block, doing, side, by: Tick(debt.by_ms) }
    }
}
