//! The kit that stations ask for is there, where the session says what there is.

use std::collections::HashSet;

use super::{About, station_spot};
use crate::movement::KitNeed;
use crate::session::fault::{Code, Fault, Here, Severity};
use crate::session::{Amount, Block, Format, KitOwned, Session};

pub(super) const MISSING: About = About {
    code: Code::KitMissing,
    severity: Severity::Warning,
    source: "the session's own kit and people",
    explain: "A station asks for kit that is not in the session's kit, not in that load, or not enough for all who use it at once; in a rotation that is one group. A session that names no kit is not asked.",
};

pub(super) const ONE_WEIGHT: About = About {
    code: Code::OneWeight,
    severity: Severity::Fault,
    source: "the session's own one_weight: true",
    explain: "Everybody has one weight, a station asks for two, and it has no variant: with the way to do it with one.",
};

/// Adds a warning for each need of a block that is not met, at the first station that has it.
pub fn check(session: &Session, found: &mut Vec<Fault>) {
    if session.kit.is_empty() {
        return;
    }
    for (block_index, block) in session.blocks.iter().enumerate() {
        let mut told: HashSet<&KitNeed> = HashSet::new();
        for (index, station) in block.stations.iter().enumerate() {
            for need in &station.kit {
                let Some(short) = short_of(need, &session.kit, at_once(session, block)) else { continue };
                if told.insert(need) {
                    let message = format!("{} needs {}, {short}", station.movement.name, words(need));
                    let at = station_spot(block_index, index, Some("kit"));
                    let fault = Fault::warning(Code::KitMissing, at, message)
                        .help("add it to the session's kit, ask for another load, or choose another movement");
                    found.push(fault.beside(Here::FILE.field("kit").value(), "what there is"));
                }
            }
        }
    }
}

/// How many people need the kit of a station at once: in a rotation a group, else everybody.
fn at_once(session: &Session, block: &Block) -> u64 {
    let people = u64::from(session.people.unwrap_or(1));
    match block.format {
        Format::Rotation => people.div_ceil(block.stations.len().max(1) as u64),
        _ => people,
    }
}

/// How a need is not met for so many people at once; None where it is.
pub fn short_of(need: &KitNeed, kit: &[KitOwned], at_once: u64) -> Option<String> {
    let of_item = || kit.iter().filter(|owned| owned.item == need.item);
    if of_item().next().is_none() {
        return Some("and none is in the session's kit".to_owned());
    }
    // Kit without a word for its load may be of any load.
    let fits = |owned: &&KitOwned| need.load.is_none() || owned.load.is_none() || owned.load == need.load;
    if !of_item().any(|owned| fits(&owned)) {
        return Some("and none of that load is in the session's kit".to_owned());
    }
    let (mut each, mut shared) = (0u64, 0u64);
    for owned in of_item().filter(fits) {
        match owned.amount {
            Amount::Each(count) => each += u64::from(count),
            Amount::Shared(count) => shared += u64::from(count),
        }
    }
    let (asked, there) = (u64::from(need.count) * at_once, each * at_once + shared);
    (asked > there).then(|| format!("{asked} for {at_once} people, and there are {there}"))
}

/// A need as people say it.
fn words(need: &KitNeed) -> String {
    let load = need.load.map(|load| format!(" ({})", load.words())).unwrap_or_default();
    format!("{} x {}{load}", need.count, need.item)
}
