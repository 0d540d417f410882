//! Checks of a compiled session: findings that no single value of the file shows.
//!
//! Most files hold one rule. A finding is a [`Fault`] at the path of the value that the coach can change.

pub mod advice;
mod allow;
mod finding;
mod kit;
mod look_after;
pub mod past;
pub mod recovery;
mod reps;
pub mod sight;
mod slot;

pub use finding::{Finding, findings};
pub use kit::shortage;
pub use past::{PastClass, PastClasses, PastWork};
use sight::ViewingConditions;

use crate::schedule::Schedule;
use crate::session::fault::{Fault, FaultCode, FaultSpot, LazyPath, Severity};

/// A rule that is not advice. It cannot be allowed, because the class would then not be what the file says.
pub struct CheckRule {
    pub code: FaultCode,
    pub severity: Severity,
    /// Where the rule comes from.
    pub source: &'static str,
    /// What the rule looks for and why, in one or two sentences.
    pub explain: &'static str,
}

/// All rules that are not advice.
pub const ABOUT: &[CheckRule] =
    &[slot::ABOUT, reps::TEMPO, reps::SIDES, kit::MISSING, kit::ONE_WEIGHT, look_after::ABOUT, recovery::ABOUT];

/// Checks a schedule against all rules that look only at the class.
pub fn check(schedule: &Schedule) -> Vec<Fault> {
    let mut found = Vec::new();
    slot::check(schedule, &mut found);
    reps::check(schedule, &mut found);
    kit::check(&schedule.session, &mut found);
    look_after::check(&schedule.session, &mut found);
    found
}

/// Further findings for a coach who plans a class: advice, muscles that need rest after earlier classes and, when
/// `sight` is given, whether the screen can be read. Findings that the session allows are marked as allowed. Each
/// allowance that allows nothing adds a finding.
pub fn advised(schedule: &Schedule, past: &PastClasses, sight: Option<&ViewingConditions>) -> Vec<Fault> {
    let mut found = advice::advise_after(schedule, past);
    found.extend(sight.into_iter().flat_map(advice::advise_screen));
    recovery::check(schedule, past, &mut found);
    let idle = allow::allow(&schedule.session, &mut found);
    found.extend(idle);
    found
}

/// The spot of a station in the file, or of one of its fields.
fn station_spot(block: usize, station: usize, field: Option<&'static str>) -> FaultSpot {
    let top = LazyPath::FILE;
    let blocks = top.field("blocks");
    let block = blocks.item(block);
    let stations = block.field("stations");
    let station = stations.item(station);
    field.map_or_else(|| station.value(), |field| station.field(field).value())
}
