//! The input line, for a text of the file.

use super::KeyStroke;
use super::editor::{PlanEditor, PlanFocus};
use super::rows::PlanRow;
use class::compose::kit_text::kinds;
use class::words::{WORDS, fill};

/// A text being typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextInput {
    pub row: PlanRow,
    pub field: &'static str,
    pub text: String,
    /// The text with which the line was opened.
    text_before: String,
}

/// The longest text that can be typed, in characters.
const LETTERS: usize = 240;
impl PlanEditor<'_> {
    /// Opens the input line for a field. `now` is the text of the field.
    pub(super) fn type_text(&mut self, row: PlanRow, field: &'static str, now: Option<String>) {
        let text = now.unwrap_or_default();
        self.focus = PlanFocus::Line(TextInput { row, field, text_before: text.clone(), text });
    }

    pub(super) fn in_line(&mut self, stroke: KeyStroke) {
        let PlanFocus::Line(typed) = &mut self.focus else { return };
        match stroke {
            KeyStroke::Letter(letter) if !letter.is_control() && typed.text.chars().count() < LETTERS => {
                typed.text.push(letter);
            }
            KeyStroke::Backspace => drop(typed.text.pop()),
            KeyStroke::Delete => typed.text.clear(),
            KeyStroke::Escape => self.focus = PlanFocus::Class,
            KeyStroke::Enter => {
                let TextInput { row, field, text, text_before: opened } = typed.clone();
                self.focus = PlanFocus::Class;
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
                    Err(why) => {
                        self.message = Some(fill(&WORDS.plan.messages.not_changed, &[("why", &why.to_string())]));
                    }
                }
            }
            _ => {}
        }
    }
}
