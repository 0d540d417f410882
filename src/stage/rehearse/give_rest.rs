//! More or less rest at a boundary, as an edit of the session file.

use super::Boundary;
use class::schedule::{Doing, Schedule};
use class::session::edit::Edit;
use class::session::fault::{Path, Step};
use class::session::{Format, Session};
use class::time::{Tick, spoken_length};

/// The edit that changes the rest at a boundary by `by` milliseconds. None if the format has no rest there, or if the
/// rest would be less than zero.
pub fn rest_edit(schedule: &Schedule, boundary: &Boundary, by: i64) -> Option<Edit> {
    let (before, after) = (&schedule.spans[boundary.before], &schedule.spans[boundary.after]);
    let session: &Session = &schedule.session;
    let block = &session.blocks[before.block];
    let block_path = vec![Step::Field("blocks"), Step::Item(before.block)];
    let of_station = |station: usize| {
        let path = [block_path.clone(), vec![Step::Field("stations"), Step::Item(station)]].concat();
        (path, "rest", block.stations[station].rest)
    };
    let (path, field, now) = if before.block != after.block {
        (block_path, "rest_after", block.rest_after)
    } else {
        match (&block.format, before.doing, before.round == after.round) {
            (Format::Emom { .. }, ..) => return None,
            (Format::Sets, Doing::Station(station), _) if before.doing != after.doing => of_station(station),
            (Format::Rotation, _, true) => {
                let rest = block.stations.iter().map(|station| station.rest).max()?;
                (block_path, "rest", rest)
            }
            (_, Doing::Station(station), true) => of_station(station),
            // Between two rounds of an interval block, the rest still belongs to the station.
            (Format::Intervals { .. }, Doing::Station(station), false) => of_station(station),
            _ => (block_path, "round_rest", block.round_rest),
        }
    };
    let rest = Tick(now.0.checked_add_signed(by)?);
    Some(Edit::Set { record: Path(path), field, value: format!("\"{}\"", spoken_length(rest)) })
}
