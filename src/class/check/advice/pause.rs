//! There is a break to drink.

use super::{AdviceRule, COMMON, RuleFunction, block_spot};
use crate::schedule::{Schedule, SpanPurpose};
use crate::session::BlockKind;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, clock};

/// The longest time without a break to drink.
const LONGEST: Tick = Tick::seconds(15 * 60);
/// The shortest rest in which people drink. Our estimate.
const PAUSE: Tick = Tick::seconds(30);

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::NoPause,
    severity: Severity::Warning,
    source: COMMON,
    explain: "For more than 15 min there is no rest of 30 s or more (our estimate), no briefing and no block that waits for your key: nobody gets to the water. A class without main blocks is not checked.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    if schedule.session.blocks.iter().all(|block| block.kind != BlockKind::Main) {
        return;
    }
    let mut since = (Tick::ZERO, 0);
    let mut look = |at: Tick, block: usize, next: Tick| {
        let (from, begun) = since;
        if at.saturating_sub(from) > LONGEST {
            let message = format!("{} without a break to drink", clock(at.saturating_sub(from)));
            found.push(RULE.finding(block_spot(begun), message).help("add a rest of 30 s or more"));
        }
        since = (next, block);
    };
    for span in &schedule.spans {
        let drinks = span.purpose == SpanPurpose::Briefing || (span.purpose.is_rest() && span.length() >= PAUSE);
        if drinks {
            look(span.start, span.block, span.end);
        } else if span.gate {
            look(span.start, span.block, span.start);
        }
    }
    look(schedule.total(), 0, schedule.total());
}
