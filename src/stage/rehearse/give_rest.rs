//! More or less rest at a boundary, as an edit of the session file.

use super::Boundary;
use class::schedule::{Activity, Schedule};
use class::session::edit::SessionEdit;
use class::session::fault::{PathStep, ValuePath};
use class::session::{BlockFormat, Session};
use class::time::{Tick, spoken_length};

/// The edit that changes the rest at a boundary by `by` milliseconds. None if the format has no rest there, or if the
/// rest would be less than zero.
pub(super) fn rest_edit(schedule: &Schedule, boundary: &Boundary, by: i64) -> Option<SessionEdit> {
    let (before, after) = (&schedule.spans[boundary.before], &schedule.spans[boundary.after]);
    let session: &Session = &schedule.session;
    let block = &session.blocks[before.block];
    let block_path = vec![PathStep::Field("blocks"), PathStep::Item(before.block)];
    let of_station = |station: usize| {
        let path = [block_path.clone(), vec![PathStep::Field("stations"), PathStep::Item(station)]].concat();
        (path, "rest", block.stations[station].rest)
    };
    let (path, field, now) = if before.block != after.block {
        (block_path, "rest_after", block.rest_after)
    } else {
        match (&block.format, before.activity, before.round == after.round) {
            (BlockFormat::Emom { .. }, ..) => return None,
            (BlockFormat::Sets, Activity::Station(station), _) if before.activity != after.activity => {
                of_station(station)
            }
            (BlockFormat::Rotation, _, true) => {
                let rest = block.stations.iter().map(|station| station.rest).max()?;
                (block_path, "rest", rest)
            }
            (_, Activity::Station(station), true) => of_station(station),
            // Between two rounds of an interval block, the rest still belongs to the station.
            (BlockFormat::Intervals { .. }, Activity::Station(station), false) => of_station(station),
            _ => (block_path, "round_rest", block.round_rest),
        }
    };
    let rest = Tick(now.0.checked_add_signed(by)?);
    Some(SessionEdit::Set { record: ValuePath(path), field, value: format!("\"{}\"", spoken_length(rest)) })
}
