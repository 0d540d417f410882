//! What a rehearsal has shown: each transition as planned and as measured.

use super::{Boundary, Settings};
use class::cue::changeover_words;
use class::schedule::{Schedule, Transition};
use class::session::block_letter;
use class::time::Tick;

/// One transition of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Where it is: `B2 → B3`, with the round where there are several.
    pub place: String,
    /// The movement that it leads to.
    pub to: String,
    /// What changes; empty when only the movement does.
    pub change: String,
    pub kind: Transition,
    pub given: Tick,
    /// By the plan.
    pub needs: Tick,
    /// What was measured last; None where nothing was.
    pub took: Option<Tick>,
    /// That, for a group.
    pub group: Option<Tick>,
    /// The coach marked it.
    pub marked: bool,
}

impl Row {
    /// Whether the class is given less than it needs: as measured, or by the plan where nothing was measured.
    pub fn is_tight(&self) -> bool {
        self.marked || self.group.unwrap_or(self.needs) > self.given
    }
}

/// What was measured and marked at a boundary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Found {
    pub took: Option<Tick>,
    pub marked: bool,
}

/// The table of some boundaries with what was found at each.
pub fn table(schedule: &Schedule, boundaries: &[Boundary], found: &[Found], settings: &Settings) -> Vec<Row> {
    let row = |(boundary, found): (&Boundary, &Found)| {
        let after = &schedule.spans[boundary.after];
        Row {
            place: format!("{} → {}", place(schedule, boundary.before), place(schedule, boundary.after)),
            to: name(schedule, boundary.after),
            change: changeover_words(&after.change),
            kind: boundary.kind,
            given: boundary.given,
            needs: boundary.needs,
            took: found.took,
            group: found.took.map(|took| settings.of_group(took)),
            marked: found.marked,
        }
    };
    boundaries.iter().zip(found).map(row).collect()
}

/// Where a work span is: its block's letter and station, and the round where there are several.
pub(super) fn place(schedule: &Schedule, span: usize) -> String {
    use class::schedule::Doing;
    let span = &schedule.spans[span];
    let letter = block_letter(span.block);
    let at = match span.doing {
        Doing::Station(index) | Doing::Turn(index) => format!("{letter}{}", index + 1),
        Doing::AllAtOwnPace | Doing::Nothing => letter,
    };
    if schedule.block_of(span).passes() > 1 { format!("{at}/{}", span.round + 1) } else { at }
}

/// What is done in a work span, as printed.
pub(super) fn name(schedule: &Schedule, span: usize) -> String {
    let span = &schedule.spans[span];
    schedule
        .station_of(span)
        .map_or_else(|| schedule.block_of(span).name.clone(), |station| station.movement.name.clone())
}
