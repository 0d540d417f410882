//! Movements that need skill come while people are fresh.

use super::{AdviceRule, COMMON, RuleFunction};
use crate::check::station_spot;
use crate::schedule::{Activity, Schedule, Span, SpanPurpose};
use crate::session::BlockKind;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::Tick;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::LateSkill,
    severity: Severity::Info,
    source: COMMON,
    explain: "A movement that needs balance or overhead skill under load first comes in the last third of the main blocks, when people are tired. Checked if the main blocks take 10 min or more (our estimate).",
    find: RuleFunction::Class(find),
};

/// Main blocks shorter than this do not tire people enough to matter.
const ENOUGH: Tick = Tick::seconds(600);

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let main = |span: &&Span| schedule.block_of(span).kind == BlockKind::Main;
    let (Some(first), Some(last)) = (
        schedule.spans.iter().find(main),
        schedule.spans.iter().rev().find(|span| main(span) && span.purpose == SpanPurpose::Work),
    ) else {
        return;
    };
    let length = last.end.saturating_sub(first.start);
    let last_third = first.start + Tick(length.0 * 2 / 3);
    let mut known = std::collections::HashSet::new();
    for span in schedule.spans.iter().filter(main).filter(|span| span.purpose == SpanPurpose::Work) {
        let (Activity::Station(index), Some(station)) = (span.activity, schedule.station_of(span)) else { continue };
        let movement = &station.movement;
        if !movement.skill || !known.insert(movement.id.as_str()) || length < ENOUGH || span.start < last_third {
            continue;
        }
        let message = format!("{} needs skill, but first comes in the last third of the main blocks", movement.name);
        let fault = RULE.finding(station_spot(span.block, index, None), message);
        found.push(fault.help("move it earlier, or show its easier option"));
    }
}
