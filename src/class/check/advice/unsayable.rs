//! There is time to say what comes next before it begins.

use std::collections::HashSet;

use super::{AdviceRule, RuleFunction};
use crate::check::station_spot;
use crate::cue::{CueOutcome, SpeechSettings, UnsaidReason, plan_cues};
use crate::schedule::{Activity, CueKind, Schedule};
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::Tick;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::CueTooLong,
    severity: Severity::Info,
    source: "our estimate of how long a text takes to say",
    explain: "The cue that must be said before a station (its name and what changes) takes longer than the time there is, even in its shortest wording: the class is not told what comes next.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let mut told = HashSet::new();
    for cue in plan_cues(schedule, Tick::ZERO, &SpeechSettings::default()) {
        // Tones and calls do not move: a cue that does not fit between them stays unsaid.
        let unsaid = matches!(
            cue.outcome,
            CueOutcome::LeftUnsaid(UnsaidReason::NoRoom | UnsaidReason::Tone(_) | UnsaidReason::Call(_))
        );
        let must = cue.rank == 0 && cue.kind == CueKind::Next;
        let Some(next) = schedule.work_from(cue.span + 1).filter(|_| must && unsaid) else { continue };
        let span = &schedule.spans[next];
        let Activity::Station(index) = span.activity else { continue };
        if told.insert((span.block, index)) {
            let name = &schedule.session.blocks[span.block].stations[index].movement.name;
            let message = format!("no time to say the cue before {name}: \"{}\"", cue.text);
            let fault = RULE.finding(station_spot(span.block, index, None), message);
            found.push(fault.help("add a rest before it, lengthen the work, or give a shorter name with said:"));
        }
    }
}
