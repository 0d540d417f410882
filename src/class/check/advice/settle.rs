//! Getting ready does not take too much of the work.

use std::collections::HashSet;

use super::{AdviceRule, RuleFunction};
use crate::check::station_spot;
use crate::schedule::{Activity, Schedule, SpanPurpose};
use crate::session::BlockKind;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::spoken_length;

/// The most of a span that may go into settle, in percent. Our estimate.
const MOST: u64 = 20;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::MuchSettle,
    severity: Severity::Warning,
    source: "our estimate: at most 20 % of the span",
    explain: "More than a fifth of a work span in a main block goes into changing kit, position or place: people work less than planned, and slow people least of all.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let mut told = HashSet::new();
    for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
        let Activity::Station(index) = span.activity else { continue };
        // The exact work time does not matter in a warm-up or a cool-down.
        let main = schedule.block_of(span).kind == BlockKind::Main;
        if !main || span.settle.0 * 100 <= span.length().0 * MOST || !told.insert((span.block, index)) {
            continue;
        }
        let name = &schedule.session.blocks[span.block].stations[index].movement.name;
        let (settle, length) = (spoken_length(span.settle), spoken_length(span.length()));
        let message = format!("getting ready for {name} takes {settle} of its {length}");
        let fault = RULE.finding(station_spot(span.block, index, None), message);
        found.push(fault.help("lengthen the work or the rest before it, or set transitions: added"));
    }
}
