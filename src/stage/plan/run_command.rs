//! What each key does to the class while the class has the focus.

use super::editor::{PAGE, PlanEditor, PlanFocus, TrialStart};
use super::edits;
use super::finder::FinderPurpose;
use super::fit::fitted;
use super::keys::PlanCommand;
use super::rows::PlanRow;
use crate::runtime::{RunEnding, StepEffect};
use class::session::block_letter;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

impl PlanEditor<'_> {
    pub(super) fn act(&mut self, what: PlanCommand) -> Option<StepEffect> {
        let (row, schedule) = (self.row(), self.draft.schedule());
        match what {
            PlanCommand::Up => self.chosen = self.chosen.saturating_sub(1),
            PlanCommand::Down => self.chosen = (self.chosen + 1).min(self.rows.len().saturating_sub(1)),
            PlanCommand::PageUp => self.chosen = self.chosen.saturating_sub(PAGE),
            PlanCommand::PageDown => self.chosen = (self.chosen + PAGE).min(self.rows.len().saturating_sub(1)),
            PlanCommand::First => self.chosen = 0,
            PlanCommand::Last => self.chosen = self.rows.len().saturating_sub(1),
            PlanCommand::Add => self.open(FinderPurpose::Add),
            PlanCommand::Replace if matches!(row, PlanRow::Station(..)) => self.open(FinderPurpose::Replace),
            PlanCommand::Block => self.open(FinderPurpose::Block),
            PlanCommand::Drop => self.change_one(edits::remove(row)),
            PlanCommand::Earlier | PlanCommand::Later => {
                match edits::shifted(schedule, row, what == PlanCommand::Later) {
                    Some((edit, to)) => {
                        self.change(&[edit], Some(to));
                    }
                    None => self.message = Some(WORDS.plan.messages.at_the_end.clone()),
                }
            }
            PlanCommand::Longer | PlanCommand::Shorter => {
                let steps = if what == PlanCommand::Longer { 1 } else { -1 };
                let edit = edits::longer(self.draft.text(), schedule, row, steps);
                self.change_time(edit, steps < 0);
            }
            PlanCommand::MoreRest => self.change_time(edits::more_rest(schedule, row, 1), false),
            PlanCommand::LessRest => self.change_time(edits::more_rest(schedule, row, -1), true),
            PlanCommand::Rounds(rounds) => self.change_one(edits::rounds(row, rounds)),
            PlanCommand::Name | PlanCommand::Length | PlanCommand::Kit | PlanCommand::Tempo | PlanCommand::People => {
                return self.write(what);
            }
            PlanCommand::Swap => self.swap(),
            PlanCommand::Sides => {
                let edit = self.station().map(|station| edits::other_sides(station, row));
                self.change_one(edit);
            }
            PlanCommand::Easier | PlanCommand::Harder => {
                let Some(station) = self.station() else { return self.say_not_here() };
                let (field, tier) = match what {
                    PlanCommand::Easier => ("easier", &station.easier),
                    _ => ("harder", &station.harder),
                };
                let now = tier.as_ref().map(|tier| tier.what.clone());
                self.type_text(row, field, now);
            }
            PlanCommand::Prompts => {
                let Some(station) = self.station() else { return self.say_not_here() };
                let now = station.prompts.join("; ");
                self.type_text(row, "prompts", Some(now));
            }
            PlanCommand::Note => {
                let Some(block) = row.block() else { return self.say_not_here() };
                let now = schedule.session.blocks[block].note.clone();
                self.type_text(PlanRow::Block(block), "note", now);
            }
            PlanCommand::Undo | PlanCommand::Redo => self.undo_or_redo(what == PlanCommand::Undo),
            PlanCommand::Fit => self.fit(),
            PlanCommand::Listen => return self.listen(),
            PlanCommand::Try => return self.try_from_here(),
            PlanCommand::Help => self.focus = PlanFocus::Keys,
            PlanCommand::Leave => return Some(StepEffect::End(RunEnding::Done)),
            PlanCommand::Replace => return self.say_not_here(),
        }
        None
    }

    fn fit(&mut self) {
        let words = &WORDS.plan.messages;
        if self.schedule().session.slot.is_none() {
            self.message = Some(words.no_slot.clone());
            return;
        }
        let edits = fitted(self.draft.text(), self.draft.schedule());
        if edits.is_empty() && self.over() == Tick::ZERO {
            self.message = Some(words.fits_already.clone());
            return;
        }
        if !edits.is_empty() && !self.change(&edits, None) {
            return;
        }
        let (count, total, over) = (edits.len().to_string(), clock(self.schedule().total()), self.over());
        let changed = (!edits.is_empty()).then(|| fill(&words.fitted, &[("count", &count), ("total", &total)]));
        // Some formats do not let a fit change their lengths, and no length goes below a minimum.
        let over = (over > Tick::ZERO).then(|| fill(&words.still_over, &[("over", &clock(over))]));
        self.message = Some(changed.into_iter().chain(over).collect::<Vec<_>>().join(". "));
    }

    /// By how much the class is longer than its slot; zero without a slot.
    fn over(&self) -> Tick {
        self.schedule().session.slot.map_or(Tick::ZERO, |slot| self.schedule().total().saturating_sub(slot))
    }

    fn try_from_here(&mut self) -> Option<StepEffect> {
        self.trial = Some(TrialStart(match self.row() {
            PlanRow::Class => "A".to_owned(),
            PlanRow::Block(block) => block_letter(block),
            PlanRow::Station(block, station) => format!("{}.{}", block_letter(block), station + 1),
        }));
        Some(StepEffect::End(RunEnding::Done))
    }
}
