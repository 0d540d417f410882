//! Reads the text of a file into a session, or finds all its faults.
//!
//! RON and serde read the values. A file without faults is read once and needs nothing more. Only when something is
//! wrong, the tree is built. It knows the places, finds the faults of syntax and gives a repaired text, so that the
//! faults of meaning in the rest of the file are found in the same run.

use std::ops::Range;

use super::fault::{Fault, FaultCode, FaultSpot, Severity};
use super::nesting::deeper_than;
use super::resolve::resolve;
use super::shape::mend;
use super::tree::{FileTree, SyntaxFault, SyntaxReach};
use super::{Session, limits, ron_structs};
use crate::movement::Catalogue;

/// The result of reading a file.
#[derive(Debug, Default)]
pub struct SessionReadResult {
    /// None when the file cannot be used.
    pub session: Option<Session>,
    /// Not sorted. [`FaultReport::new`](super::fault::FaultReport::new) finds their places and sorts them.
    pub faults: Vec<Fault>,
}

/// Reads a session file. The time is linear in the length of the text.
pub fn read(text: &str, catalogue: &Catalogue) -> SessionReadResult {
    if text.len() as u64 > limits::FILE {
        let message = format!("the file is larger than {} MB", limits::FILE >> 20);
        let fault = Fault::new(FaultCode::FileTooLarge, FaultSpot::File, message);
        return SessionReadResult { session: None, faults: vec![fault] };
    }
    match parse(text) {
        Ok(written) => {
            let (session, faults) = resolve(&written, catalogue);
            let usable = faults.iter().all(|fault| fault.severity != Severity::Fault);
            SessionReadResult { session: usable.then_some(session), faults }
        }
        Err(error) => SessionReadResult { session: None, faults: faulty(text, &error, catalogue) },
    }
}

/// Reads a text into the structs of the file format, with RON alone.
pub fn parse(text: &str) -> ron::error::SpannedResult<ron_structs::SessionRon<'_>> {
    let options = ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
        .with_recursion_limit(limits::DEPTH);
    options.from_str(text)
}

/// The first line of a text that is a plain list. Such a text begins with a word or a number and has no field that a
/// session needs. None for other texts.
fn listed(text: &str) -> Option<Range<usize>> {
    let start = text.len() - text.trim_start().len();
    let begins = text[start..].starts_with(|c: char| c.is_alphanumeric());
    if !begins || ["title:", "blocks:", "stations:"].iter().any(|field| text.contains(field)) {
        return None;
    }
    let end = text[start..].find('\n').map_or(text.len(), |line| start + line);
    Some(start..end)
}

/// All faults of a text that RON refused.
fn faulty(text: &str, error: &ron::error::SpannedError, catalogue: &Catalogue) -> Vec<Fault> {
    if let Some(bracket) = deeper_than(limits::DEPTH, text) {
        let message = "brackets are nested deeper than any session needs";
        let fault = Fault::new(FaultCode::TooDeep, FaultSpot::Bytes(bracket..bracket + 1), message);
        return vec![fault.help("remove the brackets that you do not need")];
    }
    if let Some(line) = listed(text) {
        let message = "this is a list of movements, not a session file: a session file begins with (";
        let fault = Fault::new(FaultCode::Syntax, FaultSpot::Bytes(line), message);
        return vec![fault.help("to make a session file from it: forecall new --from THIS -o class.ron")];
    }
    let Some(tree) = FileTree::read(text) else { return vec![refused(text, error)] };
    let (mut faults, trusted) = syntax(text, &tree.faults);
    if let Some(root) = &tree.root {
        let mended = mend(text, root, trusted);
        let is_trusted = |place: &Range<usize>| place.start < trusted;
        let of_shape = mended.faults.into_iter();
        faults.extend(of_shape.filter(|fault| tree.place(&fault.at).is_some_and(|place| is_trusted(&place))));
        if let Ok(written) = parse(&mended.text) {
            let replaced = |place: &Range<usize>| {
                mended.replaced.iter().any(|gone| gone.start <= place.start && place.end <= gone.end)
            };
            // When half of a session cannot be read, it has more faults of meaning than the coach has made.
            for fault in resolve(&written, catalogue).1 {
                let Some(place) = tree.place(&fault.at) else { continue };
                let may_be_lost = trusted <= text.len() && fault.code.is_of_absence();
                if is_trusted(&place) && !replaced(&place) && !may_be_lost {
                    let beside =
                        fault.related.and_then(|(spot, why)| Some((FaultSpot::Bytes(tree.place(&spot)?), why)));
                    faults.push(Fault { at: FaultSpot::Bytes(place), related: beside, ..fault });
                }
            }
        }
    }
    if !faults.iter().any(|fault| fault.severity == Severity::Fault) {
        faults.push(refused(text, error));
    }
    faults
}

