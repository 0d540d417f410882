//! The screen of the form for a composed class.

use ratatui::layout::Rect;

use super::{ComposeField, ComposeForm};
use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::text;
use class::words::{KeyWords, WORDS};

/// Draws the lines of the form, each with how the program understood its text.
pub(super) fn draw(canvas: &mut Canvas, area: Rect, wish: &ComposeForm) {
    let (look, words) = (canvas.look, &WORDS.door.compose_form);
    canvas.put(area.x, area.y, &words.heading, look.faint());
    let mut left = below(area, 2);
    let label = |line| match line {
        ComposeField::Slot => &words.slot,
        ComposeField::People => &words.people,
        ComposeField::Kit => &words.kit,
        ComposeField::Aim => &words.aim,
    };
    let lines = [ComposeField::Slot, ComposeField::People, ComposeField::Kit, ComposeField::Aim];
    let columns = lines.iter().map(|line| text::columns(label(*line))).max().unwrap_or(0) + 2;
    for line in lines {
        let chosen = line == wish.line();
        if chosen {
            canvas.put(left.x, left.y, "▌", look.strong());
        }
        let here = beside(left, 2);
        canvas.put(here.x, left.y, label(line), if chosen { look.strong() } else { look.text() });
        let value = beside(here, columns);
        let caret = if chosen && line != ComposeField::Aim { "▏" } else { "" };
        let typed = format!("{}{caret}", wish.text(line));
        let style = if chosen { look.strong() } else { look.text() };
        let rows = canvas.put_wrapped(value, &typed, style).max(1);
        left = below(left, rows);
        let (meaning, style) = match wish.meaning(line) {
            Ok(meaning) => (meaning, look.faint()),
            Err(why) => (why.to_string(), look.strong()),
        };
        let rows = canvas.put_wrapped(beside(beside(left, 2), columns), &meaning, style);
        left = below(left, rows + u16::from(canvas.layout.airy));
    }
    canvas.put_wrapped(below(left, 1), &words.how, look.faint());
}

/// The keys that have an effect in the chosen line.
pub(super) fn keys(wish: &ComposeForm) -> Vec<&'static KeyWords> {
    let words = &WORDS.door.compose_form;
    let go = if wish.line() == ComposeField::Aim { &words.compose } else { &words.on };
    vec![go, &words.step, &words.letters, &words.lines, &words.back]
}
