//! People do not have to get up from the floor too often.

use super::{AdviceRule, COMMON, RuleFunction, block_spot};
use crate::schedule::{FloorChange, Schedule, SpanPurpose};
use crate::session::BlockFormat;
use crate::session::fault::{Fault, FaultCode, Severity};

/// The most times that people get up in one pass through a block.
const MOST: usize = 2;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::ManyUps,
    severity: Severity::Warning,
    source: COMMON,
    explain: "People get up from the floor more than twice in one pass through a block. Floor stations next to each other cost less time and are kinder to knees. A rotation is not checked: people walk between stations anyway.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        if block.format == BlockFormat::Rotation {
            continue;
        }
        let ups = |round: u32| {
            // Getting up after the block before does not count for this block.
            let first = schedule.spans.iter().position(|span| span.block == index && span.purpose == SpanPurpose::Work);
            let spans = schedule.spans.iter().skip(first.map_or(0, |first| first + 1));
            let spans = spans.filter(|span| span.block == index && span.round == round);
            spans.filter(|span| span.change.floor == Some(FloorChange::Up)).count()
        };
        let most = (0..block.passes()).map(ups).max().unwrap_or(0);
        if most > MOST {
            let message = format!("{} gets people up from the floor {most} times a round", block.name);
            found.push(RULE.finding(block_spot(index), message).help("put the floor stations next to each other"));
        }
    }
}
