//! The words of planning.

use serde::Deserialize;

use super::KeyWords;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanWords {
    pub keys: PlanKeys,
    pub messages: PlanMessages,
    pub screen: PlanScreen,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanKeys {
    pub add: KeyWords,
    pub replace: KeyWords,
    pub block: KeyWords,
    pub drop: KeyWords,
    pub earlier: KeyWords,
    pub later: KeyWords,
    pub longer: KeyWords,
    pub shorter: KeyWords,
    pub more_rest: KeyWords,
    pub less_rest: KeyWords,
    pub rounds: KeyWords,
    pub sides: KeyWords,
    pub easier: KeyWords,
    pub harder: KeyWords,
    pub prompts: KeyWords,
    pub note: KeyWords,
    pub name: KeyWords,
    pub length: KeyWords,
    pub kit: KeyWords,
    pub tempo: KeyWords,
    pub people: KeyWords,
    pub swap: KeyWords,
    pub undo: KeyWords,
    pub redo: KeyWords,
    pub fit: KeyWords,
    pub listen: KeyWords,
    pub attempt: KeyWords,
    pub help: KeyWords,
    pub leave: KeyWords,
}

/// Lines for the coach.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanMessages {
    pub now: String,
    pub not_changed: String,
    pub not_here: String,
    pub at_the_end: String,
    pub undone: String,
    pub redone: String,
    pub nothing_to_undo: String,
    pub nothing_to_redo: String,
    pub no_slot: String,
    pub fits_already: String,
    pub still_over: String,
    pub fitted: String,
    pub nothing_said: String,
    pub no_movement: String,
    pub in_an_emom: String,
    pub in_an_amrap: String,
    pub in_a_ladder: String,
    pub length_unused: String,
    pub no_number: String,
    pub swapped: String,
    pub no_swap: String,
    pub kept_mine: String,
    pub merged: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanScreen {
    pub ends: String,
    pub rounds: String,
    pub reps: String,
    pub rest: String,
    pub add: String,
    pub replace: String,
    pub block: String,
    pub any: String,
    pub hits: String,
    pub no_change: String,
    pub change: String,
    pub leave_out: String,
    pub finder_keys: String,
    pub chip_keys: String,
    pub line_keys: String,
    pub line: String,
    pub none_found: String,
    pub found_elsewhere: String,
    pub total: String,
    pub before: String,
    pub unsaved: String,
    pub conflict: String,
    pub faulty: String,
    pub too_small: String,
    pub chips: FilterWords,
}

/// The filters of the finder.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FilterWords {
    pub words: String,
    pub pattern: String,
    pub position: String,
    pub kit: String,
    pub muscle: String,
    pub look_after: String,
}
