//! Strength work has long enough rests.
//!
//! Source: ACSM position stand 2009, Med Sci Sports Exerc 41:687: rests of at least 2 to 3 min after core lifts, 1 to 2
//! min after assistance lifts.

use std::collections::{HashMap, HashSet};

use super::{AdviceRule, RuleFunction};
use crate::check::station_spot;
use crate::movement::{Movement, Muscle, Pattern};
use crate::schedule::{Activity, Schedule, SpanPurpose, WorkingSide};
use crate::session::BlockAim;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, spoken_length};

/// The least rest after a movement of several joints, and after a movement of one joint.
const CORE: Tick = Tick::seconds(120);
const ASSISTANCE: Tick = Tick::seconds(60);

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::ShortRest,
    severity: Severity::Warning,
    source: "ACSM position stand 2009 (Med Sci Sports Exerc 41:687): rest 2 to 3 min after core lifts, 1 to 2 min after others",
    explain: "A block with aim: strength loads a muscle again too soon: less than 2 min after a squat, a hinge, a lunge, or a press or row that moves elbow and shoulder; less than 1 min after other movements. Work for other muscles counts as rest. Blocks without that aim are not checked.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    // For each muscle and side: when it was last worked, and the rest that this needs.
    let mut worked: HashMap<(Muscle, bool), (Tick, Tick)> = HashMap::new();
    let mut told = HashSet::new();
    for span in &schedule.spans {
        let strength = schedule.block_of(span).aim == Some(BlockAim::Strength) && span.purpose == SpanPurpose::Work;
        let (Activity::Station(index), Some(station)) = (span.activity, schedule.station_of(span).filter(|_| strength))
        else {
            continue;
        };
        let movement = &station.movement;
        if !movement.loaded {
            continue;
        }
        let sides: &[bool] = match span.side {
            WorkingSide::Left => &[false],
            WorkingSide::Right => &[true],
            _ => &[false, true],
        };
        let keys = || movement.prime.iter().flat_map(|&muscle| sides.iter().map(move |&side| (muscle, side)));
        // Only planned time counts as rest: a pause of the class is not planned.
        let short = keys().filter_map(|key| {
            let (ended, needs) = worked.get(&key).copied()?;
            let rest = span.work_start().saturating_sub(ended);
            (rest < needs).then_some((rest, needs))
        });
        if let Some((rest, needs)) = short.min()
            && told.insert((span.block, index))
        {
            let message = format!(
                "{} loads the same muscles again after {} of rest; strength needs at least {}",
                movement.name,
                spoken_length(rest),
                spoken_length(needs)
            );
            let fault = RULE.finding(station_spot(span.block, index, None), message);
            found.push(fault.help("lengthen the rest, put a station for other muscles between, or drop aim: strength"));
        }
        let needs = if is_core(movement) { CORE } else { ASSISTANCE };
        worked.extend(keys().map(|key| (key, (span.end, needs))));
    }
}

/// Whether a movement moves several joints under load.
fn is_core(movement: &Movement) -> bool {
    use Muscle::*;
    let has =
        |muscles: &[Muscle]| movement.prime.iter().chain(&movement.helping).any(|muscle| muscles.contains(muscle));
    match movement.pattern {
        Pattern::Hinge | Pattern::Squat | Pattern::Lunge => true,
        Pattern::Push | Pattern::Pull => has(&[Chest, Shoulders, Lats, MiddleBack]) && has(&[Biceps, Triceps]),
        _ => false,
    }
}
