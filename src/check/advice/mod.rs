//! What a coach may want to think over: how the work is spread, what the changes cost. Nothing here keeps a class from
//! being led, so only the command `check` asks.
//!
//! One rule a file, each with its source.

mod ends;
mod floor;
mod holds;
mod kit_order;
mod pause;
mod push_pull;
mod settle;
mod tiers;

pub use kit_order::{Stop, fewest_changes};

use crate::schedule::Schedule;
use crate::session::fault::{Code, Fault, Here, Severity, Spot};

/// Where a rule comes from when nobody has written it down.
const COMMON: &str = "common practice, no source";

/// A rule of advice.
pub struct Rule {
    pub code: Code,
    pub severity: Severity,
    /// Who says so.
    pub source: &'static str,
    /// What it looks for and why, in a sentence or two.
    pub explain: &'static str,
    find: fn(&Schedule, &mut Vec<Fault>),
}

/// Every rule of advice.
pub const RULES: &[Rule] = &[
    ends::WARM_UP,
    ends::COOL_DOWN,
    settle::RULE,
    push_pull::RULE,
    holds::RULE,
    pause::RULE,
    floor::RULE,
    tiers::EASIER,
    tiers::HARDER,
    kit_order::RULE,
];

/// Holds a schedule to every rule of advice.
pub fn advise(schedule: &Schedule) -> Vec<Fault> {
    let mut found = Vec::new();
    for rule in RULES {
        (rule.find)(schedule, &mut found);
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
