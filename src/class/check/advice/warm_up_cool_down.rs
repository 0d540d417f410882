//! A class with a slot begins with a warm-up and ends with a cool-down.
//!
//! Source: ACSM's Guidelines, from memory (5 to 10 min each). Sources differ on the length, so only the presence is
//! checked.

use super::{AdviceRule, RuleFunction};
use crate::schedule::Schedule;
use crate::session::BlockKind;
use crate::session::fault::{Fault, FaultCode, LazyPath, Severity};

const SOURCE: &str = "common practice; sources differ on the length, so the length is up to you";

pub(super) const WARM_UP: AdviceRule = AdviceRule {
    code: FaultCode::NoWarmUp,
    severity: Severity::Warning,
    source: SOURCE,
    explain: "A class with a slot needs a block of kind warm_up before its main blocks. A file without a slot counts as a part of a class and is not checked.",
    find: RuleFunction::Class(|schedule, found| {
        missing(
            schedule,
            &WARM_UP,
            BlockKind::WarmUp,
            ["warm-up", "before its main blocks", "a first block with kind: warm_up"],
            found,
        )
    }),
};

pub(super) const COOL_DOWN: AdviceRule = AdviceRule {
    code: FaultCode::NoCoolDown,
    severity: Severity::Warning,
    source: SOURCE,
    explain: "A class with a slot needs a block of kind cool_down after its main blocks. A file without a slot counts as a part of a class and is not checked.",
    find: RuleFunction::Class(|schedule, found| {
        missing(
            schedule,
            &COOL_DOWN,
            BlockKind::CoolDown,
            ["cool-down", "after its main blocks", "a last block with kind: cool_down"],
            found,
        )
    }),
};

fn missing(
    schedule: &Schedule,
    rule: &AdviceRule,
    kind: BlockKind,
    [name, place, help]: [&str; 3],
    found: &mut Vec<Fault>,
) {
    let session = &schedule.session;
    let mains = |block: &&crate::session::Block| block.kind == BlockKind::Main;
    // A class without main blocks needs neither.
    if session.slot.is_none() || !session.blocks.iter().any(|block| mains(&block)) {
        return;
    }
    // A warm-up after the main blocks does not count, nor does a cool-down before them.
    let is_in_place = match kind {
        BlockKind::WarmUp => session.blocks.iter().take_while(|block| !mains(block)).any(|block| block.kind == kind),
        _ => session.blocks.iter().rev().take_while(|block| !mains(block)).any(|block| block.kind == kind),
    };
    if !is_in_place {
        let fault = rule.finding(LazyPath::FILE.field("blocks").name(), format!("the class has no {name} {place}"));
        found.push(fault.help(format!("add {help}")));
    }
}
