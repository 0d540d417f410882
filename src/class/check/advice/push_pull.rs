//! Pushing and pulling are balanced over the class.

use super::{AdviceRule, COMMON, RuleFunction};
use crate::check::past::work_until;
use crate::movement::Pattern;
use crate::schedule::Schedule;
use crate::session::Block;
use crate::session::fault::{Fault, FaultCode, FaultSpot, Severity};
use crate::time::{Tick, clock};

/// Less push and pull work together than this is not checked. Our estimate.
const ENOUGH: Tick = Tick::seconds(120);

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::PushAgainstPull,
    severity: Severity::Warning,
    source: COMMON,
    explain: "Over the whole class, loaded pushing should be between two thirds and one and a half times the loaded pulling, in seconds of work. Rotation and bracing count for neither. Not checked below 2 min of both together (our estimate), nor in classes without kit in hand, where pulling is scarce.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let work = work_until(schedule, schedule.total());
    let time = |pattern| {
        let of_it = work.iter().filter(|worked| worked.movement.loaded && worked.movement.pattern == pattern);
        of_it.fold(Tick::ZERO, |sum, worked| sum + worked.time)
    };
    let has_kit =
        |block: &Block| block.stations.iter().any(|station| station.kit.iter().any(|need| !need.item.stays_on_floor()));
    if !schedule.session.blocks.iter().any(has_kit) {
        return;
    }
    let (push, pull) = (time(Pattern::Push), time(Pattern::Pull));
    if push + pull < ENOUGH || (push.0 * 3 >= pull.0 * 2 && push.0 * 2 <= pull.0 * 3) {
        return;
    }
    let message = format!("the class has {} of push and {} of pull", clock(push), clock(pull));
    let less = if push < pull { "push" } else { "pull" };
    found
        .push(RULE.finding(FaultSpot::File, message).help(format!("add {less}, unless another class makes up for it")));
}
