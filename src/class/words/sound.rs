//! The messages about devices, music and the voice.

use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoundWords {
    /// The names of the devices, for a list and for a sentence.
    pub class: String,
    pub ear: String,
    pub back: String,
    pub lost: String,
    pub missing: String,
    pub no_device: String,
    pub not_found: String,
    pub refused: String,
    pub plug_in: String,
    pub when_it_comes: String,
    pub tried_again: String,
    pub dropped: String,
    pub dropped_more: String,
    pub music: MusicWords,
    pub voice: VoiceWords,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MusicWords {
    pub none: String,
    pub left_out: String,
    pub unreadable: String,
    pub unknown: String,
    pub empty: String,
    pub too_short: String,
    pub shape: String,
    pub failed: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VoiceWords {
    pub gave_up: String,
    pub refuses: String,
    pub not_kept: String,
    pub missing: String,
    pub not_started: String,
    pub failed: String,
    pub too_late: String,
    pub too_much: String,
    pub not_sound: String,
    pub silent: String,
}
