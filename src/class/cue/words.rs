//! Calls, purposes, levels and regions in words.

use crate::movement::Region;
use crate::schedule::{SpanPurpose, TimeCall};
use crate::session::SpeechLevel;
use crate::words::WORDS;

/// A call as it is said: `ten seconds`.
pub fn call_words(call: TimeCall) -> &'static str {
    let calls = &WORDS.cue.calls;
    match call {
        TimeCall::Switch => &calls.switch,
        TimeCall::End => &calls.end,
        TimeCall::Ten => &calls.ten,
        TimeCall::Halfway => &calls.halfway,
        TimeCall::Thirty => &calls.thirty,
        TimeCall::Fifteen => &calls.fifteen,
    }
}

/// What a span is for, as printed: `rest between rounds`.
pub fn purpose_words(purpose: SpanPurpose) -> &'static str {
    let purposes = &WORDS.cue.purposes;
    match purpose {
        SpanPurpose::Briefing => &purposes.briefing,
        SpanPurpose::Work => &purposes.work,
        SpanPurpose::Rest => &purposes.rest,
        SpanPurpose::RoundRest => &purposes.round_rest,
        SpanPurpose::BlockRest => &purposes.block_rest,
        SpanPurpose::Transition => &purposes.transition,
    }
}

/// How much is said, as printed.
pub fn level_words(level: SpeechLevel) -> &'static str {
    &WORDS.cue.levels[&level]
}

/// A region of the body, or a state, as people read it: `lower back`.
pub fn region_words(region: Region) -> &'static str {
    &WORDS.cue.regions[&region].name
}