/// The faults of syntax to report, and the place up to which the text was read correctly.
fn syntax(text: &str, found: &[SyntaxFault]) -> (Vec<Fault>, usize) {
    let mut faults: Vec<Fault> = Vec::new();
    let mut trusted = text.len() + 1;
    let texts = quoted(text);
    let mut line_before = None;
    for fault in found {
        let at = fault.place.start;
        // One mistake often causes more faults on its line, and in the brackets further on.
        let same_line = line_before.clone().filter(|line: &Range<usize>| line.contains(&at) || line.end == at);
        let is_first = same_line.is_none();
        let line = same_line.unwrap_or_else(|| line_around(text, at));
        line_before = Some(line.clone());
        if let Some(quote) = unclosed_quote(text, &texts, &line, at) {
            let fault = Fault::new(
                FaultCode::UnclosedText,
                FaultSpot::Bytes(quote..quote + 1),
                "this text has no closing quote",
            );
            faults.push(fault.help("add the closing quote: `\"`; inside a text write \\\" for a quote"));
            trusted = trusted.min(quote);
            break;
        }
        let is_echo = fault.reach == SyntaxReach::Echo && trusted <= text.len();
        if !is_first || is_echo {
            continue;
        }
        faults.push(Fault {
            help: fault.help.clone(),
            ..Fault::new(FaultCode::Syntax, FaultSpot::Bytes(fault.place.clone()), &*fault.message)
        });
        if fault.reach != SyntaxReach::Local {
            trusted = trusted.min(at);
        }
    }
    (faults, trusted)
}

/// The line of a place, without its end.
fn line_around(text: &str, at: usize) -> Range<usize> {
    let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    start..text[at..].find('\n').map_or(text.len(), |end| at + end)
}

/// The opening quote of a text that is not closed, if it causes the fault of syntax at `at`. After such a quote every
/// text begins where it should end, so the line of the fault ends inside a text.
fn unclosed_quote(text: &str, texts: &[Range<usize>], line: &Range<usize>, at: usize) -> Option<usize> {
    let (last, before) = texts[..texts.partition_point(|quoted| quoted.start < line.end)].split_last()?;
    if last.end <= line.end {
        return None;
    }
    let into_line = texts[..texts.partition_point(|quoted| quoted.start < line.start)].last();
    let covers_line = into_line.filter(|quoted| line.start < quoted.end);
    let just_before = before[..before.partition_point(|quoted| quoted.end <= at)].last();
    let just_before = just_before.filter(|quoted| text[quoted.end..at].trim().is_empty());
    covers_line.or(just_before).or(Some(last).filter(|last| last.start <= at)).map(|quoted| quoted.start)
}

/// The texts in quotes, including their quotes. A text that is not closed ends after the end of the file.
fn quoted(text: &str) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let mut texts = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at..].starts_with(b"//") {
            at += bytes[at..].iter().position(|&byte| byte == b'\n').unwrap_or(bytes.len() - at);
        } else if bytes[at] == b'"' {
            let start = at;
            at += 1;
            while at < bytes.len() && bytes[at] != b'"' {
                at += if bytes[at] == b'\\' { 2 } else { 1 };
            }
            at += 1;
            texts.push(start..at);
        } else {
            at += 1;
        }
    }
    texts
}

/// The fault of a text that RON refused although the tree found no fault in it.
fn refused(text: &str, error: &ron::error::SpannedError) -> Fault {
    let start = offset(text, error.span.start);
    let end = offset(text, error.span.end).max(start);
    let code = match error.code {
        ron::Error::ExceededRecursionLimit => FaultCode::TooDeep,
        _ => FaultCode::Syntax,
    };
    Fault::new(code, FaultSpot::Bytes(start..end), error.code.to_string())
}

/// The place of a line and a column, in bytes.
fn offset(text: &str, position: ron::error::Position) -> usize {
    let line = position.line.saturating_sub(1);
    let start = text.match_indices('\n').nth(line.wrapping_sub(1)).map_or(0, |(end, _)| end + 1);
    let start = if line == 0 { 0 } else { start };
    let rest = &text[start..];
    let column = position.col.saturating_sub(1);
    rest.char_indices().nth(column).map_or(text.len(), |(index, _)| start + index)
}
