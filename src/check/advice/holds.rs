//! Nobody holds still for minutes: the breath is held with it.

use super::{Find, Rule, block_spot};
use crate::movement::Pattern;
use crate::schedule::{Purpose, Schedule, Span};
use crate::session::fault::{Code, Fault, Severity};
use crate::time::{Tick, clock};

/// The longest unbroken hold; our estimate.
const LONGEST: Tick = Tick::seconds(120);

pub const RULE: Rule = Rule {
    code: Code::LongHold,
    severity: Severity::Warning,
    source: "our estimate: 2 min; that the breath is not held in holds is customary (NCHPAD)",
    explain: "Braced holds one after the other, with no rest and no movement between, for more than two minutes: people begin to hold their breath.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let is_hold = |span: &Span| {
        span.purpose == Purpose::Work
            && schedule.station_of(span).is_some_and(|station| {
                let movement = &station.movement;
                movement.loaded && movement.pattern == Pattern::Brace && movement.guide.is_none()
            })
    };
    for run in schedule.spans.chunk_by(|before, after| is_hold(before) && is_hold(after)) {
        // Getting into a hold is none, so settle does not count; a switch from side to side does: the trunk stays braced.
        let work = run.iter().filter(|span| is_hold(span)).map(|span| span.length().less(span.settle));
        let held = work.fold(Tick::ZERO, |sum, work| sum + work);
        if held > LONGEST {
            let message = format!("{} of holds without a rest", clock(held));
            let fault = RULE.found(block_spot(run[0].block), message);
            found.push(fault.help("put a rest or a moving station between, and say to breathe"));
        }
    }
}
