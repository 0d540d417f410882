//! Pushing and pulling are of a size over the class.

use super::{COMMON, Find, Rule};
use crate::check::past::worked;
use crate::movement::Pattern;
use crate::schedule::Schedule;
use crate::session::Block;
use crate::session::fault::{Code, Fault, Severity, Spot};
use crate::time::{Tick, clock};

/// Less work than this of both together is too little to balance; our estimate.
const ENOUGH: Tick = Tick::seconds(120);

pub const RULE: Rule = Rule {
    code: Code::PushAgainstPull,
    severity: Severity::Warning,
    source: COMMON,
    explain: "Over the whole class loaded pushing is between two thirds and one and a half times the loaded pulling, by seconds of work. Rotation and brace count for neither. Below two minutes of both together (our estimate) it says nothing, nor of a class with nothing in hand: without kit there is little to pull.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let work = worked(schedule, schedule.total());
    let time = |pattern| {
        let of_it = work.iter().filter(|worked| worked.movement.loaded && worked.movement.pattern == pattern);
        of_it.fold(Tick::ZERO, |sum, worked| sum + worked.time)
    };
    let has_kit =
        |block: &Block| block.stations.iter().any(|station| station.kit.iter().any(|need| !need.item.lies_out()));
    if !schedule.session.blocks.iter().any(has_kit) {
        return;
    }
    let (push, pull) = (time(Pattern::Push), time(Pattern::Pull));
    if push + pull < ENOUGH || (push.0 * 3 >= pull.0 * 2 && push.0 * 2 <= pull.0 * 3) {
        return;
    }
    let message = format!("push {} against pull {} over the class", clock(push), clock(pull));
    let less = if push < pull { "push" } else { "pull" };
    found.push(RULE.found(Spot::File, message).help(format!("more {less}, unless another class makes up for it")));
}
