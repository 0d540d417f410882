//! The words of the front door.

use serde::Deserialize;

use super::KeyWords;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DoorWords {
    pub keys: DoorKeys,
    pub actions: ActionWords,
    pub compose_form: ComposeFormWords,
    pub screen: DoorScreen,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DoorKeys {
    pub choose: KeyWords,
    pub action: KeyWords,
    pub go: KeyWords,
    pub search: KeyWords,
    pub back: KeyWords,
    pub help: KeyWords,
    pub leave: KeyWords,
}

/// The actions for a session.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ActionWords {
    pub lead: String,
    pub rehearse: String,
    pub plan: String,
    pub check: String,
    pub print: String,
    pub resume: String,
    pub begin: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DoorScreen {
    pub typed: String,
    pub type_to_search: String,
    pub no_match: String,
    pub unfinished: String,
    pub of_slot: String,
    pub spare: String,
    pub over: String,
    pub fits: String,
    pub people: super::CountedWord,
    pub faults: super::CountedWord,
    pub warnings: super::CountedWord,
    pub hints: super::CountedWord,
    pub no_findings: String,
    pub no_kit: String,
    pub last_led: String,
    pub never_led: String,
    pub new_class: String,
    pub no_class_yet: String,
    pub demo: String,
    pub list: String,
    pub composed: String,
    pub starter: String,
    pub how_to_list: String,
    pub more_files: String,
    pub line: String,
    pub fix: String,
    pub too_small: String,
    pub written: String,
    pub printed: String,
    pub none_in_text: String,
    pub from_list: String,
    pub from_wish: String,
    pub from_demo: String,
    pub from_starter: String,
    pub keys_in_text: String,
}

/// The form for a composed class.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ComposeFormWords {
    pub heading: String,
    pub slot: String,
    pub people: String,
    pub kit: String,
    pub aim: String,
    pub slot_means: String,
    pub people_mean: super::CountedWord,
    pub no_kit: String,
    pub each: String,
    pub shared: String,
    pub strength: String,
    pub conditioning: String,
    pub no_slot: String,
    pub no_number: String,
    pub how: String,
    pub composing: String,
    pub on: KeyWords,
    pub compose: KeyWords,
    pub lines: KeyWords,
    pub step: KeyWords,
    pub letters: KeyWords,
    pub back: KeyWords,
}
