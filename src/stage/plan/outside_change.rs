//! Changes that another program makes to the file during planning.

use super::KeyStroke;
use super::editor::{PlanEditor, PlanFocus};
use super::merge;
use crate::runtime::{RunEnding, StepEffect};
use class::session_draft::DraftError;
use class::words::WORDS;

/// A question for the coach: another program changed the file in the same place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MergeConflict {
    was: String,
    is: String,
    /// Why the other text cannot be used; None if it can.
    pub fault: Option<String>,
}

impl PlanEditor<'_> {
    /// Takes the coach's answer: which of the two texts to use.
    pub(super) fn answer_conflict(&mut self, question: MergeConflict, stroke: KeyStroke) -> Option<StepEffect> {
        match stroke {
            // The question stays open, so the file is not written.
            KeyStroke::Letter('q') => {
                self.question = Some(question);
                return Some(StepEffect::End(RunEnding::Done));
            }
            KeyStroke::Letter('t') if question.fault.is_none() => {
                let MergeConflict { was, is, .. } = question;
                self.take_text(&was, &is, is.clone());
            }
            KeyStroke::Letter('m') => self.message = Some(WORDS.plan.messages.kept_mine.clone()),
            _ => self.question = Some(question),
        }
        None
    }

    /// Another program changed the file. Merges both changes; if that is not possible, asks the coach.
    pub(super) fn merge_outside_change(&mut self, was: String, is: String) {
        let was = self.question.take().map_or(was, |question| question.was);
        match merge(&was, self.draft.text(), &is) {
            Some(both) => self.take_text(&was, &is, both),
            None => self.question = Some(MergeConflict { was, is, fault: None }),
        }
    }

    fn take_text(&mut self, was: &str, is: &str, now: String) {
        let typed_at = |planning: &PlanEditor<'_>| match &planning.focus {
            PlanFocus::Line(typed) => planning.station_at(typed.row).cloned(),
            _ => None,
        };
        let before = typed_at(self);
        match self.draft.rebase(now, |old| merge(was, old, is)) {
            Ok(()) => {
                self.changed();
                // A half-typed text belongs to the station at which it was opened.
                if matches!(self.focus, PlanFocus::Line(_)) && typed_at(self) != before {
                    self.focus = PlanFocus::Class;
                }
                self.message = Some(WORDS.plan.messages.merged.clone());
            }
            Err(why) => {
                let fault = match why {
                    DraftError::Faulty(fault) => fault,
                    DraftError::Refused(why) => why.to_string(),
                };
                self.question = Some(MergeConflict { was: was.to_owned(), is: is.to_owned(), fault: Some(fault) });
            }
        }
    }
}
