//! The keys of a class, and the messages for the coach.

use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeadWords {
    pub keys: LeadKeys,
    pub messages: LeadMessages,
    pub system: SystemWords,
    pub plain: PlainWords,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeadKeys {
    pub go: KeyWords,
    pub next: KeyWords,
    pub back: KeyWords,
    pub again: KeyWords,
    pub offer: KeyWords,
    pub close: KeyWords,
    pub longer: KeyWords,
    pub undo: KeyWords,
    pub mute: KeyWords,
    pub less: KeyWords,
    pub not_now: KeyWords,
    pub say_again: KeyWords,
    pub volume: KeyWords,
    pub mark: KeyWords,
    pub all_ready: KeyWords,
    pub stop: KeyWords,
    pub far: KeyWords,
    pub help: KeyWords,
    pub quit: KeyWords,
    pub suspend: KeyWords,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyWords {
    pub label: String,
    /// The name of the key as spoken. None when it is the same as the label.
    #[serde(default)]
    pub spoken: Option<String>,
    pub short: String,
    pub long: String,
}

/// Lines for the coach.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LeadMessages {
    pub twice: String,
    pub marked: String,
    pub ready_after: String,
    pub ready_twice: String,
    pub ready_paused: String,
    pub ready_nothing: String,
    pub unkept: String,
    pub not_begun: String,
    pub block_not_begun: String,
    pub slept: String,
    pub slept_past_start: String,
    pub level: String,
    pub not_now: String,
    pub nothing_to_drop: String,
    pub nothing_said: String,
    pub no_room_again: String,
    pub volume: String,
    pub volume_muted: String,
    pub loudest: String,
    pub softest: String,
}

/// The state of the laptop before the class.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SystemWords {
    pub voice: String,
    pub recovery: String,
    pub power: String,
    pub plugged_in: String,
    pub not_plugged_in: String,
    pub opening: String,
    pub lost: String,
    pub missing: String,
    pub nothing_to_say: String,
    pub voice_ready: String,
    pub no_voice: String,
    pub voice_getting_ready: String,
}

/// The texts of a class that is printed line by line.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlainWords {
    pub class: String,
    pub class_ends_at: String,
    pub keys: String,
    pub count_in: String,
    pub for_the_coach: String,
    pub gate: String,
    pub opened: String,
    pub paused: String,
    pub stopped: String,
    pub no_emergency_text: String,
    pub resumed: String,
    pub changed: String,
    pub muted: String,
    pub sounding: String,
    pub done: String,
    pub quit: String,
    pub whether_to_quit: String,
    pub block: String,
    pub round: String,
    pub coming: String,
    pub reps: String,
    pub reps_a_side: String,
    pub own_pace: String,
    pub group: String,
    pub block_end: String,
    pub by_turns: String,
    pub left: String,
    pub right: String,
    pub left_then_right: String,
}
