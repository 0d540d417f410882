//! The tree: every value of a file with its place, even when the file has faults of syntax.
//!
//! Only this module knows the parser behind it. The tree is built only when a fault needs a place, never for a file
//! without faults.

use std::ops::Range;

use ron2::ast::{self, Expr};
use ron2::error::{Error, ErrorKind, Span};

use super::bounds;
use super::depth::deeper_than;
use super::fault::{Path, Spot, Step};

/// A value and its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// In bytes of the text.
    pub place: Range<usize>,
    pub value: Value,
}

/// A value as it is written.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    Text(String),
    /// A whole number. None when it is too large.
    Whole(Option<i64>),
    Flag(bool),
    /// A bare word, such as `warm_up`.
    Word(String),
    /// `None`, or `Some(..)` around a value.
    Perhaps(Option<Box<Node>>),
    List(Vec<Node>),
    /// `(name: value, ..)`, with the word before the bracket if there is one.
    Record(Option<Word>, Vec<Field>),
    /// `(value, ..)`, with the word before the bracket if there is one.
    Tuple(Option<Word>, Vec<Node>),
    /// A value that no session file has: a decimal number, a single character, bytes, a map.
    Other(&'static str),
    /// A value that cannot be read.
    Broken,
}

/// A word and its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    pub place: Range<usize>,
    pub word: String,
}

/// A field of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    pub name: Word,
    pub node: Node,
}

/// A fault of syntax, with what to write instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyntaxFault {
    pub place: Range<usize>,
    pub message: String,
    pub help: Option<String>,
    pub reach: Reach,
}

/// How a fault of syntax affects the text after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Not at all: the rest was read correctly.
    Local,
    /// The rest may have been read wrongly.
    Onward,
    /// As [`Reach::Onward`]. In addition, an earlier fault may be the cause of this one: brackets that do not pair.
    Echo,
}

/// A file as a tree, and its faults of syntax.
#[derive(Clone, Debug, PartialEq)]
pub struct Tree {
    pub root: Option<Node>,
    pub faults: Vec<SyntaxFault>,
}

impl Tree {
    /// Reads a text, even one with faults of syntax. None when its tree would take too much memory (more than
    /// [`bounds::TREE_MARKS`] marks) or when it is nested deeper than [`bounds::DEPTH`].
    pub fn read(text: &str) -> Option<Tree> {
        let marks = text.bytes().filter(|b| b.is_ascii_punctuation() && !matches!(b, b'_' | b'-')).count();
        if marks > bounds::TREE_MARKS || deeper_than(bounds::DEPTH, text).is_some() {
            return None;
        }
        let (document, errors) = ast::parse_document_lossy(text);
        let mut faults: Vec<SyntaxFault> = errors.iter().map(|error| syntax_fault(error, text)).collect();
        faults.sort_by_key(|fault| fault.place.start);
        Some(Tree { root: document.value.map(|expr| node(expr, text)), faults })
    }

    /// The place of a spot. When the value is not written, the place of the innermost written value around it.
    pub fn place(&self, spot: &Spot) -> Option<Range<usize>> {
        match spot {
            Spot::File => None,
            Spot::Bytes(place) => Some(place.clone()),
            Spot::Value(path) => self.find(path).map(|found| found.node.place.clone()),
            Spot::Name(path) => self.find(path).map(|found| found.name.unwrap_or(&found.node.place).clone()),
        }
    }

    /// The value of a path. When it is not written, the innermost written value around it.
    fn find(&self, path: &Path) -> Option<Found<'_>> {
        let mut found = Found { node: inner(self.root.as_ref()?), name: None };
        for step in &path.0 {
            match (step, &found.node.value) {
                (Step::Field(name), Value::Record(_, fields)) => {
                    let Some(field) = fields.iter().find(|field| field.name.word == *name) else { break };
                    found = Found { node: inner(&field.node), name: Some(&field.name.place) };
                }
                (Step::Item(index), Value::List(items) | Value::Tuple(_, items)) => {
                    let Some(item) = items.get(*index) else { break };
                    found = Found { node: inner(item), name: None };
                }
                _ => break,
            }
        }
        Some(found)
    }
}

impl Node {
    /// The value of a path. None when a step of the path is not written.
    pub fn at(&self, path: &Path) -> Option<&Node> {
        let mut node = inner(self);
        for step in &path.0 {
            let next = match (step, &node.value) {
                (Step::Field(name), Value::Record(_, fields)) => {
                    fields.iter().find(|field| field.name.word == *name).map(|field| &field.node)
                }
                (Step::Item(index), Value::List(items) | Value::Tuple(_, items)) => items.get(*index),
                _ => None,
            };
            node = inner(next?);
        }
        Some(node)
    }
}

/// The value that a path led to, and the name of its field.
struct Found<'a> {
    node: &'a Node,
    name: Option<&'a Range<usize>>,
}

