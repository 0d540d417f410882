//! A station has an option for people who find it too hard or too easy.

use super::{AdviceRule, COMMON, RuleFunction};
use crate::check::station_spot;
use crate::movement::Tier;
use crate::schedule::Schedule;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::session::{BlockKind, Station};

pub(super) const EASIER: AdviceRule = AdviceRule {
    code: FaultCode::NoEasier,
    severity: Severity::Warning,
    source: COMMON,
    explain: "A loaded station of a main block has no easier option for people who cannot do it as shown.",
    find: RuleFunction::Class(|schedule, found| {
        find(schedule, &EASIER, "easier", |station| station.easier.as_ref(), found)
    }),
};

pub(super) const HARDER: AdviceRule = AdviceRule {
    code: FaultCode::NoHarder,
    severity: Severity::Info,
    source: COMMON,
    explain: "A loaded station of a main block has no harder option for people who find it easy.",
    find: RuleFunction::Class(|schedule, found| {
        find(schedule, &HARDER, "harder", |station| station.harder.as_ref(), found)
    }),
};

fn find(
    schedule: &Schedule,
    rule: &AdviceRule,
    which: &str,
    tier: fn(&Station) -> Option<&Tier>,
    found: &mut Vec<Fault>,
) {
    for (block_index, block) in
        schedule.session.blocks.iter().enumerate().filter(|(_, block)| block.kind == BlockKind::Main)
    {
        for (index, station) in block.stations.iter().enumerate() {
            if station.movement.loaded && tier(station).is_none() {
                let message = format!("{} has no {which} option", station.movement.name);
                let fault = rule.finding(station_spot(block_index, index, None), message);
                found.push(fault.help(format!("add {which}: and what to do, in quotes")));
            }
        }
    }
}
