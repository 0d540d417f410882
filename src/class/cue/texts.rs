//! All texts that may be said in a class.

use std::collections::HashSet;

use super::candidates::Writer;
use super::speak::Voicing;
use super::stretch::Stretch;
use super::wording::{Sentence, opening};
use super::words::call_words;
use crate::schedule::{Schedule, What};
use crate::session::Level;
use crate::time::Tick;

/// Every text that may be said in a class as it is, at any level, to the class and to the coach, in full and terse
/// wording. Each text is given once, in the order in which they come. A voice prepares these texts ahead, so that the
/// planner can use their true lengths.
pub fn texts(schedule: &Schedule) -> Vec<String> {
    // The fullest level includes all texts of the other levels.
    let voicing = Voicing { level: Some(Level::Full), ear: Some(Tick::SECOND), ..Voicing::default() };
    let mut writer = Writer::new(schedule, &voicing);
    let calls = schedule.events.iter().filter_map(|event| match event.what {
        What::Call(call) => Some(call_words(call).to_owned()),
        What::Tone(_) | What::Cue(_) => None,
    });
    let both = |Sentence { full, terse }| [Some(full), terse].into_iter().flatten();
    let opening = opening(schedule).into_iter().flat_map(both);
    let stretches = Stretch::all(schedule);
    let cues = stretches.iter().flat_map(|stretch| writer.stretch(stretch)).flat_map(|cue| both(cue.sentence));
    let mut seen = HashSet::new();
    calls.chain(opening).chain(cues).filter(|text| seen.insert(text.clone())).collect()
}
