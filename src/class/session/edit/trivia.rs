//! The text between two values: space, line ends and comments.

use std::ops::Range;

/// A piece of the text between two values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct TriviaPiece {
    pub kind: TriviaKind,
    /// In bytes of the text.
    pub place: Range<usize>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TriviaKind {
    /// Space within a line.
    Space,
    /// The end of a line, with its carriage return if it has one.
    LineEnd,
    /// `// ..` up to the end of its line, or `/* .. */`.
    Comment,
}

/// The pieces from a place on, up to the first byte that is not part of one.
pub(super) fn pieces(text: &str, from: usize) -> Vec<TriviaPiece> {
    let mut pieces = Vec::new();
    let mut at = from;
    while let Some(piece) = piece(text, at) {
        at = piece.place.end;
        pieces.push(piece);
    }
    pieces
}

/// The first byte from a place on that belongs neither to space nor to a comment.
pub(super) fn skip(text: &str, from: usize) -> usize {
    pieces(text, from).last().map_or(from, |piece| piece.place.end)
}

fn piece(text: &str, at: usize) -> Option<TriviaPiece> {
    let rest = &text[at..];
    let (kind, length) = if rest.starts_with('\n') {
        (TriviaKind::LineEnd, 1)
    } else if rest.starts_with("\r\n") {
        (TriviaKind::LineEnd, 2)
    } else if rest.starts_with("//") {
        let line = rest.find('\n').unwrap_or(rest.len());
        (TriviaKind::Comment, rest[..line].trim_end_matches('\r').len())
    } else if rest.starts_with("/*") {
        (TriviaKind::Comment, block_comment(rest)?)
    } else {
        let ends = |&(index, c): &(usize, char)| !c.is_whitespace() || c == '\n' || rest[index..].starts_with("\r\n");
        (TriviaKind::Space, rest.char_indices().find(ends).map_or(rest.len(), |(index, _)| index))
    };
    (length > 0).then(|| TriviaPiece { kind, place: at..at + length })
}

/// The length of the block comment at the start of a text. Block comments nest. None when the comment has no end.
fn block_comment(text: &str) -> Option<usize> {
    let (mut depth, mut at) = (0_usize, 0);
    loop {
        let rest = text.get(at..)?;
        match rest.find(['/', '*']) {
            None => return None,
            Some(next) if rest[next..].starts_with("/*") => (depth, at) = (depth + 1, at + next + 2),
            Some(next) if rest[next..].starts_with("*/") => {
                (depth, at) = (depth - 1, at + next + 2);
                if depth == 0 {
                    return Some(at);
                }
            }
            Some(next) => at += next + 1,
        }
    }
}
