//! The words on the screen of a class.

use serde::Deserialize;

use super::CountedWord;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScreenWords {
    pub signs: SignWords,
    pub place: PlaceWords,
    pub time: StandingWords,
    pub account: AccountWords,
    pub amounts: AmountWords,
    pub pane: PaneWords,
    pub unsaid: UnsaidWords,
    pub lines: LineWords,
    pub keys: KeyNameWords,
    /// The line below an offer.
    pub offer: String,
}

/// Words in large lettering.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignWords {
    pub then: String,
    pub next: String,
    pub left: String,
    pub right: String,
    pub paused: String,
    pub done: String,
    pub stopped: String,
    pub ready: String,
    pub rest: String,
    pub switch: String,
    pub end_of_class: String,
    pub gate: String,
    pub get_ready: String,
    pub far_paused: String,
    pub quit: String,
}

/// Where the class is, in the top line.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlaceWords {
    pub station: String,
    pub turn: String,
    pub set: String,
    pub rung: String,
    pub round: String,
    pub every: String,
}

/// Whether the class is early or late against the clock and the slot.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StandingWords {
    pub ends: String,
    pub spare: String,
    pub over: String,
    pub minutes_over: String,
    pub seconds_over: String,
    pub owes: String,
    pub lost: String,
}

/// The summary after the class.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AccountWords {
    pub ended: String,
    pub as_planned: String,
    pub later: String,
    pub earlier: String,
    pub paused: String,
    pub changes: CountedWord,
    pub no_changes: String,
    pub marks: CountedWord,
    pub length: String,
    pub notes: String,
}

/// Amounts of repetitions, kit, people and rest.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AmountWords {
    pub up_to: String,
    pub each_side: String,
    pub by_turns: String,
    pub kit_each: String,
    pub kit_shared: String,
    pub group: String,
    pub rest: String,
}

/// The labels of the pane and its own texts.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaneWords {
    pub then: String,
    pub you: String,
    pub you_left: String,
    pub you_right: String,
    pub look_after: String,
    pub say: String,
    pub watch: String,
    pub easier: String,
    pub harder: String,
    pub set_up: String,
    pub adapt: String,
    pub variant: String,
    pub note: String,
    pub leave_out: String,
    pub first: String,
    pub kit: String,
    pub length: String,
    pub system: String,
    pub worked: String,
    pub sides: String,
    pub marked: String,
    pub notes: String,
    pub in_your_ear: String,
    pub unsaid: String,
    pub left_unsaid: String,
    pub signs: String,
}

/// Why a cue is not said.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnsaidWords {
    pub no_room: String,
    pub call: String,
    pub tone: String,
    pub cues: String,
    pub talk_room: String,
    pub quiet: String,
    pub repeated: String,
    pub not_now: String,
}

/// Whole lines.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineWords {
    pub move_on: String,
    pub right_side: String,
    pub end_of_class: String,
    pub cautions: Vec<String>,
    pub no_emergency_text: String,
    pub gate_key: String,
    pub stopped_key: String,
    pub start_key: String,
    pub starts_by_itself: String,
    pub done_key: String,
    pub quit_keys: String,
    pub signs: String,
    pub too_small: String,
}

/// The bottom line: keys that now do something different from their usual name, and how much is said.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyNameWords {
    pub begin: String,
    pub resume: String,
    pub muted: String,
    pub says: String,
}
