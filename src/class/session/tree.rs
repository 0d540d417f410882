//! The tree: every value of a file with its place, even when the file has faults of syntax.
//!
//! Only this module knows the parser behind it. The tree is built only when a fault needs a place, never for a file
//! without faults.

use std::ops::Range;

use ron2::ast::{self, Expr};
use ron2::error::{Error, ErrorKind, Span};

use super::fault::{FaultSpot, PathStep, ValuePath};
use super::limits;
use super::nesting::deeper_than;

/// A value and its place.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeNode {
    /// In bytes of the text.
    pub place: Range<usize>,
    pub value: TreeValue,
}

/// A value as it is written.
#[derive(Clone, Debug, PartialEq)]
pub enum TreeValue {
    Text(String),
    /// A whole number. None when it is too large.
    Whole(Option<i64>),
    Bool(bool),
    /// A bare word, such as `warm_up`.
    Word(String),
    /// `None`, or `Some(..)` around a value.
    Perhaps(Option<Box<TreeNode>>),
    List(Vec<TreeNode>),
    /// `(name: value, ..)`, with the word before the bracket if there is one.
    Record(Option<TreeWord>, Vec<TreeField>),
    /// `(value, ..)`, with the word before the bracket if there is one.
    Tuple(Option<TreeWord>, Vec<TreeNode>),
    /// A value that no session file has: a decimal number, a single character, bytes, a map.
    Other(&'static str),
    /// A value that cannot be read.
    Broken,
}

/// A word and its place.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeWord {
    pub place: Range<usize>,
    pub word: String,
}

/// A field of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeField {
    pub name: TreeWord,
    pub node: TreeNode,
}

/// A fault of syntax, with what to write instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyntaxFault {
    pub place: Range<usize>,
    pub message: String,
    pub help: Option<String>,
    pub reach: SyntaxReach,
}

/// How a fault of syntax affects the text after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SyntaxReach {
    /// Not at all: the rest was read correctly.
    Local,
    /// The rest may have been read wrongly.
    Onward,
    /// As [`SyntaxReach::Onward`]. In addition, an earlier fault may be the cause of this one: brackets that do not
    /// pair.
    Echo,
}

/// A file as a tree, and its faults of syntax.
#[derive(Clone, Debug, PartialEq)]
pub struct FileTree {
    pub root: Option<TreeNode>,
    pub faults: Vec<SyntaxFault>,
}

impl FileTree {
    /// Reads a text, even one with faults of syntax. None when its tree would take too much memory (more than
    /// [`limits::TREE_MARKS`] marks) or when it is nested deeper than [`limits::DEPTH`].
    pub fn read(text: &str) -> Option<FileTree> {
        let marks = text.bytes().filter(|b| b.is_ascii_punctuation() && !matches!(b, b'_' | b'-')).count();
        if marks > limits::TREE_MARKS || deeper_than(limits::DEPTH, text).is_some() {
            return None;
        }
        let (document, errors) = ast::parse_document_lossy(text);
        let mut faults: Vec<SyntaxFault> = errors.iter().map(|error| syntax_fault(error, text)).collect();
        faults.sort_by_key(|fault| fault.place.start);
        Some(FileTree { root: document.value.map(|expr| node(expr, text)), faults })
    }

    /// The place of a spot. When the value is not written, the place of the innermost written value around it.
    pub fn place(&self, spot: &FaultSpot) -> Option<Range<usize>> {
        match spot {
            FaultSpot::File => None,
            FaultSpot::Bytes(place) => Some(place.clone()),
            FaultSpot::Value(path) => self.find(path).map(|found| found.node.place.clone()),
            FaultSpot::Name(path) => self.find(path).map(|found| found.name.unwrap_or(&found.node.place).clone()),
        }
    }

    /// The value of a path. When it is not written, the innermost written value around it.
    fn find(&self, path: &ValuePath) -> Option<PathTarget<'_>> {
        let mut found = PathTarget { node: inner(self.root.as_ref()?), name: None };
        for step in &path.0 {
            match (step, &found.node.value) {
                (PathStep::Field(name), TreeValue::Record(_, fields)) => {
                    let Some(field) = fields.iter().find(|field| field.name.word == *name) else { break };
                    found = PathTarget { node: inner(&field.node), name: Some(&field.name.place) };
                }
                (PathStep::Item(index), TreeValue::List(items) | TreeValue::Tuple(_, items)) => {
                    let Some(item) = items.get(*index) else { break };
                    found = PathTarget { node: inner(item), name: None };
                }
                _ => break,
            }
        }
        Some(found)
    }
}

