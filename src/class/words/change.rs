//! The words of live changes.

use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LiveChangeWords {
    pub next: String,
    pub start_now: String,
    pub return_to: String,
    pub say_more: String,
    pub lose: String,
    pub spare: String,
    pub work: String,
    pub rest: String,
    pub block_rest: String,
    pub station_everywhere: String,
    pub round_of: String,
    pub still_late: String,
    pub back: String,
    pub again: String,
    pub rest_now: String,
    pub this: String,
    pub each_of_block: String,
    pub seconds: String,
    pub drop_round: String,
    pub add_round: String,
    pub fit: String,
    pub cut: String,
    pub swap: String,
    pub easier: String,
    pub repay: String,
    pub waive: String,
    pub left: String,
    pub right: String,
    pub undo_it: String,
    pub undone: String,
    pub redone: String,
    pub nothing_to_undo: String,
    pub nothing_to_redo: String,
    pub nothing_to_change: String,
}
