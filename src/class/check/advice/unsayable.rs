//! What comes next can be said in the time there is before it.

use std::collections::HashSet;

use super::{Find, Rule};
use crate::check::station_spot;
use crate::cue::{Fate, Reason, Voicing, plan_cues};
use crate::schedule::{CueKind, Doing, Schedule};
use crate::session::fault::{Code, Fault, Severity};
use crate::time::Tick;

pub const RULE: Rule = Rule {
    code: Code::CueTooLong,
    severity: Severity::Info,
    source: "our estimate of how long a text takes to say",
    explain: "What must be said before a station, its name and what changes, takes longer to say than there is time for, even in its shortest wording: the class is not told.",
    find: Find::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let mut told = HashSet::new();
    for cue in plan_cues(schedule, Tick::ZERO, &Voicing::default()) {
        // Tones and calls stand where they stand: what does not fit between them has no room either.
        let unsaid = matches!(cue.fate, Fate::Unsaid(Reason::NoRoom | Reason::Tone(_) | Reason::Call(_)));
        let must = cue.rank == 0 && cue.kind == CueKind::Next;
        let Some(next) = schedule.work_from(cue.span + 1).filter(|_| must && unsaid) else { continue };
        let span = &schedule.spans[next];
        let Doing::Station(index) = span.doing else { continue };
        if told.insert((span.block, index)) {
            let name = &schedule.session.blocks[span.block].stations[index].movement.name;
            let message = format!("there is no time to say what comes before {name}: \"{}\"", cue.text);
            let fault = RULE.found(station_spot(span.block, index, None), message);
            found.push(fault.help("a rest before it, longer work, or a shorter name with said:"));
        }
    }
}
