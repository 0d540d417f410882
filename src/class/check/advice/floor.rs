//! People do not get up from the floor again and again.

use super::{COMMON, Find, Rule, block_spot};
use crate::schedule::{Floor, Purpose, Schedule};
use crate::session::Format;
use crate::session::fault::{Code, Fault, Severity};

/// The most times up in one pass through a block.
const MOST: usize = 2;

pub const RULE: Rule = Rule {
    code: Code::ManyUps,
    severity: Severity::Warning,
    source: COMMON,
    explain: "Everybody gets up from the floor more than twice in one pass through a block: floor stations together cost less time and are kinder to knees. A rotation, where people walk anyway, is left alone.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        if block.format == Format::Rotation {
            continue;
        }
        let ups = |round: u32| {
            // Up from the block before is none of this one.
            let first = schedule.spans.iter().position(|span| span.block == index && span.purpose == Purpose::Work);
            let spans = schedule.spans.iter().skip(first.map_or(0, |first| first + 1));
            let spans = spans.filter(|span| span.block == index && span.round == round);
            spans.filter(|span| span.change.floor == Some(Floor::Up)).count()
        };
        let most = (0..block.passes()).map(ups).max().unwrap_or(0);
        if most > MOST {
            let message = format!("{} gets people up from the floor {most} times a round", block.name);
            found.push(RULE.found(block_spot(index), message).help("put the floor stations side by side"));
        }
    }
}
