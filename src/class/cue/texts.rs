//! All texts that may be said in a class.

use std::collections::HashSet;

use super::candidates::CueWriter;
use super::plan_cues::SpeechSettings;
use super::wording::{CueSentence, opening};
use super::words::call_words;
use super::work_stretch::WorkStretch;
use crate::schedule::{EventContent, Schedule};
use crate::session::SpeechLevel;
use crate::time::Tick;

/// Every text that may be said in a class as it is, at any level, to the class and to the coach, in full and terse
/// wording. Each text is given once, in the order in which they come. A voice prepares these texts ahead, so that the
/// planner can use their true lengths.
pub fn texts(schedule: &Schedule) -> Vec<String> {
    // The fullest level includes all texts of the other levels.
    let voicing =
        SpeechSettings { level: Some(SpeechLevel::Full), ear: Some(Tick::SECOND), ..SpeechSettings::default() };
    let mut writer = CueWriter::new(schedule, &voicing);
    let calls = schedule.events.iter().filter_map(|event| match event.what {
        EventContent::Call(call) => Some(call_words(call).to_owned()),
        EventContent::Tone(_) | EventContent::Cue(_) => None,
    });
    let both = |CueSentence { full, terse }| [Some(full), terse].into_iter().flatten();
    let opening = opening(schedule).into_iter().flat_map(both);
    let stretches = WorkStretch::all(schedule);
    let cues = stretches.iter().flat_map(|stretch| writer.stretch(stretch)).flat_map(|cue| both(cue.sentence));
    let mut seen = HashSet::new();
    calls.chain(opening).chain(cues).filter(|text| seen.insert(text.clone())).collect()
}
