//! People do not have to get up from the floor too often.

use super::{COMMON, Find, Rule, block_spot};
use crate::schedule::{Floor, Purpose, Schedule};
use crate::session::Format;
use crate::session::fault::{Code, Fault, Severity};

/// The most times that people get up in one pass through a block.
const MOST: usize = 2;

pub const RULE: Rule = Rule {
    code: Code::ManyUps,
    severity: Severity::Warning,
    source: COMMON,
    explain: "People get up from the floor more than twice in one pass through a block. Floor stations next to each other cost less time and are kinder to knees. A rotation is not checked: people walk between stations anyway.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        if block.format == Format::Rotation {
            continue;
        }
        let ups = |round: u32| {
            // Getting up after the block before does not count for this block.
            let first = schedule.spans.iter().position(|span| span.block == index && span.purpose == Purpose::Work);
            let spans = schedule.spans.iter().skip(first.map_or(0, |first| first + 1));
            let spans = spans.filter(|span| span.block == index && span.round == round);
            spans.filter(|span| span.change.floor == Some(Floor::Up)).count()
        };
        let most = (0..block.passes()).map(ups).max().unwrap_or(0);
        if most > MOST {
            let message = format!("{} gets people up from the floor {most} times a round", block.name);
            found.push(RULE.found(block_spot(index), message).help("put the floor stations next to each other"));
        }
    }
}
