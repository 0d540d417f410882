//! Whoever minds a region has something else to do.

use super::{About, station_spot};
use crate::movement::Instead;
use crate::session::Session;
use crate::session::fault::{Code, Fault, Severity};

pub(super) const ABOUT: About = About {
    code: Code::MindedRegion,
    severity: Severity::Warning,
    source: super::advice::COMMON,
    explain: "Somebody minds a region, and of a station that asks for care there the catalogue knows nothing to do instead but to leave it out.",
};

/// Adds a warning for each station that somebody has to leave out.
pub fn check(session: &Session, found: &mut Vec<Fault>) {
    for (block_index, block) in session.blocks.iter().enumerate() {
        for (index, station) in block.stations.iter().enumerate() {
            for caution in &station.movement.cautions {
                if caution.instead == Instead::LeaveOut && session.mind.contains(&caution.region) {
                    let message = format!(
                        "who minds the {} leaves {} out: there is nothing to do instead",
                        caution.region.words(),
                        station.movement.name
                    );
                    let at = station_spot(block_index, index, None);
                    let fault = Fault::warning(Code::MindedRegion, at, message);
                    found.push(fault.help("choose another movement, or have a word ready for them"));
                }
            }
        }
    }
}
