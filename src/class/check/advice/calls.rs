//! Every call that a block asks for is made.

use super::{AdviceRule, RuleFunction, block_spot};
use crate::schedule::{EventContent, Schedule, SpanPurpose, TimeCall};
use crate::session::CallChoice;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::session::{SpeechLevel, defaults};
use crate::time::spoken_length;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::CallNeverMade,
    severity: Severity::Info,
    source: "how calls are placed: each begins when its number appears, and of two that meet only one is made",
    explain: "A block asks for a call of the time left that is never made: no work of the blocks that ask for it is long enough, or another call always takes its place. The default calls are not checked.",
    find: RuleFunction::Class(find),
};

/// The calls, with their words in the file.
const CALLS: [(CallChoice, TimeCall); 5] = [
    (CallChoice::Halfway, TimeCall::Halfway),
    (CallChoice::Thirty, TimeCall::Thirty),
    (CallChoice::Fifteen, TimeCall::Fifteen),
    (CallChoice::Ten, TimeCall::Ten),
    (CallChoice::End, TimeCall::End),
];

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let blocks = &schedule.session.blocks;
    let mut looked_at: Vec<&[CallChoice]> = Vec::new();
    for (first, block) in blocks.iter().enumerate() {
        let calls = block.calls.as_slice();
        // Blocks with the same calls mostly have them from the session: it is enough that one of them makes each call.
        if calls == defaults::CALLS || looked_at.contains(&calls) {
            continue;
        }
        looked_at.push(calls);
        let of_them = |index: usize| blocks[index].calls == calls;
        if blocks.iter().any(|other| other.calls == calls && other.level < SpeechLevel::Calls) {
            continue;
        }
        let longest = (schedule.spans.iter())
            .filter(|span| of_them(span.block) && span.purpose == SpanPurpose::Work)
            .map(|span| span.length())
            .max()
            .unwrap_or_default();
        for (word, call) in CALLS.into_iter().filter(|(word, _)| calls.contains(word)) {
            let is_made = schedule
                .events
                .iter()
                .any(|event| event.what == EventContent::Call(call) && of_them(schedule.spans[event.span].block));
            if !is_made {
                let message =
                    format!("the call `{word}` is never made: the longest work here is {}", spoken_length(longest));
                found.push(RULE.finding(block_spot(first), message).help("lengthen the work, or ask for another call"));
            }
        }
    }
}
