//! How long a count-in takes.

use super::GAP;
use crate::time::Tick;

/// A count-in without words, in milliseconds.
pub const COUNT_IN: u64 = 5_000;

/// How long before its end a count-in asks for its pips, in milliseconds.
pub const PIPS: u64 = 3_300;

/// How long a count-in takes with words of this length before its pips, in milliseconds: whole seconds.
pub fn count_in(words: Option<Tick>) -> u64 {
    let needed = words.map_or(0, |length| length.0 + GAP.0 + PIPS);
    COUNT_IN.max(needed.next_multiple_of(1000))
}
