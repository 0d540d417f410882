//! The session's kit covers what the stations ask for. Checked only when the session lists its kit.

use std::collections::HashSet;

use super::{CheckRule, station_spot};
use crate::movement::NeededKit;
use crate::session::fault::{Fault, FaultCode, LazyPath, Severity};
use crate::session::{Block, BlockFormat, KitAmount, OwnedKit, Session};

pub(super) const MISSING: CheckRule = CheckRule {
    code: FaultCode::KitMissing,
    severity: Severity::Warning,
    source: "the session's own kit and people",
    explain: "A station asks for kit that is not in the session's kit, not in the load it asks for, or not enough for everyone who uses it at once (in a rotation, one group). A session that lists no kit is not checked.",
};

pub(super) const ONE_WEIGHT: CheckRule = CheckRule {
    code: FaultCode::OneWeight,
    severity: Severity::Fault,
    source: "the session's own one_weight: true",
    explain: "The session says that everybody has one weight. A station asks for two and has no `variant:` that says how to do it with one.",
};

/// Adds a warning for each need of a block that is not met, at the first station with that need.
pub(super) fn check(session: &Session, found: &mut Vec<Fault>) {
    if session.kit.is_empty() {
        return;
    }
    for (block_index, block) in session.blocks.iter().enumerate() {
        let mut told: HashSet<&NeededKit> = HashSet::new();
        for (index, station) in block.stations.iter().enumerate() {
            for need in &station.kit {
                let Some(short) = shortage(need, &session.kit, at_once(session, block)) else { continue };
                if told.insert(need) {
                    let message = format!("{} needs {} each: {short}", station.movement.name, words(need));
                    let at = station_spot(block_index, index, Some("kit"));
                    let fault = Fault::warning(FaultCode::KitMissing, at, message)
                        .help("add it to the session's kit, ask for another load, or choose another movement");
                    found.push(fault.related(LazyPath::FILE.field("kit").value(), "the session's kit"));
                }
            }
        }
    }
}

/// How many people need the kit of a station at once: one group in a rotation, otherwise everybody.
fn at_once(session: &Session, block: &Block) -> u64 {
    let people = u64::from(session.people.unwrap_or(1));
    match block.format {
        BlockFormat::Rotation => people.div_ceil(block.stations.len().max(1) as u64),
        _ => people,
    }
}

/// What is missing when `at_once` people have this need at the same time. None when the kit is enough.
pub fn shortage(need: &NeededKit, kit: &[OwnedKit], at_once: u64) -> Option<String> {
    let of_item = || kit.iter().filter(|owned| owned.item == need.item);
    if of_item().next().is_none() {
        return Some("the session's kit has none".to_owned());
    }
    // Kit without a load word may have any load.
    let fits = |owned: &&OwnedKit| need.load.is_none() || owned.load.is_none() || owned.load == need.load;
    if !of_item().any(|owned| fits(&owned)) {
        return Some("the session's kit has none of that load".to_owned());
    }
    let (mut each, mut shared) = (0u64, 0u64);
    for owned in of_item().filter(fits) {
        match owned.amount {
            KitAmount::Each(count) => each += u64::from(count),
            KitAmount::Shared(count) => shared += u64::from(count),
        }
    }
    let (asked, there) = (u64::from(need.count) * at_once, each * at_once + shared);
    (asked > there).then(|| format!("{asked} in use at once, and the session has {there}"))
}

/// A need in words: `1 x kettlebell (heavy)`.
fn words(need: &NeededKit) -> String {
    let load = need.load.map(|load| format!(" ({})", load.words())).unwrap_or_default();
    format!("{} x {}{load}", need.count, need.item)
}
