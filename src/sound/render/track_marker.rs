//! Marks: places in a track, with labels.

use class::cue::purpose_words;
use class::describe::{doing_words, side_words};
use class::schedule::{Activity, Schedule, Span, SpanPurpose};
use class::session::block_letter;

/// A place in a track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrackMarker {
    /// The frame, counted from the start of the track.
    pub frame: u64,
    /// The label, one line.
    pub label: String,
}

impl TrackMarker {
    pub(super) fn new(frame: u64, label: &str) -> TrackMarker {
        TrackMarker { frame, label: one_line(label) }
    }
}

/// The label of a span: `B3 Split squat, left, round 2 of 3`, or `B rest between rounds`.
pub(super) fn label(schedule: &Schedule, span: &Span) -> String {
    let letter = block_letter(span.block);
    if span.purpose != SpanPurpose::Work {
        return format!("{letter} {}", purpose_words(span.purpose));
    }
    let number = match span.activity {
        Activity::Station(index) => (index + 1).to_string(),
        _ => String::new(),
    };
    let side = match side_words(span) {
        "" => String::new(),
        side => format!(", {side}"),
    };
    let passes = schedule.passes(span);
    let round = if passes > 1 { format!(", round {} of {passes}", span.round + 1) } else { String::new() };
    format!("{letter}{number} {}{side}{round}", doing_words(schedule, span))
}

/// A text with a space for each control character.
pub(super) fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
