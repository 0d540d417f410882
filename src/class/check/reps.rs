//! What settle leaves of a work span is enough for a repetition, and for both sides.

use std::collections::HashSet;

use super::{About, station_spot};
use crate::schedule::{Doing, Purpose, Schedule, Side, Span};
use crate::session::fault::{Code, Fault, Severity};
use crate::time::{Tick, spoken_length};

pub(super) const TEMPO: About = About {
    code: Code::TempoTooLong,
    severity: Severity::Warning,
    source: "arithmetic: a repetition takes the four counts of its tempo in seconds",
    explain: "What getting ready leaves of the work is shorter than one repetition at the tempo.",
};

pub(super) const SIDES: About = About {
    code: Code::UnequalSides,
    severity: Severity::Warning,
    source: "arithmetic: both sides get the same work, to the millisecond",
    explain: "Getting ready and the switch leave nothing for either side. That left and right work as long as each other over the class needs no rule: a file cannot say otherwise, and while you lead what a side is owed is shown.",
};

/// Adds a warning for each station of which a span is too short, once.
pub fn check(schedule: &Schedule, found: &mut Vec<Fault>) {
    let mut told = HashSet::new();
    for span in schedule.spans.iter().filter(|span| span.purpose == Purpose::Work) {
        let Doing::Station(index) = span.doing else { continue };
        let none_for_sides = matches!(span.side, Side::LeftThenRight { each: Tick::ZERO, .. });
        if !(none_for_sides || span.reps == Some(0)) || !told.insert((span.block, index)) {
            continue;
        }
        let station = &schedule.session.blocks[span.block].stations[index];
        let rep = station.tempo.map(|tempo| tempo.rep());
        let at = station_spot(span.block, index, None);
        let name = &station.movement.name;
        let fault = if none_for_sides {
            let message = format!("{} leaves {name} no time for either side", spent(span));
            Fault::warning(Code::UnequalSides, at, message)
        } else {
            let rep = rep.map(spoken_length).unwrap_or_default();
            let message = format!("{} leaves {name} no whole repetition of {rep}", spent(span));
            Fault::warning(Code::TempoTooLong, at, message)
        };
        found.push(fault.help("give it more work, more rest before it, or write transitions: added"));
    }
}

/// What the span is and what goes before its work.
fn spent(span: &Span) -> String {
    let length = spoken_length(span.length());
    if span.settle == Tick::ZERO {
        format!("work of {length}")
    } else {
        format!("work of {length}, of which {} go into getting ready,", spoken_length(span.settle))
    }
}
