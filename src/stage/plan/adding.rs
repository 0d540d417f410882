//! Adding a movement from the finder to the class.

use super::Stroke;
use super::edits::{self, added, added_block};
use super::finder::{Chip, Target};
use super::planning::{Focus, PAGE, Planning};
use super::rows::Row;
use class::schedule::{Purpose, Span};
use class::time::Tick;
use class::words::WORDS;

impl Planning<'_> {
    pub(super) fn look(&mut self) {
        let Focus::Finder(target) = self.focus else { return };
        let before = self.before(target).cloned();
        let costs = self.draft.costs().clone();
        self.finder.look(self.catalogue, self.draft.schedule(), before.as_ref(), &costs);
    }

    pub(super) fn open(&mut self, target: Target) {
        self.focus = Focus::Finder(target);
        self.finder.clear();
        self.look();
    }

    /// The last work span before the place where the movement would go.
    fn before(&self, target: Target) -> Option<&Span> {
        let spans = &self.schedule().spans;
        let row = self.row();
        let behind = match (row, target) {
            (Row::Station(..), Target::Add) => row.spans(self.schedule()).next().map(|span| span.end),
            (Row::Station(..), Target::Replace) => row.spans(self.schedule()).next().map(|span| span.start),
            (Row::Class, Target::Add) => Some(Tick::ZERO),
            (Row::Block(_) | Row::Station(..), Target::Block) => {
                Row::Block(row.block()?).spans(self.schedule()).last().map(|span| span.end)
            }
            _ => row.spans(self.schedule()).next().map(|span| span.start),
        }?;
        spans.iter().rfind(|span| span.purpose == Purpose::Work && span.end <= behind)
    }

    fn found(&mut self, target: Target) {
        let Some(id) = self.finder.hits.get(self.finder.chosen).map(|hit| hit.id.clone()) else {
            self.message = Some(WORDS.plan.messages.no_movement.clone());
            return;
        };
        let row = self.row();
        let (edits, to) = match target {
            Target::Add => {
                let (edit, to) = added(row, &id);
                (vec![edit], to)
            }
            Target::Block => {
                let (edit, to) = added_block(self.schedule(), row, &id);
                (vec![edit], to)
            }
            Target::Replace => (edits::replaced(self.draft.text(), row, &id), row),
        };
        if self.change(&edits, Some(to)) {
            self.focus = Focus::Class;
        }
    }

    pub(super) fn in_finder(&mut self, target: Target, stroke: Stroke) {
        match stroke {
            Stroke::Escape => self.focus = Focus::Class,
            Stroke::Enter if self.finder.chip == Chip::Words => return self.found(target),
            Stroke::Enter => self.finder.chip = Chip::Words,
            Stroke::Tab => self.finder.turn(false),
            Stroke::BackTab => self.finder.turn(true),
            Stroke::Up | Stroke::Left => self.finder.step(self.catalogue, true),
            Stroke::Down | Stroke::Right => self.finder.step(self.catalogue, false),
            Stroke::PageUp => (0..PAGE).for_each(|_| self.finder.step(self.catalogue, true)),
            Stroke::PageDown => (0..PAGE).for_each(|_| self.finder.step(self.catalogue, false)),
            Stroke::Backspace | Stroke::Delete => self.finder.rub(),
            Stroke::Letter(letter) => self.finder.letter(letter),
            Stroke::Home | Stroke::End | Stroke::Help | Stroke::Interrupt | Stroke::Suspend => {}
        }
        self.look();
    }
}
