//! A work span leaves, after settle, enough time for one repetition and for both sides.

use std::collections::HashSet;

use super::{CheckRule, station_spot};
use crate::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, spoken_length};

pub(super) const TEMPO: CheckRule = CheckRule {
    code: FaultCode::TempoTooLong,
    severity: Severity::Warning,
    source: "arithmetic: a repetition takes the sum of its four tempo counts, in seconds",
    explain: "After getting ready, the work that is left is shorter than one repetition at the tempo.",
};

pub(super) const SIDES: CheckRule = CheckRule {
    code: FaultCode::UnequalSides,
    severity: Severity::Warning,
    source: "arithmetic: both sides get the same work, to the millisecond",
    explain: "Getting ready and the switch take all the work time, and neither side gets any. No rule checks that left and right work equally long: a file always gives both the same, and while you lead the screen shows a side that is short.",
};

/// Adds one warning for each station with a span that is too short.
pub(super) fn check(schedule: &Schedule, found: &mut Vec<Fault>) {
    let mut told = HashSet::new();
    for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
        let Activity::Station(index) = span.activity else { continue };
        let none_for_sides = matches!(span.side, WorkingSide::LeftThenRight { each: Tick::ZERO, .. });
        if !(none_for_sides || span.reps == Some(0)) || !told.insert((span.block, index)) {
            continue;
        }
        let station = &schedule.session.blocks[span.block].stations[index];
        let rep = station.tempo.map(|tempo| tempo.rep());
        let at = station_spot(span.block, index, None);
        let name = &station.movement.name;
        let fault = if none_for_sides {
            let message = format!("{} leaves no time for either side of {name}", time_used(span));
            Fault::warning(FaultCode::UnequalSides, at, message)
        } else {
            let rep = rep.map(spoken_length).unwrap_or_default();
            let message = format!("{} leaves no time for one repetition of {name} ({rep})", time_used(span));
            Fault::warning(FaultCode::TempoTooLong, at, message)
        };
        found.push(fault.help("lengthen the work or the rest before it, or set transitions: added"));
    }
}

/// The length of a span in words, with the part that goes into getting ready.
fn time_used(span: &Span) -> String {
    let length = spoken_length(span.length());
    if span.settle == Tick::ZERO {
        format!("work of {length}")
    } else {
        format!("work of {length}, with {} of it to get ready,", spoken_length(span.settle))
    }
}
