//! The entries between two brackets, each with the bytes that belong to it.

use std::ops::Range;

use super::trivia::{TriviaKind, TriviaPiece, pieces, skip};
use crate::session::tree::{TreeNode, TreeValue};

/// The entries of a list, a tuple or a record, as they are written.
#[derive(Debug)]
pub(super) struct BracketText<'t> {
    text: &'t str,
    /// From after the opening bracket up to the closing one.
    inside: Range<usize>,
    pub entries: Vec<BracketEntry>,
}

/// An entry: a value, or a field with its value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct BracketEntry {
    /// The value, or `name: value`.
    pub own: Range<usize>,
    /// The place of its comma. None when it has none.
    pub comma: Option<usize>,
    /// The entry with the comments that belong to it: on the lines directly above it and on the rest of its own line.
    pub whole: Range<usize>,
}

/// The text of an entry that is to be inserted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct EntryText {
    /// The entry, with the comments before it.
    pub own: String,
    /// The comments after its comma.
    pub behind: String,
}

impl EntryText {
    /// An entry without comments.
    pub(super) fn plain(entry: impl Into<String>) -> EntryText {
        EntryText { own: entry.into(), behind: String::new() }
    }
}

impl<'t> BracketText<'t> {
    /// The bracket of a value. None when the value has no bracket.
    pub(super) fn of(text: &'t str, node: &TreeNode) -> Option<BracketText<'t>> {
        let (word, owns): (_, Vec<Range<usize>>) = match &node.value {
            TreeValue::List(items) => (None, items.iter().map(|item| item.place.clone()).collect()),
            TreeValue::Tuple(word, items) => (word.as_ref(), items.iter().map(|item| item.place.clone()).collect()),
            TreeValue::Record(word, fields) => {
                let own = |field: &crate::session::tree::TreeField| field.name.place.start..field.node.place.end;
                (word.as_ref(), fields.iter().map(own).collect())
            }
            _ => return None,
        };
        let open = skip(text, word.map_or(node.place.start, |word| word.place.end));
        let inside = open + 1..node.place.end.checked_sub(1)?;
        let comma = |own: &Range<usize>| Some(skip(text, own.end)).filter(|&at| text[at..].starts_with(','));
        let commas: Vec<Option<usize>> = owns.iter().map(comma).collect();
        let behind: Vec<usize> =
            owns.iter().zip(&commas).map(|(own, comma)| comma.map_or(own.end, |at| at + 1)).collect();
        let mut entries = Vec::new();
        for (index, (own, comma)) in owns.into_iter().zip(commas).enumerate() {
            let before = if index == 0 { inside.start } else { behind[index - 1] };
            let start = comments_before(&pieces(text, before)).unwrap_or(own.start).min(own.start);
            let end = comments_behind(&pieces(text, behind[index]), text, inside.end).unwrap_or(behind[index]);
            entries.push(BracketEntry { own, comma, whole: start..end });
        }
        Some(BracketText { text, inside, entries })
    }

    /// The text without an entry and its comments.
    pub(super) fn without(&self, index: usize) -> String {
        let entry = &self.entries[index];
        let before = index.checked_sub(1).map(|before| &self.entries[before]);
        let after = self.entries.get(index + 1);
        let same_line = |from: usize, to: usize| !self.text[from..to].contains('\n');
        let out = if let Some(lines) = self.lines(entry) {
            lines
        } else if let Some(after) = after.filter(|after| same_line(entry.whole.end, after.whole.start)) {
            entry.whole.start..after.whole.start
        } else if let Some(before) = before.filter(|before| same_line(before.whole.end, entry.whole.start)) {
            // The comma before the entry is removed too, unless the entry has its own.
            let from = if entry.comma.is_some() { before.comma.map(|comma| comma + 1) } else { before.comma };
            from.unwrap_or(before.own.end)..entry.whole.end
        } else {
            entry.whole.clone()
        };
        spliced(self.text, out, "")
    }

    /// The text with one more entry, at this index. The index is at most the number of entries.
    pub(super) fn with(&self, index: usize, entry: &EntryText) -> String {
        let line_end = line_end(self.text);
        let EntryText { own, behind } = entry;
        // The text that follows on the line must not become part of the comment.
        let closed = if behind.contains("//") { line_end } else { "" };
        if let Some(next) = self.entries.get(index) {
            let (at, new) = match self.lines(next) {
                Some(lines) => {
                    let indent = indent(self.text, lines.start);
                    (lines.start, format!("{indent}{own},{behind}{line_end}"))
                }
                None => (next.whole.start, format!("{own},{behind}{}", if closed.is_empty() { " " } else { closed })),
            };
            return spliced(self.text, at..at, &new);
        }
        let Some(last) = self.entries.last() else { return self.with_first(entry, closed) };
        let ends = last.comma.map_or(last.own.end, |comma| comma + 1);
        if self.lines(last).is_some() {
            let indent = indent(self.text, line_start(self.text, last.whole.start));
            let at = last.whole.end.max(ends);
            let text = spliced(self.text, at..at, &format!("{line_end}{indent}{own},{behind}"));
            return if last.comma.is_some() { text } else { spliced(&text, ends..ends, ",") };
        }
        let (before, after) = if last.comma.is_some() { ("", ",") } else { (",", "") };
        spliced(self.text, ends..ends, &format!("{before} {own}{after}{behind}{closed}"))
    }

    /// The text with a first entry in an empty bracket.
    fn with_first(&self, entry: &EntryText, closed: &str) -> String {
        let EntryText { own, behind } = entry;
        let line_end = line_end(self.text);
        let close = line_start(self.text, self.inside.end);
        if close > self.inside.start && self.text[close..self.inside.end].trim().is_empty() {
            let indent = indent(self.text, close);
            return spliced(self.text, close..close, &format!("{indent}    {own},{behind}{line_end}"));
        }
        let at = self.inside.start;
        spliced(self.text, at..at, &format!("{own}{behind}{closed}"))
    }

    /// An entry as it is written.
    pub(super) fn written(&self, index: usize) -> EntryText {
        let BracketEntry { own, comma, whole } = &self.entries[index];
        let comma_or_end = comma.unwrap_or(own.end);
        let behind = comma.map_or(own.end, |comma| comma + 1);
        let between = &self.text[own.end..comma_or_end];
        EntryText {
            own: self.text[whole.start..own.end].to_owned(),
            behind: format!("{between}{}", &self.text[behind..whole.end.max(behind)]),
        }
    }

    /// The lines of an entry, including the last line end. None when the entry shares a line with another.
    fn lines(&self, entry: &BracketEntry) -> Option<Range<usize>> {
        let start = line_start(self.text, entry.whole.start);
        let mut behind =
            pieces(self.text, entry.whole.end).into_iter().skip_while(|piece| piece.kind == TriviaKind::Space);
        let end = behind.next().filter(|piece| piece.kind == TriviaKind::LineEnd)?.place.end;
        (start >= self.inside.start && self.text[start..entry.whole.start].trim().is_empty()).then_some(start..end)
    }
}

/// The start of the comments that belong to the entry after them: comments before it on its line, and on the lines
/// directly above. Comments before the first line end belong to the entry before them.
fn comments_before(pieces: &[TriviaPiece]) -> Option<usize> {
    let own = match pieces.iter().position(|piece| piece.kind == TriviaKind::LineEnd) {
        Some(first) => &pieces[first + 1..],
        None => pieces,
    };
    let mut start = None;
    let mut line_is_empty = false;
    for piece in own.iter().rev() {
        match piece.kind {
            TriviaKind::Comment => (start, line_is_empty) = (Some(piece.place.start), false),
            TriviaKind::LineEnd if line_is_empty => break,
            TriviaKind::LineEnd => line_is_empty = true,
            TriviaKind::Space => {}
        }
    }
    start
}

/// The end of the comments that belong to the entry before them: comments on the rest of its line, when nothing else
/// follows on that line.
fn comments_behind(pieces: &[TriviaPiece], text: &str, close: usize) -> Option<usize> {
    let on_line = pieces.iter().position(|piece| piece.kind == TriviaKind::LineEnd);
    let ends = pieces.last().map_or(close, |piece| piece.place.end);
    let on_line = match on_line {
        Some(end) => &pieces[..end],
        None if text[ends..].starts_with([']', ')']) => pieces,
        None => return None,
    };
    on_line.iter().rev().find(|piece| piece.kind == TriviaKind::Comment).map(|piece| piece.place.end)
}

/// The text with a range replaced.
pub(super) fn spliced(text: &str, out: Range<usize>, with: &str) -> String {
    let mut new = text.to_owned();
    new.replace_range(out, with);
    new
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |end| end + 1)
}

/// The space at the beginning of a line.
fn indent(text: &str, line: usize) -> &str {
    let rest = &text[line..];
    &rest[..rest.len() - rest.trim_start_matches([' ', '\t']).len()]
}

/// The line end that a text uses.
fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}
