//! A text of the file, typed in a line.

use super::Stroke;
use super::planning::{Focus, Planning};
use super::rows::Row;
use class::compose::typed::kinds;
use class::words::{WORDS, fill};

/// A text being typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    pub row: Row,
    pub field: &'static str,
    pub text: String,
    /// What it was opened with.
    opened: String,
}

/// The longest text that can be typed.
const LETTERS: usize = 240;
impl Planning<'_> {
    /// Opens a line with what is written there now.
    pub(super) fn type_text(&mut self, row: Row, field: &'static str, now: Option<String>) {
        let text = now.unwrap_or_default();
        self.focus = Focus::Line(Typed { row, field, opened: text.clone(), text });
    }

    pub(super) fn in_line(&mut self, stroke: Stroke) {
        let Focus::Line(typed) = &mut self.focus else { return };
        match stroke {
            Stroke::Letter(letter) if !letter.is_control() && typed.text.chars().count() < LETTERS => {
                typed.text.push(letter);
            }
            Stroke::Backspace => drop(typed.text.pop()),
            Stroke::Delete => typed.text.clear(),
            Stroke::Escape => self.focus = Focus::Class,
            Stroke::Enter => {
                let Typed { row, field, text, opened } = typed.clone();
                self.focus = Focus::Class;
                // What is shown may be the movement's own, which is not written here.
                if text.trim() == opened.trim() {
                    return;
                }
                match super::fields::written(self.draft.text(), row, field, &text, &kinds(self.catalogue)) {
                    // Nothing written and nothing to write is no change.
                    Ok(edits) if edits.is_empty() => {}
                    Ok(edits) => {
                        self.change(&edits, None);
                    }
                    Err(why) => self.message = Some(fill(&WORDS.plan.messages.not_changed, &[("why", &why)])),
                }
            }
            _ => {}
        }
    }
}
