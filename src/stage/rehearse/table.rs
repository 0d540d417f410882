//! The result of a rehearsal: each changeover as planned and as measured.

use super::{Boundary, RehearsalSettings};
use class::cue::changeover_words;
use class::schedule::{Schedule, TransitionKind};
use class::session::block_letter;
use class::time::Tick;

/// One changeover of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TransitionRow {
    /// Where it is: `B2 → B3`, with the round if there are several.
    pub place: String,
    /// The movement after the changeover.
    pub to: String,
    /// What changes; empty if only the movement does.
    pub change: String,
    pub kind: TransitionKind,
    pub given: Tick,
    /// The time that it needs by the plan.
    pub needs: Tick,
    /// The time measured last. None if it was not measured.
    pub took: Option<Tick>,
    /// The time measured last, as a group would take it.
    pub group: Option<Tick>,
    /// Whether the coach marked it as tight.
    pub marked: bool,
}

impl TransitionRow {
    /// Whether the coach marked it, or the class has less time than it needs: as measured or, if it was not measured,
    /// by the plan.
    pub fn is_tight(&self) -> bool {
        self.marked || self.group.unwrap_or(self.needs) > self.given
    }
}

/// What was measured and marked at a boundary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct BoundaryResult {
    pub took: Option<Tick>,
    pub marked: bool,
}

/// The table of the boundaries, with the result at each.
pub fn table(
    schedule: &Schedule,
    boundaries: &[Boundary],
    found: &[BoundaryResult],
    settings: &RehearsalSettings,
) -> Vec<TransitionRow> {
    let row = |(boundary, found): (&Boundary, &BoundaryResult)| {
        let after = &schedule.spans[boundary.after];
        TransitionRow {
            place: format!("{} → {}", place(schedule, boundary.before), place(schedule, boundary.after)),
            to: name(schedule, boundary.after),
            change: changeover_words(&after.change),
            kind: boundary.kind,
            given: boundary.given,
            needs: boundary.needs,
            took: found.took,
            group: found.took.map(|took| settings.group_time(took)),
            marked: found.marked,
        }
    };
    boundaries.iter().zip(found).map(row).collect()
}

/// Where a work span is: the letter of its block, the number of its station, and the round if there are several.
pub(super) fn place(schedule: &Schedule, span: usize) -> String {
    use class::schedule::Activity;
    let span = &schedule.spans[span];
    let letter = block_letter(span.block);
    let at = match span.activity {
        Activity::Station(index) | Activity::Turn(index) => format!("{letter}{}", index + 1),
        Activity::AllAtOwnPace | Activity::Nothing => letter,
    };
    if schedule.block_of(span).passes() > 1 { format!("{at}/{}", span.round + 1) } else { at }
}

/// The printed name of what is done in a work span.
pub(super) fn name(schedule: &Schedule, span: usize) -> String {
    let span = &schedule.spans[span];
    schedule
        .station_of(span)
        .map_or_else(|| schedule.block_of(span).name.clone(), |station| station.movement.name.clone())
}
