//! The records of a journal in their JSON form, which is separate from the types of the class.

use std::time::Duration;

use jiff::{Timestamp, ZonedDateTime};
use serde::{Deserialize, Serialize};

use crate::Happening;
use crate::TimedHappening;
use class::change::{ChangeReach, LiveChange, SideDebt};
use class::fnv::fnv;
use class::schedule::{Activity, MeasuredNeed, TransitionKind, WorkingSide};
use class::session::{SpeechLevel, limits};
use class::time::Tick;

/// The version of the journal format. Raised when a record is added, removed or changes its meaning.
pub const VERSION: u32 = 1;

/// The first line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JournalHeader {
    /// The version of the journal: [`VERSION`].
    pub journal: u32,
    /// The version of the program that led the class.
    pub program: String,
    /// When the class started, with the time zone.
    pub wall: ZonedDateTime,
    /// How many times as fast as planned the class ran. Only a class at 1 was led for people.
    pub speed: u32,
    pub session: StoredFile,
    /// The coach's own movements, in the order in which they were read.
    pub movements: Vec<StoredFile>,
    /// The measured changeovers that the plan uses.
    pub learned: Vec<MeasuredRecord>,
    pub opening: OpeningRecord,
    /// The length of the plan in milliseconds. It shows whether another version of the program plans differently.
    pub plan_ms: u64,
}

/// A file with its whole text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StoredFile {
    pub path: String,
    /// The hash of the text (FNV-1a, 128 bits), which shows whether the text was altered.
    pub hash: String,
    pub text: String,
}

impl StoredFile {
    /// The text of a file, with its hash.
    pub fn new(path: String, text: String) -> StoredFile {
        StoredFile { path, hash: hash(&text), text }
    }

    /// Whether the text is the one that was hashed.
    pub fn hash_matches(&self) -> bool {
        self.hash == hash(&self.text)
    }
}

/// A length of the clock as the records write it: in whole milliseconds.
pub(super) fn millis(length: Duration) -> u64 {
    Tick::of(length).0
}

fn hash(text: &str) -> String {
    format!("{:032x}", fnv(text.as_bytes()))
}

/// The measured length of a kind of changeover.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredRecord {
    kind: String,
    needs_ms: u64,
    samples: usize,
}

impl MeasuredRecord {
    /// The form for the journal.
    pub fn of(kind: TransitionKind, measured: MeasuredNeed) -> MeasuredRecord {
        MeasuredRecord { kind: kind.to_string(), needs_ms: measured.needs.0, samples: measured.samples }
    }

    /// The form for the plan. None if the kind is unknown or the length is too long.
    pub fn measured(&self) -> Option<(TransitionKind, MeasuredNeed)> {
        let needs = Some(Tick(self.needs_ms)).filter(|needs| *needs <= limits::TOTAL)?;
        Some((self.kind.parse().ok()?, MeasuredNeed { needs, samples: self.samples }))
    }
}

/// The settings with which the class started.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpeningRecord {
    /// The class time at which it started, in milliseconds.
    pub from_ms: u64,
    /// How much is said. None: each block's own level.
    pub level: Option<SpeechLevel>,
    pub muted: bool,
    /// When the room is needed by others, if the coach gave that time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Timestamp>,
}

