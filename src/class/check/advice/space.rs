//! Everybody has enough floor.
//!
//! Source: an answer of the International Health, Racquet & Sportsclub Association (IHRSA), 2010: 25 to 45 square feet
//! for each person, 45 typical in a group class.

use super::{AdviceRule, RuleFunction};
use crate::schedule::Schedule;
use crate::session::fault::{Fault, FaultCode, LazyPath, Severity};

/// A square foot in square millimetres, rounded: 304.8 mm squared.
const SQUARE_FOOT: u64 = 92_903;
/// Square feet for each person: the least, and the usual.
const LEAST: u64 = 25;
const USUAL: u64 = 45;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::LittleSpace,
    severity: Severity::Warning,
    source: "IHRSA 2010: 25 to 45 square feet (2.3 to 4.2 square metres) for each person, 45 typical in a group class",
    explain: "The session's clear floor gives each person less than 25 square feet, 2.3 square metres (a warning), or less than 45, 4.2 square metres (a hint). Checked only if the session has `floor` and `people`. Local rules come first.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let session = &schedule.session;
    let (Some(floor), Some(people)) = (session.floor, session.people) else { return };
    let there = u64::from(floor) * 1_000_000;
    let needs = |feet: u64| u64::from(people) * feet * SQUARE_FOOT;
    if there >= needs(USUAL) {
        return;
    }
    let severity = if there < needs(LEAST) { Severity::Warning } else { Severity::Info };
    let each = there / u64::from(people.max(1)) / 100_000;
    let message = format!("{people} people have {}.{} square metres each", each / 10, each % 10);
    let usual = needs(USUAL).div_ceil(1_000_000);
    let fault = RULE.finding(LazyPath::FILE.field("floor").value(), message);
    found.push(Fault { severity, ..fault }.help(format!(
        "{usual} square metres are usual for {people}: let groups take turns, or use movements on the spot"
    )));
}