impl TreeNode {
    /// The value of a path. None when a step of the path is not written.
    pub fn at(&self, path: &ValuePath) -> Option<&TreeNode> {
        let mut node = inner(self);
        for step in &path.0 {
            let next = match (step, &node.value) {
                (PathStep::Field(name), TreeValue::Record(_, fields)) => {
                    fields.iter().find(|field| field.name.word == *name).map(|field| &field.node)
                }
                (PathStep::Item(index), TreeValue::List(items) | TreeValue::Tuple(_, items)) => items.get(*index),
                _ => None,
            };
            node = inner(next?);
        }
        Some(node)
    }
}

/// The value that a path led to, and the name of its field.
struct PathTarget<'a> {
    node: &'a TreeNode,
    name: Option<&'a Range<usize>>,
}

/// The value inside `Some(..)`.
fn inner(node: &TreeNode) -> &TreeNode {
    match &node.value {
        TreeValue::Perhaps(Some(node)) => inner(node),
        _ => node,
    }
}

/// A span of the parser as a range of bytes.
fn bytes(span: &Span, text: &str) -> Range<usize> {
    whole_letters(text, span.start_offset..span.end_offset)
}

/// A range of bytes, widened to whole characters and cut to the text.
pub fn whole_letters(text: &str, place: Range<usize>) -> Range<usize> {
    let (mut start, mut end) = (place.start.min(text.len()), place.end.min(text.len()));
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    end = end.max(start);
    while !text.is_char_boundary(end) {
        end += 1;
    }
    start..end
}

fn node(expr: Expr<'_>, text: &str) -> TreeNode {
    let place = bytes(expr.span(), text);
    let value = match expr {
        Expr::Unit(_) => TreeValue::Tuple(None, Vec::new()),
        Expr::Bool(flag) => TreeValue::Bool(flag.value),
        Expr::String(string) => TreeValue::Text(string.value),
        Expr::Number(number) => match number.kind {
            ast::NumberKind::Integer | ast::NumberKind::NegativeInteger => TreeValue::Whole(whole(&number.raw)),
            _ => TreeValue::Other("a number with a fraction"),
        },
        Expr::Char(_) => TreeValue::Other("a character in single quotes"),
        Expr::Byte(_) | Expr::Bytes(_) => TreeValue::Other("bytes"),
        Expr::Map(_) => TreeValue::Other("a map in braces"),
        Expr::Option(option) => TreeValue::Perhaps(option.value.map(|some| Box::new(node(some.expr, text)))),
        Expr::Seq(list) => TreeValue::List(list.items.into_iter().map(|item| node(item.expr, text)).collect()),
        Expr::Tuple(tuple) => {
            TreeValue::Tuple(None, tuple.elements.into_iter().map(|item| node(item.expr, text)).collect())
        }
        Expr::AnonStruct(record) => TreeValue::Record(None, fields(record.fields, text)),
        Expr::Struct(named) => {
            let word = word(&named.name, text);
            match named.body {
                None => TreeValue::Word(word.word),
                Some(ast::StructBody::Tuple(tuple)) => {
                    TreeValue::Tuple(Some(word), tuple.elements.into_iter().map(|item| node(item.expr, text)).collect())
                }
                Some(ast::StructBody::Fields(record)) => TreeValue::Record(Some(word), fields(record.fields, text)),
            }
        }
        Expr::Error(_) => TreeValue::Broken,
    };
    TreeNode { place, value }
}

fn fields(fields: Vec<ast::StructField<'_>>, text: &str) -> Vec<TreeField> {
    fields.into_iter().map(|field| TreeField { name: word(&field.name, text), node: node(field.value, text) }).collect()
}

fn word(ident: &ast::Ident<'_>, text: &str) -> TreeWord {
    let word = ident.name.strip_prefix("r#").unwrap_or(&ident.name).to_owned();
    TreeWord { place: bytes(&ident.span, text), word }
}

