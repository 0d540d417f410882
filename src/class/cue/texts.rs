//! All that a class may come to say.

use std::collections::HashSet;

use super::candidates::Writer;
use super::speak::Voicing;
use super::stretch::Stretch;
use super::wording::{Sentence, opening};
use super::words::call_words;
use crate::schedule::{Schedule, What};
use crate::session::Level;
use crate::time::Tick;

/// Every text that a class as it stands may say at any level, on the floor and in the coach's ear, whole and terse;
/// each once, in the order in which they come. For a voice to say ahead of time, so that plans count with its lengths.
pub fn texts(schedule: &Schedule) -> Vec<String> {
    // The fullest level says all that the others do.
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
