//! The lines of a text: the line and column of a byte, and the lines around a place.

use std::ops::Range;

use annotate_snippets::{Annotation, Group, Origin, Snippet};

use class::session::tree::whole_letters;

/// Places at most this many lines apart are shown in one piece.
const NEAR: usize = 6;
/// The most bytes of a line that are shown on each side of a mark.
const AROUND: usize = 120;

/// A text with the starts of its lines.
pub(crate) struct TextLines<'a> {
    text: &'a str,
    /// The byte at which each line begins.
    starts: Vec<usize>,
}

/// A place as people count: line and column from 1, columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct TextPosition {
    pub line: usize,
    pub column: usize,
}

/// A piece of a text to show.
pub(crate) struct TextExcerpt<'a> {
    text: &'a str,
    /// The byte of the whole text at which the piece begins.
    start: usize,
    /// The number of its first line.
    line: usize,
    /// Whether the line is longer than is shown.
    clipped: bool,
}

impl<'a> TextLines<'a> {
    pub(crate) fn new(text: &'a str) -> TextLines<'a> {
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        TextLines { text, starts: std::iter::once(0).chain(ends.map(|(end, _)| end + 1)).collect() }
    }

    /// The line and column of a byte.
    pub(crate) fn position(&self, at: usize) -> TextPosition {
        let line = self.line(at);
        let start = self.starts[line];
        let before = self.text.get(start..at).unwrap_or_default();
        TextPosition { line: line + 1, column: before.chars().count() + 1 }
    }

    /// Whether two places are shown in one piece.
    pub(crate) fn fit_one_excerpt(&self, one: &Range<usize>, other: &Range<usize>) -> bool {
        let lines = self.line(one.start).abs_diff(self.line(other.start));
        lines <= NEAR && (lines > 0 || one.start.abs_diff(other.start) < AROUND)
    }

    /// The lines of a place, and of another place near it. If a line is too long, only the part around the place.
    pub(crate) fn excerpt(&self, place: &Range<usize>, other: Option<&Range<usize>>) -> TextExcerpt<'a> {
        let (first, last) = match other {
            Some(other) => (place.start.min(other.start), place.start.max(other.start)),
            None => (place.start, place.start),
        };
        let start = self.starts[self.line(first)];
        let end = self.line_end(last);
        if self.longest(start, end) <= 2 * AROUND {
            return TextExcerpt { text: &self.text[start..end], start, line: self.line(first) + 1, clipped: false };
        }
        let line = self.line(place.start);
        let start = self.starts[line].max(place.start.saturating_sub(AROUND));
        let end = self.line_end(place.start).min(place.start + AROUND).max(start);
        let Range { start, end } = whole_letters(self.text, start..end);
        TextExcerpt { text: &self.text[start..end], start, line: line + 1, clipped: true }
    }

    fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start <= at).saturating_sub(1)
    }

    fn line_end(&self, at: usize) -> usize {
        let end = self.starts.get(self.line(at) + 1).map_or(self.text.len(), |next| next - 1);
        if self.text[..end].ends_with('\r') && end > at { end - 1 } else { end }
    }

    fn longest(&self, start: usize, end: usize) -> usize {
        self.text[start..end].split('\n').map(str::len).max().unwrap_or(0)
    }
}

impl<'a> TextExcerpt<'a> {
    /// Adds the piece to the output, with its marks. `at` is the place in its heading.
    pub(crate) fn show(
        &self,
        group: Group<'a>,
        path: &'a str,
        at: TextPosition,
        marks: impl IntoIterator<Item = Annotation<'a>>,
    ) -> Group<'a> {
        let snippet = Snippet::source(self.text).line_start(self.line).fold(false).annotations(marks);
        if self.clipped {
            // The columns of a clipped line are not those of the file.
            group.element(Origin::path(path).line(at.line).char_column(at.column)).element(snippet)
        } else {
            group.element(snippet.path(path))
        }
    }

    /// The range of a place inside the piece; if it spans several lines, only the first.
    pub(crate) fn mark(&self, place: &Range<usize>) -> Range<usize> {
        let start = place.start.saturating_sub(self.start).min(self.text.len());
        let end = place.end.saturating_sub(self.start).clamp(start, self.text.len());
        let line = self.text[start..end].find('\n').map_or(end, |line| start + line);
        start..line
    }
}
