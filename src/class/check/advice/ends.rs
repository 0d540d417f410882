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
        missing(schedule, &WARM_UP, Kind::WarmUp, ["warm-up", "before its main blocks", "kind: warm_up, first"], found)
    }),
};

pub const COOL_DOWN: Rule = Rule {
    code: Code::NoCoolDown,
    severity: Severity::Warning,
    source: SOURCE,
    explain: "A class with a slot has a block of kind cool_down after its main blocks. A file without a slot is taken for a part of a class.",
    find: Find::Class(|schedule, found| {
        missing(
            schedule,
            &COOL_DOWN,
            Kind::CoolDown,
            ["cool-down", "after its main blocks", "kind: cool_down, last"],
            found,
        )
    }),
};

fn missing(schedule: &Schedule, rule: &Rule, kind: Kind, [name, place, help]: [&str; 3], found: &mut Vec<Fault>) {
    let session = &schedule.session;
    let mains = |block: &&crate::session::Block| block.kind == Kind::Main;
    // A class of nothing but easy work needs neither.
    if session.slot.is_none() || !session.blocks.iter().any(|block| mains(&block)) {
        return;
    }
    // A warm-up after the work is none, nor is a cool-down before it.
    let is_in_place = match kind {
        Kind::WarmUp => session.blocks.iter().take_while(|block| !mains(block)).any(|block| block.kind == kind),
        _ => session.blocks.iter().rev().take_while(|block| !mains(block)).any(|block| block.kind == kind),
    };
    if !is_in_place {
        let fault = rule.found(Here::FILE.field("blocks").name(), format!("the class has no {name} {place}"));
        found.push(fault.help(format!("add a block with {help}")));
    }
}
