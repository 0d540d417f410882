//! A call that was asked for is heard.

use super::{Find, Rule, block_spot};
use crate::schedule::{Call, Purpose, Schedule, What};
use crate::session::CallWord;
use crate::session::fault::{Code, Fault, Severity};
use crate::session::{Level, defaults};
use crate::time::spoken_length;

pub const RULE: Rule = Rule {
    code: Code::CallNeverMade,
    severity: Severity::Info,
    source: "how calls are placed: each begins when its number appears, and one gives way to another",
    explain: "A call of the time left was asked for, and no work of the blocks that ask for it is long enough, or another call takes its place every time. The usual calls are left alone.",
    find: Find::Class(find),
};

/// The calls that are said, with what the file calls them.
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
        // Blocks that ask for the same mostly have it from the session: it is enough that one of them has room.
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
                found.push(RULE.found(block_spot(first), message).help("longer work, or another call"));
            }
        }
    }
}
