//! A class that fills a booked slot begins with a warm-up and ends with a cool-down.
//!
//! Source: ACSM's Guidelines, from memory (5 to 10 min each; sources differ, so only their being there is asked).

use super::{Find, Rule};
use crate::schedule::Schedule;
use crate::session::Kind;
use crate::session::fault::{Code, Fault, Here, Severity};

const SOURCE: &str = "common practice; how long is left to the coach, since sources differ";

pub const WARM_UP: Rule = Rule {
    code: Code::NoWarmUp,
    severity: Severity::Warning,
    source: SOURCE,
    explain: "A class with a slot has a block of kind warm_up before its main blocks. A file without a slot is taken for a part of a class.",
    find: Find::Class(|schedule, found| {
        missing(schedule, &WARM_UP, Kind::WarmUp, "warm-up", "kind: warm_up, first", found)
    }),
};

pub const COOL_DOWN: Rule = Rule {
    code: Code::NoCoolDown,
    severity: Severity::Warning,
    source: SOURCE,
    explain: "A class with a slot has a block of kind cool_down after its main blocks. A file without a slot is taken for a part of a class.",
    find: Find::Class(|schedule, found| {
        missing(schedule, &COOL_DOWN, Kind::CoolDown, "cool-down", "kind: cool_down, last", found)
    }),
};

fn missing(schedule: &Schedule, rule: &Rule, kind: Kind, name: &str, help: &str, found: &mut Vec<Fault>) {
    let session = &schedule.session;
    let mains = |block: &&crate::session::Block| block.kind == Kind::Main;
    // A class of nothing but easy work needs neither.
    if session.slot.is_none() || !session.blocks.iter().any(|block| mains(&block)) {
        return;
    }
    if session.blocks.iter().all(|block| block.kind != kind) {
        let fault = rule.found(Here::FILE.field("blocks").name(), format!("the class has no {name}"));
        found.push(fault.help(format!("add a block with {help}")));
    }
}
