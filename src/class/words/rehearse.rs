//! The words of a rehearsal.

use serde::Deserialize;

use super::lead::KeyWords;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RehearseWords {
    pub keys: RehearseKeys,
    pub messages: RehearseMessages,
    pub screen: RehearseScreen,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RehearseKeys {
    pub ready: KeyWords,
    pub next: KeyWords,
    pub back: KeyWords,
    pub again: KeyWords,
    pub tight: KeyWords,
    pub more_rest: KeyWords,
    pub less_rest: KeyWords,
    pub earlier: KeyWords,
    pub later: KeyWords,
    pub undo: KeyWords,
    pub redo: KeyWords,
    pub pause: KeyWords,
    pub mute: KeyWords,
    pub help: KeyWords,
    pub end: KeyWords,
    pub leave: KeyWords,
}

/// Lines for the coach.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RehearseMessages {
    pub too_early: String,
    pub no_rest: String,
    pub given: String,
    pub not_changed: String,
    pub all_at_once: String,
    pub at_the_end: String,
    pub moved: String,
    pub undone: String,
    pub redone: String,
    pub nothing_to_undo: String,
    pub nothing_to_redo: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RehearseScreen {
    pub title: String,
    pub transition: String,
    pub begin: String,
    pub paused: String,
    pub ends_in: String,
    pub get_ready: String,
    pub ready_after: String,
    pub for_a_group: String,
    pub only_movement: String,
    pub given: String,
    pub needs: String,
    pub tight: String,
    pub changes: String,
    pub muted: String,
    pub table: String,
    pub all_fit: String,
    pub not_measured: String,
    pub more_rows: String,
    pub write: String,
    pub leave: String,
    pub page: String,
    pub turn: String,
    pub say_again: String,
    pub changes_here: String,
    pub said: String,
    pub setup: String,
    pub look_after: String,
    pub leave_out: String,
    pub prompt: String,
    pub watch: String,
    pub easier: String,
    pub harder: String,
}
