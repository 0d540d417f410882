//! Every station has an alternative for the regions that the session looks after.

use super::{CheckRule, station_spot};
use crate::cue::region_words;
use crate::movement::CautionAlternative;
use crate::session::Session;
use crate::session::fault::{Fault, FaultCode, Severity};

pub(super) const ABOUT: CheckRule = CheckRule {
    code: FaultCode::NoAlternative,
    severity: Severity::Warning,
    source: super::advice::COMMON,
    explain: "The session looks after a region or state, and a station has no alternative for it: anyone concerned has to leave the station out.",
};

/// Adds a warning for each station that somebody would have to leave out.
pub(super) fn check(session: &Session, found: &mut Vec<Fault>) {
    for (block_index, block) in session.blocks.iter().enumerate() {
        for (index, station) in block.stations.iter().enumerate() {
            for caution in &station.movement.cautions {
                if caution.instead == CautionAlternative::LeaveOut && session.look_after.contains(&caution.region) {
                    let message = format!(
                        "{} has no alternative for {}: leaving it out is all that is left",
                        station.movement.name,
                        region_words(caution.region)
                    );
                    let at = station_spot(block_index, index, None);
                    let fault = Fault::warning(FaultCode::NoAlternative, at, message);
                    found.push(fault.help("choose another movement, or plan what that person does instead"));
                }
            }
        }
    }
}
