//! A draft: a session file that is being edited, with its compiled class, undo and redo.

use std::sync::Arc;

use crate::movement::Catalogue;
use crate::schedule::{ChangeoverCosts, Schedule, compile_with};
use crate::session::edit::{EditError, SessionEdit, all_edited};
use crate::session::fault::Fault;
use crate::session::read;

/// A session file that is being edited. It always makes a class: an edit that would break it is refused.
#[derive(Clone, Debug)]
pub struct SessionDraft<'c> {
    catalogue: &'c Catalogue,
    costs: ChangeoverCosts,
    now: DraftVersion,
    undone: Vec<DraftVersion>,
    before: Vec<DraftVersion>,
}

/// One version of the file.
#[derive(Clone, Debug)]
struct DraftVersion {
    text: String,
    schedule: Schedule,
    warnings: Vec<Fault>,
}

/// Why a draft could not be changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DraftError {
    #[error(transparent)]
    Refused(#[from] EditError),
    /// The first fault that the file would have.
    #[error("{0}")]
    Faulty(String),
}

impl<'c> SessionDraft<'c> {
    /// The draft of a file, compiled with these costs of changeovers.
    ///
    /// # Errors
    /// When the text does not make a class.
    pub fn new(text: String, catalogue: &'c Catalogue, costs: ChangeoverCosts) -> Result<SessionDraft<'c>, DraftError> {
        let now = DraftVersion::of(text, catalogue, &costs)?;
        Ok(SessionDraft { catalogue, costs, now, undone: Vec::new(), before: Vec::new() })
    }

    /// The current text.
    pub fn text(&self) -> &str {
        &self.now.text
    }

    /// The current class, without cues.
    pub fn schedule(&self) -> &Schedule {
        &self.now.schedule
    }

    /// The findings of reading the file. None of them keeps it from making a class.
    pub fn warnings(&self) -> &[Fault] {
        &self.now.warnings
    }

    /// The costs of changeovers that the class is compiled with.
    pub fn costs(&self) -> &ChangeoverCosts {
        &self.costs
    }

    /// Takes over a change made to the file elsewhere. `now` becomes the current text, and `of` converts every version
    /// that can be undone or redone to. If `of` gives None for a version, or a text that does not make a class, that
    /// version and those further away are dropped.
    ///
    /// # Errors
    /// When `now` does not make a class. The draft then stays as it was.
    pub fn rebase(&mut self, now: String, of: impl Fn(&str) -> Option<String>) -> Result<(), DraftError> {
        let new = DraftVersion::of(now, self.catalogue, &self.costs)?;
        let carried = |versions: &[DraftVersion]| {
            let version = |old: &DraftVersion| DraftVersion::of(of(&old.text)?, self.catalogue, &self.costs).ok();
            let mut kept: Vec<DraftVersion> = versions.iter().rev().map_while(version).collect();
            kept.reverse();
            kept
        };
        (self.before, self.undone) = (carried(&self.before), carried(&self.undone));
        self.now = new;
        Ok(())
    }

    /// The number of changes that can be undone.
    pub fn changes(&self) -> usize {
        self.before.len()
    }

    /// A new draft with some edits made and nothing to undo.
    ///
    /// # Errors
    /// As [`SessionDraft::change`].
    pub fn with(&self, edits: &[SessionEdit]) -> Result<SessionDraft<'c>, DraftError> {
        SessionDraft::new(all_edited(&self.now.text, edits)?, self.catalogue, self.costs.clone())
    }

    /// Makes some edits as one change: all of them, or none.
    ///
    /// # Errors
    /// When one of them cannot be made, or the file would no longer make a class. The draft then stays as it was.
    pub fn change(&mut self, edits: &[SessionEdit]) -> Result<(), DraftError> {
        let text = all_edited(&self.now.text, edits)?;
        let new = DraftVersion::of(text, self.catalogue, &self.costs)?;
        self.before.push(std::mem::replace(&mut self.now, new));
        self.undone.clear();
        Ok(())
    }

    /// Undoes the last change. False when there is none.
    pub fn undo(&mut self) -> bool {
        let Some(before) = self.before.pop() else { return false };
        self.undone.push(std::mem::replace(&mut self.now, before));
        true
    }

    /// Redoes the change that was undone last. False when there is none.
    pub fn redo(&mut self) -> bool {
        let Some(again) = self.undone.pop() else { return false };
        self.before.push(std::mem::replace(&mut self.now, again));
        true
    }
}

impl DraftVersion {
    fn of(text: String, catalogue: &Catalogue, costs: &ChangeoverCosts) -> Result<DraftVersion, DraftError> {
        let reading = read(&text, catalogue);
        let Some(session) = reading.session else {
            let first = reading.faults.into_iter().next();
            return Err(DraftError::Faulty(first.map_or_else(String::new, |fault| fault.message)));
        };
        let schedule = compile_with(Arc::new(session), costs);
        Ok(DraftVersion { text, schedule, warnings: reading.faults })
    }
}
