//! A draft: a session file as it is being changed, with the class that it makes and every change to be undone.

use std::sync::Arc;

use crate::movement::Catalogue;
use crate::schedule::{Costs, Schedule, compile_with};
use crate::session::edit::{Edit, Refused, all_edited};
use crate::session::fault::Fault;
use crate::session::read;

/// A session file that is being changed. It always makes a class: an edit that would not is refused.
#[derive(Clone, Debug)]
pub struct Draft<'c> {
    catalogue: &'c Catalogue,
    costs: Costs,
    now: Version,
    undone: Vec<Version>,
    before: Vec<Version>,
}

/// The file at one time.
#[derive(Clone, Debug)]
struct Version {
    text: String,
    schedule: Schedule,
    warnings: Vec<Fault>,
}

/// Why a draft was not changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotChanged {
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The first fault that the file would have.
    #[error("{0}")]
    Faulty(String),
}

impl<'c> Draft<'c> {
    /// The draft of a file, with what its transitions cost.
    ///
    /// # Errors
    /// When the text makes no class.
    pub fn new(text: String, catalogue: &'c Catalogue, costs: Costs) -> Result<Draft<'c>, NotChanged> {
        let now = Version::of(text, catalogue, &costs)?;
        Ok(Draft { catalogue, costs, now, undone: Vec::new(), before: Vec::new() })
    }

    /// The text as it is now.
    pub fn text(&self) -> &str {
        &self.now.text
    }

    /// The class as it is now, without cues.
    pub fn schedule(&self) -> &Schedule {
        &self.now.schedule
    }

    /// What reading it found that does not keep it from making a class.
    pub fn warnings(&self) -> &[Fault] {
        &self.now.warnings
    }

    /// What its transitions cost.
    pub fn costs(&self) -> &Costs {
        &self.costs
    }

    /// Makes something else of the text, because it was changed elsewhere too: `now`, and of every version that can be
    /// gone back or forward to what `of` makes of it. Where it makes nothing, or no class, that version and those behind
    /// it are forgotten.
    ///
    /// # Errors
    /// When `now` makes no class. The draft is then as it was.
    pub fn carry(&mut self, now: String, of: impl Fn(&str) -> Option<String>) -> Result<(), NotChanged> {
        let new = Version::of(now, self.catalogue, &self.costs)?;
        let carried = |versions: &[Version]| {
            let version = |old: &Version| Version::of(of(&old.text)?, self.catalogue, &self.costs).ok();
            let mut kept: Vec<Version> = versions.iter().rev().map_while(version).collect();
            kept.reverse();
            kept
        };
        (self.before, self.undone) = (carried(&self.before), carried(&self.undone));
        self.now = new;
        Ok(())
    }

    /// How many changes stand.
    pub fn changes(&self) -> usize {
        self.before.len()
    }

    /// The draft that some edits would make, with nothing to undo.
    ///
    /// # Errors
    /// As [`Draft::change`].
    pub fn with(&self, edits: &[Edit]) -> Result<Draft<'c>, NotChanged> {
        Draft::new(all_edited(&self.now.text, edits)?, self.catalogue, self.costs.clone())
    }

    /// Makes some edits as one change: all of them or none.
    ///
    /// # Errors
    /// When one of them cannot be made, or the file would make no class. The draft is then as it was.
    pub fn change(&mut self, edits: &[Edit]) -> Result<(), NotChanged> {
        let text = all_edited(&self.now.text, edits)?;
        let new = Version::of(text, self.catalogue, &self.costs)?;
        self.before.push(std::mem::replace(&mut self.now, new));
        self.undone.clear();
        Ok(())
    }

    /// Takes the last change back. False where there is none.
    pub fn undo(&mut self) -> bool {
        let Some(before) = self.before.pop() else { return false };
        self.undone.push(std::mem::replace(&mut self.now, before));
        true
    }

    /// Makes the change again that was taken back last. False where there is none.
    pub fn redo(&mut self) -> bool {
        let Some(again) = self.undone.pop() else { return false };
        self.before.push(std::mem::replace(&mut self.now, again));
        true
    }
}

impl Version {
    fn of(text: String, catalogue: &Catalogue, costs: &Costs) -> Result<Version, NotChanged> {
        let reading = read(&text, catalogue);
        let Some(session) = reading.session else {
            let first = reading.faults.into_iter().next();
            return Err(NotChanged::Faulty(first.map_or_else(String::new, |fault| fault.message)));
        };
        let schedule = compile_with(Arc::new(session), costs);
        Ok(Version { text, schedule, warnings: reading.faults })
    }
}
