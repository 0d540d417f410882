//! What each key does to the class while the class has the focus.

use super::edits;
use super::finder::Target;
use super::fit::fitted;
use super::keys::Do;
use super::planning::{Focus, PAGE, Planning, Try};
use super::rows::Row;
use crate::runtime::{Effect, Ending};
use class::session::block_letter;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

impl Planning<'_> {
    pub(super) fn act(&mut self, what: Do) -> Option<Effect> {
        let (row, schedule) = (self.row(), self.draft.schedule());
        match what {
            Do::Up => self.chosen = self.chosen.saturating_sub(1),
            Do::Down => self.chosen = (self.chosen + 1).min(self.rows.len().saturating_sub(1)),
            Do::PageUp => self.chosen = self.chosen.saturating_sub(PAGE),
            Do::PageDown => self.chosen = (self.chosen + PAGE).min(self.rows.len().saturating_sub(1)),
            Do::First => self.chosen = 0,
            Do::Last => self.chosen = self.rows.len().saturating_sub(1),
            Do::Add => self.open(Target::Add),
            Do::Replace if matches!(row, Row::Station(..)) => self.open(Target::Replace),
            Do::Block => self.open(Target::Block),
            Do::Drop => self.change_one(edits::drop(row)),
            Do::Earlier | Do::Later => match edits::shifted(schedule, row, what == Do::Later) {
                Some((edit, to)) => {
                    self.change(&[edit], Some(to));
                }
                None => self.message = Some(WORDS.plan.messages.at_the_end.clone()),
            },
            Do::Longer | Do::Shorter => {
                let steps = if what == Do::Longer { 1 } else { -1 };
                let edit = edits::longer(self.draft.text(), schedule, row, steps);
                self.change_time(edit, steps < 0);
            }
            Do::MoreRest => self.change_time(edits::more_rest(schedule, row, 1), false),
            Do::LessRest => self.change_time(edits::more_rest(schedule, row, -1), true),
            Do::Rounds(rounds) => self.change_one(edits::rounds(row, rounds)),
            Do::Name | Do::Length | Do::Kit | Do::Tempo | Do::People => return self.write(what),
            Do::Another => self.another(),
            Do::Sides => {
                let edit = self.station().map(|station| edits::other_sides(station, row));
                self.change_one(edit);
            }
            Do::Easier | Do::Harder => {
                let Some(station) = self.station() else { return self.not_here() };
                let (field, tier) = match what {
                    Do::Easier => ("easier", &station.easier),
                    _ => ("harder", &station.harder),
                };
                let now = tier.as_ref().map(|tier| tier.what.clone());
                self.type_text(row, field, now);
            }
            Do::Prompts => {
                let Some(station) = self.station() else { return self.not_here() };
                let now = station.prompts.join("; ");
                self.type_text(row, "prompts", Some(now));
            }
            Do::Note => {
                let Some(block) = row.block() else { return self.not_here() };
                let now = schedule.session.blocks[block].note.clone();
                self.type_text(Row::Block(block), "note", now);
            }
            Do::Undo | Do::Redo => self.back(what == Do::Undo),
            Do::Fit => self.fit(),
            Do::Listen => return self.listen(),
            Do::Try => return self.attempt(),
            Do::Help => self.focus = Focus::Keys,
            Do::Leave => return Some(Effect::End(Ending::Done)),
            Do::Replace => return self.not_here(),
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
        self.schedule().session.slot.map_or(Tick::ZERO, |slot| self.schedule().total().less(slot))
    }

    fn attempt(&mut self) -> Option<Effect> {
        self.attempt = Some(Try(match self.row() {
            Row::Class => "A".to_owned(),
            Row::Block(block) => block_letter(block),
            Row::Station(block, station) => format!("{}.{}", block_letter(block), station + 1),
        }));
        Some(Effect::End(Ending::Done))
    }
}
