//! Text in the terminal's own font: written at a place, or broken into lines.

use ratatui::buffer::Buffer;
use ratatui::style::Style;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Writes text from a cell on, up to the column `until`, which is not included. Returns the column after the text.
pub(crate) fn put(buffer: &mut Buffer, x: u16, y: u16, words: &str, style: Style, until: u16) -> u16 {
    let until = until.min(buffer.area.right());
    if y < buffer.area.y || y >= buffer.area.bottom() || x >= until {
        return x;
    }
    buffer.set_stringn(x, y, words, usize::from(until - x), style).0
}

/// The columns that text takes.
pub(crate) fn columns(words: &str) -> u16 {
    u16::try_from(words.width()).unwrap_or(u16::MAX)
}

/// Breaks text into lines of at most `columns` columns. Lines break between words, and inside a word only if the word
/// is wider than a line.
pub(crate) fn wrapped(words: &str, columns: u16) -> Vec<String> {
    let columns = usize::from(columns.max(2));
    words.lines().flat_map(|line| wrapped_line(line, columns)).collect()
}

fn wrapped_line(words: &str, columns: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let between = usize::from(!line.is_empty());
        if line.width() + between + word.width() <= columns {
            if between == 1 {
                line.push(' ');
            }
            line.push_str(word);
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for letter in word.chars() {
            if line.width() + letter.width().unwrap_or(0) > columns {
                lines.push(std::mem::take(&mut line));
            }
            line.push(letter);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Shortens text to at most `columns` columns, with an ellipsis at the end. Only for text that is shown in full
/// elsewhere, never for a movement.
pub(crate) fn shortened(words: &str, columns: u16) -> String {
    let columns = usize::from(columns);
    if words.width() <= columns {
        return words.to_owned();
    }
    let mut short = String::new();
    for letter in words.chars() {
        if short.width() + letter.width().unwrap_or(0) >= columns {
            break;
        }
        short.push(letter);
    }
    if columns > 0 {
        short.push('…');
    }
    short
}
