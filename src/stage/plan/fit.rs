//! Edits of lengths that make the class end with its slot.

use std::collections::BTreeMap;

use super::PlanRow;
use super::edits::{has, length_value};
use class::change::Course;
use class::schedule::{Activity, Schedule, SpanPurpose};
use class::session::edit::SessionEdit;
use class::session::tree::FileTree;
use class::session::{BlockFormat, WorkAmount};
use class::time::Tick;

/// The edits that fit a class into its slot, as a fit before the first tick of the class would. Empty if nothing has to
/// change or the session has no slot.
pub(super) fn fitted(text: &str, schedule: &Schedule) -> Vec<SessionEdit> {
    let Some(slot) = schedule.session.slot else { return vec![] };
    let fit = Course::new(schedule.clone()).fit(Tick::ZERO, slot);
    let Some(root) = FileTree::read(text).and_then(|tree| tree.root) else { return vec![] };
    let wanted = wanted(schedule, fit.course.schedule());
    let mut edits = Vec::new();
    for (block, planned) in schedule.session.blocks.iter().enumerate() {
        for field in ["work", "reps", "rest"] {
            let new: BTreeMap<usize, &String> = (0..planned.stations.len())
                .filter_map(|station| Some((station, wanted.get(&(PlanRow::Station(block, station), field))?)))
                .collect();
            let own = |station: usize| has(&root, PlanRow::Station(block, station), field);
            let mut by_block = (0..planned.stations.len()).filter(|station| !own(*station)).map(|s| new.get(&s));
            let first = by_block.next().flatten();
            // A value that the block gives to all of its stations is changed in the block.
            let alike = has(&root, PlanRow::Block(block), field)
                && first.is_some()
                && by_block.all(|other| other == first.as_ref().map(|v| *v));
            if let (true, Some(value)) = (alike, first) {
                edits.push(SessionEdit::Set { record: PlanRow::Block(block).path(), field, value: (*value).clone() });
            }
            for (station, value) in &new {
                if own(*station) || !alike {
                    let record = PlanRow::Station(block, *station).path();
                    edits.push(SessionEdit::Set { record, field, value: (*value).clone() });
                }
            }
        }
        for field in ["work", "rest", "round_rest", "rest_after"] {
            if let Some(value) = wanted.get(&(PlanRow::Block(block), field)) {
                edits.push(SessionEdit::Set { record: PlanRow::Block(block).path(), field, value: value.clone() });
            }
        }
    }
    edits
}

/// The values that differ, by row and field. For a station that is done more than once, the first time counts.
fn wanted(planned: &Schedule, fitted: &Schedule) -> BTreeMap<(PlanRow, &'static str), String> {
    let mut wanted = BTreeMap::new();
    let mut last = None;
    for (was, is) in planned.spans.iter().zip(&fitted.spans) {
        let block = &planned.session.blocks[was.block];
        if let (SpanPurpose::Work, Activity::Station(station)) = (was.purpose, was.activity) {
            last = Some(station);
        }
        let place = match (was.purpose, was.activity, &block.format) {
            // These formats contain their lengths, as one number for the whole block.
            (
                SpanPurpose::Work,
                _,
                BlockFormat::Ladder { .. } | BlockFormat::Amrap { .. } | BlockFormat::Emom { .. },
            ) => None,
            (SpanPurpose::Work | SpanPurpose::Rest, _, BlockFormat::Rotation) => {
                Some((PlanRow::Block(was.block), if was.purpose == SpanPurpose::Work { "work" } else { "rest" }))
            }
            (SpanPurpose::Work, Activity::Station(station), _) => match block.stations[station].work {
                WorkAmount::Time(_) => Some((PlanRow::Station(was.block, station), "work")),
                WorkAmount::Reps(_) => Some((PlanRow::Station(was.block, station), "reps")),
            },
            (SpanPurpose::Rest, ..) => last.map(|station| (PlanRow::Station(was.block, station), "rest")),
            (SpanPurpose::RoundRest, ..) => Some((PlanRow::Block(was.block), "round_rest")),
            (SpanPurpose::BlockRest, ..) => Some((PlanRow::Block(was.block), "rest_after")),
            _ => None,
        };
        let Some(place) = place.filter(|_| was.length() != is.length()) else { continue };
        let value = match (place.1, is.reps) {
            ("reps", Some(reps)) => reps.to_string(),
            ("reps", None) => continue,
            _ => length_value(is.length()),
        };
        wanted.entry(place).or_insert(value);
    }
    wanted
}
