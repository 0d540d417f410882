//! Nobody holds still for minutes: the breath is held with it.

use super::{Find, Rule, block_spot};
use crate::movement::{Movement, Pattern, Region};
use crate::schedule::{Purpose, Schedule, Span};
use crate::session::fault::{Code, Fault, Severity};
use crate::time::{Tick, clock};

/// The longest unbroken hold; our estimate.
const LONGEST: Tick = Tick::seconds(120);

pub const RULE: Rule = Rule {
    code: Code::LongHold,
    severity: Severity::Warning,
    source: "our estimate: 2 min; that the breath is not held in holds is customary (NCHPAD)",
    explain: "Holds (a plank, a wall sit) one after the other, with no rest and no movement between, for more than two minutes: people begin to hold their breath.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let is_hold = |span: &Span| {
        span.purpose == Purpose::Work && schedule.station_of(span).is_some_and(|station| holds_still(&station.movement))
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

/// Whether nothing moves in it. Without a tempo are also swings and climbers; a hold is what is cautioned for the breath,
/// and a brace of which no cautions are known.
fn holds_still(movement: &Movement) -> bool {
    let breath = movement.cautions.iter().any(|caution| caution.region == Region::BreathHold);
    let still = match movement.pattern {
        Pattern::Brace => breath || movement.cautions.is_empty(),
        Pattern::Squat | Pattern::Lunge => breath,
        _ => false,
    };
    still && movement.loaded && movement.guide.is_none()
}
