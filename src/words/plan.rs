//! The words of planning.

use serde::Deserialize;

use super::RehearseKey;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanWords {
    pub keys: PlanKeys,
    pub messages: PlanMessages,
    pub screen: PlanScreen,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanKeys {
    pub add: RehearseKey,
    pub replace: RehearseKey,
    pub block: RehearseKey,
    pub drop: RehearseKey,
    pub earlier: RehearseKey,
    pub later: RehearseKey,
    pub longer: RehearseKey,
    pub shorter: RehearseKey,
    pub more_rest: RehearseKey,
    pub less_rest: RehearseKey,
    pub rounds: RehearseKey,
    pub sides: RehearseKey,
    pub easier: RehearseKey,
    pub harder: RehearseKey,
    pub prompts: RehearseKey,
    pub note: RehearseKey,
    pub undo: RehearseKey,
    pub redo: RehearseKey,
    pub fit: RehearseKey,
    pub listen: RehearseKey,
    pub attempt: RehearseKey,
    pub help: RehearseKey,
    pub leave: RehearseKey,
}

/// Lines for the coach.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanMessages {
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
    pub fitted: String,
    pub nothing_said: String,
    pub no_movement: String,
    pub mine: String,
    pub outside: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanScreen {
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
    pub elsewhere: String,
    pub total: String,
    pub before: String,
    pub unsaved: String,
    pub conflict: String,
    pub faulty: String,
    pub too_small: String,
    pub chips: Chips,
}

/// What the finder filters by.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Chips {
    pub words: String,
    pub pattern: String,
    pub position: String,
    pub kit: String,
    pub muscle: String,
    pub mind: String,
}
