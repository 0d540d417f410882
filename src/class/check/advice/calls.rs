//! Every call that a block asks for is made.

use super::{Find, Rule, block_spot};
use crate::schedule::{Call, Purpose, Schedule, What};
use crate::session::CallWord;
use crate::session::fault::{Code, Fault, Severity};
use crate::session::{Level, defaults};
use crate::time::spoken_length;

pub const RULE: Rule = Rule {
    code: Code::CallNeverMade,
    severity: Severity::Info,
    source: "how calls are placed: each begins when its number appears, and of two that meet only one is made",
    explain: "A block asks for a call of the time left that is never made: no work of the blocks that ask for it is long enough, or another call always takes its place. The default calls are not checked.",
    find: Find::Class(find),
};

/// The calls, with their words in the file.
const CALLS: [(CallWord, Call); 5] = [
    (CallWord::Halfway, Call::Halfway),
    (CallWord::Thirty, Call::Thirty),
    (CallWord::Fifteen, Call::Fifteen),
    (CallWord::Ten, Call::Ten),
    (CallWord::End, Call::End),
];

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let blocks = &schedule.session.blocks;
    let mut looked_at: Vec<&[CallWord]> = Vec::new();
    for (first, block) in blocks.iter().enumerate() {
        let calls = block.calls.as_slice();
        // Blocks with the same calls mostly have them from the session: it is enough that one of them makes each call.
        if calls == defaults::CALLS || looked_at.contains(&calls) {
            continue;
        }
        looked_at.push(calls);
        let of_them = |index: usize| blocks[index].calls == calls;
        if blocks.iter().any(|other| other.calls == calls && other.level < Level::Calls) {
            continue;
        }
        let longest = (schedule.spans.iter())
            .filter(|span| of_them(span.block) && span.purpose == Purpose::Work)
            .map(|span| span.length())
            .max()
            .unwrap_or_default();
        for (word, call) in CALLS.into_iter().filter(|(word, _)| calls.contains(word)) {
            let is_made = schedule
                .events
                .iter()
                .any(|event| event.what == What::Call(call) && of_them(schedule.spans[event.span].block));
            if !is_made {
                let message =
                    format!("the call `{word}` is never made: the longest work here is {}", spoken_length(longest));
                found.push(RULE.found(block_spot(first), message).help("lengthen the work, or ask for another call"));
            }
        }
    }
}
