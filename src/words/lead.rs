//! The keys of a class, and what the coach is told.

use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct LeadWords {
    pub keys: Keys,
    pub messages: Messages,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Keys {
    pub go: KeyWords,
    pub next: KeyWords,
    pub back: KeyWords,
    pub again: KeyWords,
    pub mute: KeyWords,
    pub less: KeyWords,
    pub more: KeyWords,
    pub volume: KeyWords,
    pub stop: KeyWords,
    pub far: KeyWords,
    pub help: KeyWords,
    pub quit: KeyWords,
    pub suspend: KeyWords,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeyWords {
    pub label: String,
    pub spoken: String,
    pub short: String,
    pub long: String,
}

/// Lines for the coach.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Messages {
    pub twice: String,
    pub not_begun: String,
    pub block_not_begun: String,
    pub slept: String,
    pub slept_past_start: String,
    pub level: String,
    pub volume: String,
    pub volume_muted: String,
    pub loudest: String,
    pub softest: String,
}
