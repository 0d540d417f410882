//! Adding a movement from the finder to the class.

use super::KeyStroke;
use super::editor::{PAGE, PlanEditor, PlanFocus};
use super::edits::{self, added, added_block};
use super::finder::{FinderFilter, FinderPurpose};
use super::rows::PlanRow;
use class::schedule::{Span, SpanPurpose};
use class::time::Tick;
use class::words::WORDS;

impl PlanEditor<'_> {
    pub(super) fn search(&mut self) {
        let PlanFocus::Finder(target) = self.focus else { return };
        let before = self.before(target).cloned();
        let costs = self.draft.costs().clone();
        self.finder.search(self.catalogue, self.draft.schedule(), before.as_ref(), &costs);
    }

    pub(super) fn open(&mut self, target: FinderPurpose) {
        self.focus = PlanFocus::Finder(target);
        self.finder.clear();
        self.search();
    }

    /// The last work span before the place where the movement would go.
    fn before(&self, target: FinderPurpose) -> Option<&Span> {
        let spans = &self.schedule().spans;
        let row = self.row();
        let behind = match (row, target) {
            (PlanRow::Station(..), FinderPurpose::Add) => row.spans(self.schedule()).next().map(|span| span.end),
            (PlanRow::Station(..), FinderPurpose::Replace) => row.spans(self.schedule()).next().map(|span| span.start),
            (PlanRow::Class, FinderPurpose::Add) => Some(Tick::ZERO),
            (PlanRow::Block(_) | PlanRow::Station(..), FinderPurpose::Block) => {
                PlanRow::Block(row.block()?).spans(self.schedule()).last().map(|span| span.end)
            }
            _ => row.spans(self.schedule()).next().map(|span| span.start),
        }?;
        spans.iter().rfind(|span| span.purpose == SpanPurpose::Work && span.end <= behind)
    }

    fn use_found(&mut self, target: FinderPurpose) {
        let Some(id) = self.finder.hits.get(self.finder.chosen).map(|hit| hit.id.clone()) else {
            self.message = Some(WORDS.plan.messages.no_movement.clone());
            return;
        };
        let row = self.row();
        let (edits, to) = match target {
            FinderPurpose::Add => {
                let (edit, to) = added(row, &id);
                (vec![edit], to)
            }
            FinderPurpose::Block => {
                let (edit, to) = added_block(self.schedule(), row, &id);
                (vec![edit], to)
            }
            FinderPurpose::Replace => (edits::replaced(self.draft.text(), row, &id), row),
        };
        if self.change(&edits, Some(to)) {
            self.focus = PlanFocus::Class;
        }
    }

    pub(super) fn in_finder(&mut self, target: FinderPurpose, stroke: KeyStroke) {
        match stroke {
            KeyStroke::Escape => self.focus = PlanFocus::Class,
            KeyStroke::Enter if self.finder.chip == FinderFilter::Words => return self.use_found(target),
            KeyStroke::Enter => self.finder.chip = FinderFilter::Words,
            KeyStroke::Tab => self.finder.next_filter(false),
            KeyStroke::BackTab => self.finder.next_filter(true),
            KeyStroke::Up | KeyStroke::Left => self.finder.step(self.catalogue, true),
            KeyStroke::Down | KeyStroke::Right => self.finder.step(self.catalogue, false),
            KeyStroke::PageUp => (0..PAGE).for_each(|_| self.finder.step(self.catalogue, true)),
            KeyStroke::PageDown => (0..PAGE).for_each(|_| self.finder.step(self.catalogue, false)),
            KeyStroke::Backspace | KeyStroke::Delete => self.finder.rub(),
            KeyStroke::Letter(letter) => self.finder.letter(letter),
            KeyStroke::Home | KeyStroke::End | KeyStroke::Help | KeyStroke::Interrupt | KeyStroke::Suspend => {}
        }
        self.search();
    }
}
