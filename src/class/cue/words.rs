//! Calls, purposes and levels in words.

use crate::schedule::{Call, Purpose};
use crate::session::Level;
use crate::words::WORDS;

/// A call as it is said: `ten seconds`.
pub fn call_words(call: Call) -> &'static str {
    let calls = &WORDS.cue.calls;
    match call {
        Call::Switch => &calls.switch,
        Call::End => &calls.end,
        Call::Ten => &calls.ten,
        Call::Halfway => &calls.halfway,
        Call::Thirty => &calls.thirty,
        Call::Fifteen => &calls.fifteen,
    }
}

/// What a span is for, as printed: `rest between rounds`.
pub fn purpose_words(purpose: Purpose) -> &'static str {
    let purposes = &WORDS.cue.purposes;
    match purpose {
        Purpose::Briefing => &purposes.briefing,
        Purpose::Work => &purposes.work,
        Purpose::Rest => &purposes.rest,
        Purpose::RoundRest => &purposes.round_rest,
        Purpose::BlockRest => &purposes.block_rest,
        Purpose::Transition => &purposes.transition,
    }
}

/// How much is said, as printed.
pub fn level_words(level: Level) -> &'static str {
    &WORDS.cue.levels[&level]
}
