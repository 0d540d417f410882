//! The input line, for a text of the file.

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
    /// The text with which the line was opened.
    opened: String,
}

/// The longest text that can be typed, in characters.
const LETTERS: usize = 240;
impl Planning<'_> {
    /// Opens the input line for a field. `now` is the text of the field.
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
                // An unchanged text is not written: it may be the movement's own.
                if text.trim() == opened.trim() {
                    return;
                }
                match super::fields::written(self.draft.text(), row, field, &text, &kinds(self.catalogue)) {
                    // The field was empty and stays empty.
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
