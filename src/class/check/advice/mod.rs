//! Advice: what a coach may want to reconsider, such as how the work is spread and what changeovers cost. Advice never
//! stops a class from being led, so only the planning parts ask for it: `check`, the front door, the planner, the
//! composer and a series.
//!
//! Each file holds one rule or a few related ones, each with its source.

mod calls;
mod floor;
mod grip;
mod holds;
mod keys;
mod kit_order;
mod lettering;
mod look_after;
mod past_weeks;
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
mod warm_up_cool_down;

pub use kit_order::{StationProfile, fewest_changes};

use super::past::PastClasses;
use super::sight::ViewingConditions;
use crate::schedule::Schedule;
use crate::session::fault::{Fault, FaultCode, FaultSpot, LazyPath, Severity};

/// The source of a rule that is common practice and has no written source.
pub(super) const COMMON: &str = "common practice, no source";

/// A rule of advice.
pub struct AdviceRule {
    pub code: FaultCode,
    pub severity: Severity,
    /// Where the rule comes from.
    pub source: &'static str,
    /// What the rule looks for and why, in one or two sentences.
    pub explain: &'static str,
    find: RuleFunction,
}

/// What a rule looks at.
enum RuleFunction {
    /// The class alone.
    Class(fn(&Schedule, &mut Vec<Fault>)),
    /// The class and the classes before it.
    Log(fn(&Schedule, &PastClasses, &mut Vec<Fault>)),
    /// The screen, and how far from it people are.
    Screen(fn(&ViewingConditions, &mut Vec<Fault>)),
}

/// All rules of advice.
pub const RULES: &[AdviceRule] = &[
    // Time.
    settle::RULE,
    tight::RULE,
    calls::RULE,
    unsayable::RULE,
    keys::RULE,
    // Body.
    warm_up_cool_down::WARM_UP,
    warm_up_cool_down::COOL_DOWN,
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
    look_after::RULE,
    // Room.
    kit_order::RULE,
    space::RULE,
    lettering::RULE,
    // Week.
    past_weeks::MUSCLES,
    past_weeks::IMPACT,
    past_weeks::ADVANCED,
];

/// Checks a schedule against the rules of advice that look at the class alone.
pub fn advise(schedule: &Schedule) -> Vec<Fault> {
    let mut found = Vec::new();
    for rule in RULES {
        if let RuleFunction::Class(find) = rule.find {
            find(schedule, &mut found);
        }
    }
    found
}

/// Checks a schedule against the rules of advice that look at the class alone or at the classes before it.
pub fn advise_after(schedule: &Schedule, past: &PastClasses) -> Vec<Fault> {
    let mut found = advise(schedule);
    for rule in RULES {
        if let RuleFunction::Log(find) = rule.find {
            find(schedule, past, &mut found);
        }
    }
    found
}

/// Checks a screen against the rules of advice that look at the screen.
pub fn advise_screen(sight: &ViewingConditions) -> Vec<Fault> {
    let mut found = Vec::new();
    for rule in RULES {
        if let RuleFunction::Screen(find) = rule.find {
            find(sight, &mut found);
        }
    }
    found
}

impl AdviceRule {
    /// A finding of this rule.
    fn finding(&self, at: FaultSpot, message: impl Into<String>) -> Fault {
        Fault { severity: self.severity, ..Fault::new(self.code, at, message) }
    }
}

/// The spot of a block's name in the file.
fn block_spot(block: usize) -> FaultSpot {
    let top = LazyPath::FILE;
    let blocks = top.field("blocks");
    let block = blocks.item(block);
    block.field("name").value()
}