/// Reads a whole number as RON writes it: with a sign, a base and underscores. None when it does not fit.
fn whole(raw: &str) -> Option<i64> {
    let (sign, digits) = match raw.as_bytes().first()? {
        b'-' => (-1, &raw[1..]),
        b'+' => (1, &raw[1..]),
        _ => (1, raw),
    };
    let digits: String = digits.chars().filter(|&c| c != '_').collect();
    let (base, digits) = match digits.get(..2) {
        Some("0x") => (16, &digits[2..]),
        Some("0o") => (8, &digits[2..]),
        Some("0b") => (2, &digits[2..]),
        _ => (10, &digits[..]),
    };
    i64::try_from(i128::from_str_radix(digits, base).ok()? * sign).ok()
}

/// A fault of syntax, in words for a coach.
fn syntax_fault(error: &Error, text: &str) -> SyntaxFault {
    let place = bytes(error.span(), text);
    let here = &text[place.start..];
    let (message, help, reach) = match error.kind() {
        _ if here.starts_with("/*") => ("this comment has no end", "close it with `*/`", SyntaxReach::Onward),
        ErrorKind::Eof => {
            ("the file ends too early", "close every `(` with `)` and every `[` with `]`", SyntaxReach::Echo)
        }
        ErrorKind::ExpectedStringEnd | ErrorKind::UnexpectedChar('"') => {
            ("this text has no closing quote", "add the closing quote: `\"`", SyntaxReach::Onward)
        }
        ErrorKind::UnexpectedChar(_) => return stray_character(place, here),
        ErrorKind::InvalidEscape(_) => {
            ("this escape is not a character", "write `\\\\` for a backslash, `\\\"` for a quote", SyntaxReach::Local)
        }
        ErrorKind::TrailingCharacters => (
            "there is something after the end of the session",
            "remove it, or look for an extra `)` before it",
            SyntaxReach::Echo,
        ),
        ErrorKind::Expected { expected, .. } => match expected.as_ref() {
            "comma" if here.starts_with(':') => {
                ("a list is not closed before this field", "close the list with `]`", SyntaxReach::Onward)
            }
            "comma" => ("a comma is missing before this", "put a `,` between the two", SyntaxReach::Local),
            "value" => {
                ("a value is missing here", "write the value after the `:`, or remove the field", SyntaxReach::Local)
            }
            "`:` after map key" => ("a `:` is missing after this name", "write `name: value`", SyntaxReach::Local),
            closing if closing.contains("closing") && !here.is_empty() && !here.starts_with([')', ']', '}']) => {
                return stray_character(place, here);
            }
            closing if closing.contains("closing `]`") => {
                ("a `]` is missing before this", "close the list with `]`", SyntaxReach::Echo)
            }
            closing if closing.contains("closing `)`") => {
                ("a `)` is missing before this", "close the bracket with `)`", SyntaxReach::Echo)
            }
            _ => ("this cannot be read", "", SyntaxReach::Onward),
        },
        _ => ("this cannot be read", "", SyntaxReach::Onward),
    };
    let place = if message.starts_with("a list is not closed") { name_before(text, place.start) } else { place };
    let help = (!help.is_empty()).then(|| help.to_owned());
    SyntaxFault { place, message: message.to_owned(), help, reach }
}

/// The fault for a character that has no meaning at its place.
fn stray_character(place: Range<usize>, here: &str) -> SyntaxFault {
    let letter = here.chars().next().unwrap_or(' ');
    SyntaxFault {
        place: place.start..place.start + letter.len_utf8().min(here.len()),
        message: format!("`{}` does not belong here", letter.escape_debug()),
        help: Some("remove it, or put quotes around the text".to_owned()),
        reach: SyntaxReach::Onward,
    }
}

/// The place of the name before a colon.
fn name_before(text: &str, colon: usize) -> Range<usize> {
    let name = text[..colon].trim_end();
    let start = name
        .rfind(|c: char| !c.is_alphanumeric() && c != '_')
        .map_or(0, |before| before + name[before..].chars().next().map_or(1, char::len_utf8));
    start..name.len().max(start)
}
