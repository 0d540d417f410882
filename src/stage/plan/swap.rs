//! Swapping the movement of one station for a similar one; all other stations stay.

use super::editor::PlanEditor;
use super::edits;
use super::rows::PlanRow;
use class::compose::{StationPlace, similar::similar_movements};
use class::session::fault::Severity;
use class::session_draft::SessionDraft;
use class::words::{WORDS, fill};

impl PlanEditor<'_> {
    /// Swaps in the best similar movement that adds no warning. Movements that this station has had since the coach
    /// came to this station are left out, so pressing the key again gives the next one.
    pub(super) fn swap(&mut self) {
        let row = self.row();
        let (PlanRow::Station(block, station), Some(here)) = (row, self.station()) else {
            self.message = Some(WORDS.plan.messages.not_here.clone());
            return;
        };
        let before = here.movement.clone();
        let mut stood = match self.swapped_at.take() {
            Some((place, stood)) if place == row && stood.contains(&before.id) => stood,
            _ => vec![before.id.clone()],
        };
        let warned = |draft: &SessionDraft| {
            self.faults(draft)
                .iter()
                .filter(|fault| fault.allowed.is_none() && fault.severity <= Severity::Warning)
                .count()
        };
        let now = warned(&self.draft);
        let next = similar_movements(&self.schedule().session, self.catalogue, StationPlace { block, station })
            .into_iter()
            .find(|movement| {
                let edits = edits::replaced(self.draft.text(), row, &movement.id);
                !stood.contains(&movement.id) && self.draft.with(&edits).is_ok_and(|new| warned(&new) <= now)
            });
        let words = &WORDS.plan.messages;
        let Some(next) = next else {
            self.message = Some(words.no_swap.clone());
            return;
        };
        let edits = edits::replaced(self.draft.text(), row, &next.id);
        if self.change(&edits, Some(row)) {
            stood.push(next.id.clone());
            self.swapped_at = Some((row, stood));
            self.message = Some(fill(&words.swapped, &[("now", &next.name), ("before", &before.name)]));
        }
    }
}