/// The value inside `Some(..)`.
fn inner(node: &Node) -> &Node {
    match &node.value {
        Value::Perhaps(Some(node)) => inner(node),
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

fn node(expr: Expr<'_>, text: &str) -> Node {
    let place = bytes(expr.span(), text);
    let value = match expr {
        Expr::Unit(_) => Value::Tuple(None, Vec::new()),
        Expr::Bool(flag) => Value::Flag(flag.value),
        Expr::String(string) => Value::Text(string.value),
        Expr::Number(number) => match number.kind {
            ast::NumberKind::Integer | ast::NumberKind::NegativeInteger => Value::Whole(whole(&number.raw)),
            _ => Value::Other("a number with a fraction"),
        },
        Expr::Char(_) => Value::Other("a character in single quotes"),
        Expr::Byte(_) | Expr::Bytes(_) => Value::Other("bytes"),
        Expr::Map(_) => Value::Other("a map in braces"),
        Expr::Option(option) => Value::Perhaps(option.value.map(|some| Box::new(node(some.expr, text)))),
        Expr::Seq(list) => Value::List(list.items.into_iter().map(|item| node(item.expr, text)).collect()),
        Expr::Tuple(tuple) => {
            Value::Tuple(None, tuple.elements.into_iter().map(|item| node(item.expr, text)).collect())
        }
        Expr::AnonStruct(record) => Value::Record(None, fields(record.fields, text)),
        Expr::Struct(named) => {
            let word = word(&named.name, text);
            match named.body {
                None => Value::Word(word.word),
                Some(ast::StructBody::Tuple(tuple)) => {
                    Value::Tuple(Some(word), tuple.elements.into_iter().map(|item| node(item.expr, text)).collect())
                }
                Some(ast::StructBody::Fields(record)) => Value::Record(Some(word), fields(record.fields, text)),
            }
        }
        Expr::Error(_) => Value::Broken,
    };
    Node { place, value }
}

fn fields(fields: Vec<ast::StructField<'_>>, text: &str) -> Vec<Field> {
    fields.into_iter().map(|field| Field { name: word(&field.name, text), node: node(field.value, text) }).collect()
}

fn word(ident: &ast::Ident<'_>, text: &str) -> Word {
    let word = ident.name.strip_prefix("r#").unwrap_or(&ident.name).to_owned();
    Word { place: bytes(&ident.span, text), word }
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
        _ if here.starts_with("/*") => ("this comment has no end", "close it with `*/`", Reach::Onward),
        ErrorKind::Eof => ("the file ends too early", "close every `(` with `)` and every `[` with `]`", Reach::Echo),
        ErrorKind::ExpectedStringEnd | ErrorKind::UnexpectedChar('"') => {
            ("this text has no closing quote", "add the closing quote: `\"`", Reach::Onward)
        }
        ErrorKind::UnexpectedChar(_) => return stray(place, here),
        ErrorKind::InvalidEscape(_) => {
            ("this escape is not a character", "write `\\\\` for a backslash, `\\\"` for a quote", Reach::Local)
        }
        ErrorKind::TrailingCharacters => (
            "there is something after the end of the session",
            "remove it, or look for an extra `)` before it",
            Reach::Echo,
        ),
        ErrorKind::Expected { expected, .. } => match expected.as_ref() {
            "comma" if here.starts_with(':') => {
                ("a list is not closed before this field", "close the list with `]`", Reach::Onward)
            }
            "comma" => ("a comma is missing before this", "put a `,` between the two", Reach::Local),
            "value" => ("a value is missing here", "write the value after the `:`, or remove the field", Reach::Local),
            "`:` after map key" => ("a `:` is missing after this name", "write `name: value`", Reach::Local),
            closing if closing.contains("closing") && !here.is_empty() && !here.starts_with([')', ']', '}']) => {
                return stray(place, here);
            }
            closing if closing.contains("closing `]`") => {
                ("a `]` is missing before this", "close the list with `]`", Reach::Echo)
            }
            closing if closing.contains("closing `)`") => {
                ("a `)` is missing before this", "close the bracket with `)`", Reach::Echo)
            }
            _ => ("this cannot be read", "", Reach::Onward),
        },
        _ => ("this cannot be read", "", Reach::Onward),
    };
    let place = if message.starts_with("a list is not closed") { name_before(text, place.start) } else { place };
    let help = (!help.is_empty()).then(|| help.to_owned());
    SyntaxFault { place, message: message.to_owned(), help, reach }
}

/// The fault for a character that has no meaning at its place.
fn stray(place: Range<usize>, here: &str) -> SyntaxFault {
    let letter = here.chars().next().unwrap_or(' ');
    SyntaxFault {
        place: place.start..place.start + letter.len_utf8().min(here.len()),
        message: format!("`{}` does not belong here", letter.escape_debug()),
        help: Some("remove it, or put quotes around the text".to_owned()),
        reach: Reach::Onward,
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
