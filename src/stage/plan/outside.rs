//! The file as it was changed by another program while it is planned.

use super::Stroke;
use super::merge;
use super::planning::{Focus, Planning};
use crate::runtime::{Effect, Ending};
use class::draft::NotChanged;
use class::words::WORDS;

/// What only the coach can decide: the file was changed outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    was: String,
    is: String,
    /// Why the other text cannot be taken; None where it can.
    pub fault: Option<String>,
}

impl Planning<'_> {
    /// The coach says which of two texts stands.
    pub(super) fn answer(&mut self, question: Question, stroke: Stroke) -> Option<Effect> {
        match stroke {
            // The question stays open, so what stands in the file stays there.
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

    /// The file was changed outside: both changes, where that can be; else the coach is asked.
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
                // A half-typed text is for the station that it was opened at.
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
