//! Changes that another program makes to the file during planning.

use super::Stroke;
use super::merge;
use super::planning::{Focus, Planning};
use crate::runtime::{Effect, Ending};
use class::draft::NotChanged;
use class::words::WORDS;

/// A question for the coach: another program changed the file in the same place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    was: String,
    is: String,
    /// Why the other text cannot be used; None if it can.
    pub fault: Option<String>,
}

impl Planning<'_> {
    /// Takes the coach's answer: which of the two texts to use.
    pub(super) fn answer(&mut self, question: Question, stroke: Stroke) -> Option<Effect> {
        match stroke {
            // The question stays open, so the file is not written.
            Stroke::Letter('q') => {
                self.question = Some(question);
                return Some(Effect::End(Ending::Done));
            }
            Stroke::Letter('t') if question.fault.is_none() => {
                let Question { was, is, .. } = question;
                self.take(&was, &is, is.clone());
            }
            Stroke::Letter('m') => self.message = Some(WORDS.plan.messages.mine.clone()),
            _ => self.question = Some(question),
        }
        None
    }

    /// Another program changed the file. Merges both changes; if that is not possible, asks the coach.
    pub(super) fn outside(&mut self, was: String, is: String) {
        let was = self.question.take().map_or(was, |question| question.was);
        match merge(&was, self.draft.text(), &is) {
            Some(both) => self.take(&was, &is, both),
            None => self.question = Some(Question { was, is, fault: None }),
        }
    }

    fn take(&mut self, was: &str, is: &str, now: String) {
        let typed_at = |planning: &Planning<'_>| match &planning.focus {
            Focus::Line(typed) => planning.station_at(typed.row).cloned(),
            _ => None,
        };
        let before = typed_at(self);
        match self.draft.carry(now, |old| merge(was, old, is)) {
            Ok(()) => {
                self.changed();
                // A half-typed text belongs to the station at which it was opened.
                if matches!(self.focus, Focus::Line(_)) && typed_at(self) != before {
                    self.focus = Focus::Class;
                }
                self.message = Some(WORDS.plan.messages.outside.clone());
            }
            Err(why) => {
                let fault = match why {
                    NotChanged::Faulty(fault) => fault,
                    NotChanged::Refused(why) => why.to_string(),
                };
                self.question = Some(Question { was: was.to_owned(), is: is.to_owned(), fault: Some(fault) });
            }
        }
    }
}
