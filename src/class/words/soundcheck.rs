//! The words of a sound check.

use std::collections::BTreeMap;

use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoundCheckWords {
    pub title: String,
    pub page: String,
    pub sentence: String,
    pub kept: String,
    pub play: String,
    pub choose: String,
    pub earlier_later: String,
    pub turn: String,
    pub turn_keys: String,
    pub leave: String,
    pub pages: SoundCheckPageWords,
    pub devices: DeviceWords,
    pub sounds: TestSoundWords,
    pub timing: TimingWords,
    pub call: PhoneCallWords,
    pub sight: SightWords,
    pub keys: KeyTestWords,
    pub power: PowerWords,
    pub verdict: VerdictWords,
}

/// The names of the pages.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoundCheckPageWords {
    pub devices: String,
    pub sounds: String,
    pub timing: String,
    pub call: String,
    pub sight: String,
    pub keys: String,
    pub power: String,
    pub verdict: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviceWords {
    pub format: String,
    pub dial: String,
    pub no_ear: String,
    pub awake: String,
    pub asleep: String,
    pub awake_key: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestSoundWords {
    pub how: String,
    /// What each tone means, by the name of the tone.
    pub tones: BTreeMap<String, String>,
    pub sentence: String,
    pub left: String,
    pub right: String,
    pub question: String,
    pub yes: String,
    pub no: String,
    pub answered: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimingWords {
    pub how: String,
    pub dial: String,
    pub other: String,
    pub nothing: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhoneCallWords {
    pub question: String,
    pub how: String,
    pub todo: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SightWords {
    pub sample: String,
    pub how: String,
    pub digits: String,
    pub names: String,
    pub reaches: String,
    pub too_small: String,
    pub better: String,
    pub colours: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyTestWords {
    pub how: String,
    pub sent: String,
    pub nothing: String,
    pub waiting: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PowerWords {
    pub no_battery: String,
    pub stays: String,
    pub may_sleep: String,
    pub plug_in: String,
    pub todo: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VerdictWords {
    pub ready: String,
    pub nearly: String,
    pub not_ready: String,
    pub open: String,
    pub opening: String,
    pub lost: String,
    pub missing: String,
    pub voice: String,
    pub voice_not_yet: String,
    pub not_heard: String,
    pub far_end: String,
    pub too_small: String,
    pub battery: String,
    pub may_sleep: String,
    pub sounds_open: String,
}
