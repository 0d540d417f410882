//! How the class stands to the clock on the wall and to its slot, in words.

use crate::lead::Moment;
use crate::time::{Tick, clock};
use crate::words::{WORDS, fill};

/// When it ends, and what the slot has to spare or how far it is over; whatever of it is known.
pub(super) fn end_and_spare(moment: &Moment) -> Vec<String> {
    ends(moment).into_iter().chain(spare(moment)).collect()
}

pub(super) fn ends(moment: &Moment) -> Option<String> {
    let ends = moment.ends_at.as_ref()?;
    Some(fill(&WORDS.screen.standing.ends, &[("time", ends)]))
}

pub(super) fn spare(moment: &Moment) -> Option<String> {
    spare_words(moment.spare_ms)
}

/// The same of so many milliseconds.
pub(super) fn spare_words(spare_ms: Option<i64>) -> Option<String> {
    let spare = spare_ms?;
    let words = &WORDS.screen.standing;
    let wording = if spare < 0 { &words.over } else { &words.spare };
    Some(fill(wording, &[("length", &length(spare.unsigned_abs()))]))
}

/// What holds and waits have cost.
pub(super) fn lost(moment: &Moment) -> String {
    fill(&WORDS.screen.standing.lost, &[("length", &length(moment.lost_ms))])
}

fn length(ms: u64) -> String {
    clock(Tick::seconds(ms / 1000))
}
