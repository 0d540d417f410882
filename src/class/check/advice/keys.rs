//! The slot leaves time for the blocks that wait for the coach's key.

use super::{AdviceRule, RuleFunction, block_spot};
use crate::schedule::Schedule;
use crate::session::BlockStart;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, clock};

/// How long a wait for the coach's key takes when no briefing is planned. Our estimate.
pub(super) const WAIT: Tick = Tick::seconds(15);

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::NoTimeToWait,
    severity: Severity::Warning,
    source: "our estimate: 15 s for each wait without a planned briefing",
    explain: "Blocks wait for your key, and the slot has less than 15 s spare for each of them: the class will end late. A block with a planned briefing is not counted, and neither is the first block: it waits before the class begins.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let session = &schedule.session;
    let Some(spare) = session.slot.and_then(|slot| slot.checked_sub(schedule.total())) else { return };
    let waits = |block: &crate::session::Block| block.start == BlockStart::OnKey && block.briefing == Tick::ZERO;
    let waiting: Vec<usize> = (1..session.blocks.len()).filter(|&index| waits(&session.blocks[index])).collect();
    let Some(&first) = waiting.first() else { return };
    if spare.0 < WAIT.0 * waiting.len() as u64 {
        let message = match waiting.len() {
            1 => {
                format!(
                    "{} waits for your key, and the slot has only {} spare",
                    session.blocks[first].name,
                    clock(spare)
                )
            }
            count => format!("{count} blocks wait for your key, and the slot has only {} spare", clock(spare)),
        };
        found.push(RULE.finding(block_spot(first), message).help("plan a briefing for the wait, or shorten some work"));
    }
}
