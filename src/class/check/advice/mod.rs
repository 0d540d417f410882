//! What a coach may want to think over: how the work is spread, what the changes cost. Nothing here keeps a class from
//! being led, so only those who plan one ask: `check`, the front door, the planner, the composer and a series.
//!
//! One rule a file, each with its source.

mod calls;
mod ends;
mod floor;
mod grip;
mod holds;
mod keys;
mod kit_order;
mod lettering;
mod minded;
mod pause;
mod push_pull;
mod settle;
mod skill;
mod space;
mod strength;
mod tiers;
mod tight;
mod unsayable;
mod warm_up;
mod week;

pub use kit_order::{Stop, fewest_changes};

use super::past::Past;
use super::sight::Sight;
use crate::schedule::Schedule;
use crate::session::fault::{Code, Fault, Here, Severity, Spot};

/// Where a rule comes from when nobody has written it down.
pub(super) const COMMON: &str = "common practice, no source";

/// A rule of advice.
pub struct Rule {
    pub code: Code,
    pub severity: Severity,
    /// Who says so.
    pub source: &'static str,
    /// What it looks for and why, in a sentence or two.
    pub explain: &'static str,
    find: Find,
}

/// What a rule looks at.
enum Find {
    /// The class alone.
    Class(fn(&Schedule, &mut Vec<Fault>)),
    /// The classes before it too.
    Log(fn(&Schedule, &Past, &mut Vec<Fault>)),
    /// The screen, and how far from it the class is.
    Screen(fn(&Sight, &mut Vec<Fault>)),
}

/// Every rule of advice.
pub const RULES: &[Rule] = &[
    // Time.
    settle::RULE,
    tight::RULE,
    calls::RULE,
    unsayable::RULE,
    keys::RULE,
    // Body.
    ends::WARM_UP,
    ends::COOL_DOWN,
    warm_up::ORDER,
    warm_up::COLD,
    push_pull::RULE,
    grip::RULE,
    holds::RULE,
    skill::RULE,
    pause::RULE,
    floor::RULE,
    strength::RULE,
    // Options.
    tiers::EASIER,
    tiers::HARDER,
    minded::RULE,
    // Room.
    kit_order::RULE,
    space::RULE,
    lettering::RULE,
    // Week.
    week::MUSCLES,
    week::IMPACT,
    week::ADVANCED,
];

/// Holds a schedule to every rule of advice that looks at the class alone.
pub fn advise(schedule: &Schedule) -> Vec<Fault> {
    let mut found = Vec::new();
    for rule in RULES {
        if let Find::Class(find) = rule.find {
            find(schedule, &mut found);
        }
    }
    found
}

/// Holds a schedule to every rule of advice, those too that look at the classes before it.
pub fn advise_after(schedule: &Schedule, past: &Past) -> Vec<Fault> {
    let mut found = advise(schedule);
    for rule in RULES {
        if let Find::Log(find) = rule.find {
            find(schedule, past, &mut found);
        }
    }
    found
}

/// Holds a screen to the rules that look at it.
pub fn advise_screen(sight: &Sight) -> Vec<Fault> {
    let mut found = Vec::new();
    for rule in RULES {
        if let Find::Screen(find) = rule.find {
            find(sight, &mut found);
        }
    }
    found
}

impl Rule {
    /// A finding of this rule.
    fn found(&self, at: Spot, message: impl Into<String>) -> Fault {
        Fault { severity: self.severity, ..Fault::new(self.code, at, message) }
    }
}

/// The name of a block in the file.
fn block_spot(block: usize) -> Spot {
    let top = Here::FILE;
    let blocks = top.field("blocks");
    let block = blocks.item(block);
    block.field("name").value()
}
