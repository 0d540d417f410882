//! How long a count-in takes.

use std::time::Duration;

use super::GAP;
use crate::time::Tick;

/// How long a count-in without words takes.
pub const COUNT_IN: Duration = Duration::from_secs(5);

/// How long before its end a count-in asks for its pips.
pub const PIPS: Duration = Duration::from_millis(3_300);

/// How long a count-in needs for words of this length and for the pips after them.
pub fn words_and_pips(words: Tick) -> Duration {
    (words + GAP).duration() + PIPS
}

/// How long a count-in takes with words of this length before its pips: whole seconds, at least [`COUNT_IN`].
pub fn count_in(words: Option<Tick>) -> Duration {
    let needed = words.map_or(Duration::ZERO, words_and_pips);
    COUNT_IN.max(Duration::from_secs(needed.as_millis().div_ceil(1000) as u64))
}
