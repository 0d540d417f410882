//! No hold lasts for minutes: people then tend to stop breathing evenly.

use super::{AdviceRule, RuleFunction, block_spot};
use crate::movement::{Movement, Pattern, Region};
use crate::schedule::{Schedule, Span, SpanPurpose};
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, clock};

/// The longest unbroken hold. Our estimate.
const LONGEST: Tick = Tick::seconds(120);

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::LongHold,
    severity: Severity::Warning,
    source: "our estimate: 2 min; to keep breathing during a hold is common advice (NCHPAD)",
    explain: "Holds (a plank, a wall sit) follow each other for more than 2 min, with no rest and no moving station between: people tend to stop breathing evenly.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let is_hold = |span: &Span| {
        span.purpose == SpanPurpose::Work
            && schedule.station_of(span).is_some_and(|station| holds_still(&station.movement))
    };
    for run in schedule.spans.chunk_by(|before, after| is_hold(before) && is_hold(after)) {
        // Settle does not count: nobody holds the position yet. A switch of sides does count: the trunk stays braced.
        let work = run.iter().filter(|span| is_hold(span)).map(|span| span.length().saturating_sub(span.settle));
        let held = work.fold(Tick::ZERO, |sum, work| sum + work);
        if held > LONGEST {
            let message = format!("{} of holds without a rest", clock(held));
            let fault = RULE.finding(block_spot(run[0].block), message);
            found.push(fault.help("put a rest or a moving station between, and remind people to breathe"));
        }
    }
}

/// Whether a movement is an isometric hold. A missing tempo is not enough: swings and climbers have none either. A hold
/// is a brace, squat or lunge with a breath-hold caution, or a brace with no cautions at all.
fn holds_still(movement: &Movement) -> bool {
    let breath = movement.cautions.iter().any(|caution| caution.region == Region::BreathHold);
    let still = match movement.pattern {
        Pattern::Brace => breath || movement.cautions.is_empty(),
        Pattern::Squat | Pattern::Lunge => breath,
        _ => false,
    };
    still && movement.loaded && movement.guide.is_none()
}
