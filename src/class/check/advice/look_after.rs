//! Anyone who looks after a region is not on alternatives for too many stations in a row.

use crate::cue::region_words;
use std::collections::HashSet;

use super::{AdviceRule, COMMON, RuleFunction};
use crate::check::station_spot;
use crate::movement::Region;
use crate::schedule::{Activity, Schedule, SpanPurpose};
use crate::session::fault::{Fault, FaultCode, Severity};

/// This many stations in a row are too many.
const RUN: usize = 3;

/// The regions for which a run of stations is a burden: lying on the back, arms overhead, on the hands, jumps, head
/// down.
const REGIONS: [Region; 5] = [Region::Supine, Region::Overhead, Region::Wrist, Region::Impact, Region::HeadDown];

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::LookAfterRun,
    severity: Severity::Info,
    source: COMMON,
    explain: "Three or more stations in a row need an alternative for a region that the session looks after (lying on the back, overhead, on the hands, jumps, head down): the same person does something else all the time. Only regions in `look_after` are checked.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for region in REGIONS.into_iter().filter(|region| schedule.session.look_after.contains(region)) {
        let mut run: Vec<(usize, usize)> = Vec::new();
        let mut told = HashSet::new();
        for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
            let (Activity::Station(index), Some(station)) = (span.activity, schedule.station_of(span)) else {
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
                    "three stations in a row need an alternative for {}: {}",
                    region_words(region),
                    names.join(", ")
                );
                let fault = RULE.finding(station_spot(run[0].0, run[0].1, None), message);
                found.push(fault.help("put a station between that needs no alternative"));
            }
        }
    }
}