/// A line after the first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JournalRecord {
    /// Class time in milliseconds; never less than in the record before.
    pub at: u64,
    pub wall: Timestamp,
    pub what: JournalEvent,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum JournalEvent {
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
    #[serde(rename = "held")]
    Paused {
        stopped: bool,
    },
    Resumed {
        after_ms: u64,
    },
    /// The coach changed the rest of the class. `total_ms`: the new length of the class.
    Changed {
        change: ChangeRecord,
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
    Level(SpeechLevel),
    Muted(bool),
    /// The coach set a mark, to look at this moment later.
    #[serde(rename = "flagged")]
    Marked,
    /// A message that was shown to the coach.
    Said(String),
    /// The class was resumed after it had been cut off. `lost_ms`: how much of the time since the last record is lost
    /// to the class; 0 if class time ran on.
    #[serde(rename = "taken_up")]
    ResumedAfterBreak {
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
pub enum ChangeRecord {
    Next,
    Back,
    Again,
    RestNow,
    #[serde(rename = "stretch")]
    AdjustLength {
        by_ms: i64,
        block: bool,
    },
    #[serde(rename = "return")]
    ExtendPrevious {
        by_ms: i64,
    },
    DropRound,
    AddRound,
    Fit {
        end_ms: u64,
    },
    Cut {
        end_ms: u64,
    },
    #[serde(rename = "stand_in")]
    Swap {
        block: usize,
        station: usize,
        movement: String,
    },
    Easier {
        block: usize,
        station: usize,
    },
    #[serde(rename = "repay")]
    RepayDebt(DebtRecord),
    #[serde(rename = "let_be")]
    WaiveDebt(DebtRecord),
}

/// How much work one side is short of the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DebtRecord {
    block: usize,
    doing: ActivityRecord,
    /// Whether the left side is short. Otherwise it is the right side.
    left: bool,
    by_ms: u64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum ActivityRecord {
    Station(usize),
    AllAtOwnPace,
    Turn(usize),
    Nothing,
}

impl JournalEvent {
    /// The record of a happening. None if the happening follows from other records.
    pub fn of(told: &TimedHappening) -> Option<JournalEvent> {
        let total_ms = told.total.0;
        Some(match &told.what {
            Happening::CountIn { length } => JournalEvent::CountIn { ms: millis(*length) },
            Happening::Span(span) => JournalEvent::Span(*span),
            Happening::Due(_) => return None,
            Happening::Gate => JournalEvent::Gate,
            Happening::Opened { waited } => JournalEvent::Opened { waited_ms: millis(*waited) },
            Happening::Paused { stopped } => JournalEvent::Paused { stopped: *stopped },
            Happening::Resumed { after } => JournalEvent::Resumed { after_ms: millis(*after) },
            Happening::Changed(change) => JournalEvent::Changed { change: ChangeRecord::from(change), total_ms },
            Happening::Undone => JournalEvent::Undone { total_ms },
            Happening::Redone => JournalEvent::Redone { total_ms },
            Happening::Slept { length } => JournalEvent::Slept { ms: millis(*length) },
            Happening::Muted(muted) => JournalEvent::Muted(*muted),
            Happening::Level(level) => JournalEvent::Level(*level),
            Happening::Marked => JournalEvent::Marked,
            Happening::Said(line) => JournalEvent::Said(line.clone()),
            Happening::Done => JournalEvent::Done,
            Happening::Quit => JournalEvent::Quit,
        })
    }

    /// Whether the record must survive a power cut.
    pub fn must_be_synced(&self) -> bool {
        !matches!(self, JournalEvent::Beat | JournalEvent::Said(_))
    }
}

impl From<&LiveChange> for ChangeRecord {
    fn from(change: &LiveChange) -> ChangeRecord {
        match change {
            LiveChange::Next => ChangeRecord::Next,
            LiveChange::Back => ChangeRecord::Back,
            LiveChange::Again => ChangeRecord::Again,
            LiveChange::RestNow => ChangeRecord::RestNow,
            LiveChange::AdjustLength { by, reach } => {
                ChangeRecord::AdjustLength { by_ms: *by, block: *reach == ChangeReach::Block }
            }
            LiveChange::ExtendPrevious { by } => ChangeRecord::ExtendPrevious { by_ms: *by },
            LiveChange::DropRound => ChangeRecord::DropRound,
            LiveChange::AddRound => ChangeRecord::AddRound,
            LiveChange::Fit { end } => ChangeRecord::Fit { end_ms: end.0 },
            LiveChange::Cut { end } => ChangeRecord::Cut { end_ms: end.0 },
            LiveChange::Swap { block, station, movement } => {
                ChangeRecord::Swap { block: *block, station: *station, movement: movement.clone() }
            }
            LiveChange::Easier { block, station } => ChangeRecord::Easier { block: *block, station: *station },
            LiveChange::RepayDebt(debt) => ChangeRecord::RepayDebt(DebtRecord::from(debt)),
            LiveChange::WaiveDebt(debt) => ChangeRecord::WaiveDebt(DebtRecord::from(debt)),
        }
    }
}

impl From<&ChangeRecord> for LiveChange {
    fn from(change: &ChangeRecord) -> LiveChange {
        match change {
            ChangeRecord::Next => LiveChange::Next,
            ChangeRecord::Back => LiveChange::Back,
            ChangeRecord::Again => LiveChange::Again,
            ChangeRecord::RestNow => LiveChange::RestNow,
            ChangeRecord::AdjustLength { by_ms, block } => LiveChange::AdjustLength {
                by: *by_ms,
                reach: if *block { ChangeReach::Block } else { ChangeReach::Current },
            },
            ChangeRecord::ExtendPrevious { by_ms } => LiveChange::ExtendPrevious { by: *by_ms },
            ChangeRecord::DropRound => LiveChange::DropRound,
            ChangeRecord::AddRound => LiveChange::AddRound,
            ChangeRecord::Fit { end_ms } => LiveChange::Fit { end: Tick(*end_ms) },
            ChangeRecord::Cut { end_ms } => LiveChange::Cut { end: Tick(*end_ms) },
            ChangeRecord::Swap { block, station, movement } => {
                LiveChange::Swap { block: *block, station: *station, movement: movement.clone() }
            }
            ChangeRecord::Easier { block, station } => LiveChange::Easier { block: *block, station: *station },
            ChangeRecord::RepayDebt(debt) => LiveChange::RepayDebt(SideDebt::from(debt)),
            ChangeRecord::WaiveDebt(debt) => LiveChange::WaiveDebt(SideDebt::from(debt)),
        }
    }
}

impl DebtRecord {
    /// Whether its station exists in the class and its length is possible.
    pub(super) fn is_within(&self, most_ms: u64, is_station: impl Fn(usize, usize) -> bool) -> bool {
        let station = match self.doing {
            ActivityRecord::Station(station) | ActivityRecord::Turn(station) => station,
            ActivityRecord::AllAtOwnPace | ActivityRecord::Nothing => 0,
        };
        self.by_ms <= most_ms && is_station(self.block, station)
    }
}

impl From<&SideDebt> for DebtRecord {
    fn from(debt: &SideDebt) -> DebtRecord {
        let doing = match debt.doing {
            Activity::Station(station) => ActivityRecord::Station(station),
            Activity::AllAtOwnPace => ActivityRecord::AllAtOwnPace,
            Activity::Turn(turn) => ActivityRecord::Turn(turn),
            Activity::Nothing => ActivityRecord::Nothing,
        };
        DebtRecord { block: debt.block, doing, left: debt.side == WorkingSide::Left, by_ms: debt.by.0 }
    }
}

impl From<&DebtRecord> for SideDebt {
    fn from(debt: &DebtRecord) -> SideDebt {
        let doing = match debt.doing {
            ActivityRecord::Station(station) => Activity::Station(station),
            ActivityRecord::AllAtOwnPace => Activity::AllAtOwnPace,
            ActivityRecord::Turn(turn) => Activity::Turn(turn),
            ActivityRecord::Nothing => Activity::Nothing,
        };
        let side = if debt.left { WorkingSide::Left } else { WorkingSide::Right };
        SideDebt { block: debt.block, doing, side, by: Tick(debt.by_ms) }
    }
}
