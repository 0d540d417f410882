//! Whoever minds a region is not left without the class's work for long.

use std::collections::HashSet;

use super::{COMMON, Find, Rule};
use crate::check::station_spot;
use crate::movement::Region;
use crate::schedule::{Doing, Purpose, Schedule};
use crate::session::fault::{Code, Fault, Severity};

/// So many stations running are a run.
const RUN: usize = 3;

/// The regions of which a run of stations is a burden: lying on the back, arms overhead, on the hands, jumps, head down.
const REGIONS: [Region; 5] = [Region::Supine, Region::Overhead, Region::Wrist, Region::Impact, Region::HeadDown];

pub const RULE: Rule = Rule {
    code: Code::MindedRun,
    severity: Severity::Info,
    source: COMMON,
    explain: "Three stations running or more want care for a region that somebody in the class minds (lying on the back, overhead, on the hands, jumps, head down): that person does something else all the time. Only regions in mind are looked at.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for region in REGIONS.into_iter().filter(|region| schedule.session.mind.contains(region)) {
        let mut run: Vec<(usize, usize)> = Vec::new();
        let mut told = HashSet::new();
        for span in schedule.spans.iter().filter(|span| span.purpose == Purpose::Work) {
            let (Doing::Station(index), Some(station)) = (span.doing, schedule.station_of(span)) else {
                run.clear();
                continue;
            };
            if !station.movement.cautions.iter().any(|caution| caution.region == region) {
                run.clear();
                continue;
            }
            let here = (span.block, index);
            if run.last() != Some(&here) {
                run.push(here);
            }
            if run.len() == RUN && told.insert(run[0]) {
                let name = |&(block, index): &(usize, usize)| {
                    schedule.session.blocks[block].stations[index].movement.name.clone()
                };
                let names: Vec<String> = run.iter().map(name).collect();
                let message = format!(
                    "who minds {} does something else three times running: {}",
                    region.words(),
                    names.join(", ")
                );
                let fault = RULE.found(station_spot(run[0].0, run[0].1, None), message);
                found.push(fault.help("put a station between that asks nothing of it"));
            }
        }
    }
}
