//! The verdict of a sound check: ready, or what is not ready.

use class::check::sight::{ViewingConditions, metres};
use class::words::{WORDS, fill};
use sound::voice::SpeechProgress;
use sound::{DeviceState, DeviceStatus};

/// The state of the computer.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SystemStatus {
    /// The sound devices: that of the class, then that of the coach if there is one.
    pub devices: Vec<DeviceStatus>,
    /// How far the voice has come with the test sentence; None without a voice.
    pub voice: Option<SpeechProgress>,
    /// The charge of the battery in percent, and whether it is plugged in; None if no battery is reported.
    pub battery: Option<(u8, bool)>,
    /// Whether the system may go to sleep during a class.
    pub may_sleep: bool,
    /// How well the screen can be read; None without a screen.
    pub sight: Option<ViewingConditions>,
}

/// The coach's answer to the question of a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum CoachAnswer {
    #[default]
    None,
    Yes,
    No,
}

/// What is not ready (`lacks`), and what has not been tested (`open`).
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct SoundCheckVerdict {
    pub lacks: Vec<String>,
    pub open: Vec<String>,
}

/// A battery with less charge than this, in percent, and not plugged in may not last a class; our estimate.
const LOW: u8 = 30;

/// The verdict from the state of the computer and the coach's answers.
pub fn verdict(machine: &SystemStatus, heard: CoachAnswer, far_end: CoachAnswer) -> SoundCheckVerdict {
    let words = &WORDS.soundcheck.verdict;
    let mut verdict = SoundCheckVerdict::default();
    for status in &machine.devices {
        match &status.state {
            DeviceState::Playing => {}
            DeviceState::Opening => verdict.lacks.push(fill(&words.opening, &[("label", status.label)])),
            DeviceState::Lost => {
                verdict.lacks.push(fill(&words.lost, &[("label", status.label), ("device", &status.device)]));
            }
            DeviceState::Missing(why) => {
                verdict.lacks.push(fill(&words.missing, &[("label", status.label), ("why", why)]))
            }
        }
    }
    match machine.voice {
        Some(SpeechProgress { failed: 1.., .. }) => verdict.lacks.push(words.voice.clone()),
        Some(SpeechProgress { done: 0, .. }) => verdict.open.push(words.voice_not_yet.clone()),
        _ => {}
    }
    if heard == CoachAnswer::No {
        verdict.lacks.push(words.not_heard.clone());
    }
    if far_end == CoachAnswer::No {
        verdict.lacks.push(words.far_end.clone());
    }
    if let Some(sight) = machine.sight.filter(ViewingConditions::is_too_small) {
        verdict.lacks.push(fill(&words.too_small, &[("distance", &metres(sight.distance))]));
    }
    if let Some((percent, false)) = machine.battery
        && percent < LOW
    {
        verdict.lacks.push(fill(&words.battery, &[("percent", &percent.to_string())]));
    }
    if machine.may_sleep {
        verdict.open.push(words.may_sleep.clone());
    }
    let plays = machine.devices.iter().any(|status| status.state == DeviceState::Playing);
    if plays && heard == CoachAnswer::None {
        verdict.open.push(words.sounds_open.clone());
    }
    verdict
}

impl SoundCheckVerdict {
    /// The last line of the check: ready or not, and why.
    pub fn line(&self) -> String {
        let words = &WORDS.soundcheck.verdict;
        let line = match self.lacks.len() {
            0 if self.open.is_empty() => words.ready.clone(),
            0 => words.nearly.clone(),
            _ => fill(&words.not_ready, &[("what", &self.lacks.join("; "))]),
        };
        if self.open.is_empty() {
            line
        } else {
            format!("{line} {}", fill(&words.open, &[("what", &self.open.join("; "))]))
        }
    }
}
