//! What a session comes to when it is laid out: findings that no single value of the file shows.
//!
//! One rule a file. Findings are [`Fault`]s, placed by the path of the value that can be changed.

pub mod advice;
mod allow;
mod finding;
mod kit;
mod mind;
pub mod past;
pub mod recovery;
mod reps;
pub mod sight;
mod slot;

pub use finding::{Finding, findings};
pub use kit::short_of;
pub use past::{Past, PastClass, Worked};
use sight::Sight;

use crate::schedule::Schedule;
use crate::session::fault::{Code, Fault, Here, Severity, Spot};

/// What a rule that is no advice looks for: it cannot be allowed, since the class would not be what the file says.
pub struct About {
    pub code: Code,
    pub severity: Severity,
    /// Who says so.
    pub source: &'static str,
    /// What it looks for and why, in a sentence or two.
    pub explain: &'static str,
}

/// Every such rule.
pub const ABOUT: &[About] =
    &[slot::ABOUT, reps::TEMPO, reps::SIDES, kit::MISSING, kit::ONE_WEIGHT, mind::ABOUT, recovery::ABOUT];

/// Holds a schedule to every rule.
pub fn check(schedule: &Schedule) -> Vec<Fault> {
    let mut found = Vec::new();
    slot::check(schedule, &mut found);
    reps::check(schedule, &mut found);
    kit::check(&schedule.session, &mut found);
    mind::check(&schedule.session, &mut found);
    found
}

/// What a coach may want to think over beside that: advice, what has to rest after the classes before it, and whether
/// the screen can be read, where it is known who reads it from where. What the session allows is marked so, and an
/// allowance that allows nothing is told.
pub fn advised(schedule: &Schedule, past: &Past, sight: Option<&Sight>) -> Vec<Fault> {
    let mut found = advice::advise_after(schedule, past);
    found.extend(sight.into_iter().flat_map(advice::advise_screen));
    recovery::check(schedule, past, &mut found);
    let idle = allow::allow(&schedule.session, &mut found);
    found.extend(idle);
    found
}

/// A station of the file; None for its own value, else one of its fields.
fn station_spot(block: usize, station: usize, field: Option<&'static str>) -> Spot {
    let top = Here::FILE;
    let blocks = top.field("blocks");
    let block = blocks.item(block);
    let stations = block.field("stations");
    let station = stations.item(station);
    field.map_or_else(|| station.value(), |field| station.field(field).value())
}
