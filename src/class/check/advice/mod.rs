//! Advice: what a coach may want to reconsider, such as how the work is spread and what changeovers cost. Advice never
//! stops a class from being led, so only the planning parts ask for it: `check`, the front door, the planner, the
//! composer and a series.
//!
//! Each file holds one rule or a few related ones, each with its source.

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

/// The source of a rule that is common practice and has no written source.
pub(super) const COMMON: &str = "common practice, no source";

/// A rule of advice.
pub struct Rule {
    pub code: Code,
    pub severity: Severity,
    /// Where the rule comes from.
    pub source: &'static str,
    /// What the rule looks for and why, in one or two sentences.
    pub explain: &'static str,
    find: Find,
}

/// What a rule looks at.
enum Find {
    /// The class alone.
    Class(fn(&Schedule, &mut Vec<Fault>)),
    /// The class and the classes before it.
    Log(fn(&Schedule, &Past, &mut Vec<Fault>)),
    /// The screen, and how far from it people are.
    Screen(fn(&Sight, &mut Vec<Fault>)),
}

/// All rules of advice.
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

/// Checks a schedule against the rules of advice that look at the class alone.
pub fn advise(schedule: &Schedule) -> Vec<Fault> {
    let mut found = Vec::new();
    for rule in RULES {
        if let Find::Class(find) = rule.find {
            find(schedule, &mut found);
        }
    }
    found
}

/// Checks a schedule against the rules of advice that look at the class alone or at the classes before it.
pub fn advise_after(schedule: &Schedule, past: &Past) -> Vec<Fault> {
    let mut found = advise(schedule);
    for rule in RULES {
        if let Find::Log(find) = rule.find {
            find(schedule, past, &mut found);
        }
    }
    found
}

/// Checks a screen against the rules of advice that look at the screen.
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

/// The spot of a block's name in the file.
fn block_spot(block: usize) -> Spot {
    let top = Here::FILE;
    let blocks = top.field("blocks");
    let block = blocks.item(block);
    block.field("name").value()
}
