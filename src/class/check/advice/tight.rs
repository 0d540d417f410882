//! A transition whose length is written in the file is long enough.

use std::collections::HashSet;

use super::{AdviceRule, RuleFunction, block_spot};
use crate::check::station_spot;
use crate::schedule::{Activity, Schedule, SpanPurpose};
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, spoken_length};

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::TightTransition,
    severity: Severity::Warning,
    source: "our estimate of how long a changeover takes, or your own times once five or more are recorded",
    explain: "A block sets the length of its transitions, and a change of kit, position or place in it needs longer: people are late for the work. A block that starts on your key gives people all the time they need.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let mut told = HashSet::new();
    let mut work_ended: Option<Tick> = None;
    let mut waits = false;
    for span in &schedule.spans {
        waits |= span.gate;
        if span.purpose != SpanPurpose::Work {
            continue;
        }
        let waited = std::mem::take(&mut waits);
        let Some(from) = work_ended.replace(span.end) else { continue };
        let (time, needs) = (span.work_start().saturating_sub(from), span.change.needs);
        if waited || needs <= time || !told.insert((span.block, span.activity)) {
            continue;
        }
        let (at, what) = match span.activity {
            Activity::Station(index) => {
                let station = &schedule.session.blocks[span.block].stations[index];
                (station_spot(span.block, index, None), station.movement.name.as_str())
            }
            _ => (block_spot(span.block), "the next station"),
        };
        let message =
            format!("getting to {what} needs {}, but only {} is planned", spoken_length(needs), spoken_length(time));
        let help = format!("set transitions: added, or at least transitions: \"{}\"", spoken_length(needs));
        found.push(RULE.finding(at, message).help(help));
    }
}
