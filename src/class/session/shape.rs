//! The shape of a file: whether every value has the kind that its field holds.
//!
//! One walk over the tree finds all faults of shape and writes the file again without them. A wrong value is left out
//! or replaced by something harmless. The rest can then be read, and its faults of meaning are found in the same run.

use std::collections::HashMap;
use std::ops::Range;

use super::fault::{Code, Fault, Spot};
use super::fields::{Choice, Default, Field, Holds, Record, Shape};
use super::shown::shown;
use super::tree::{self, Node, Value, Word};
use crate::near::nearest;

/// The result of a walk over the tree.
#[derive(Debug, Default)]
pub struct Mended {
    pub faults: Vec<Fault>,
    /// The file written again, without its faults of shape.
    pub text: String,
    /// The places that were left out or replaced. Later faults at these places mean nothing.
    pub replaced: Vec<Range<usize>>,
}

/// Checks a tree against the shape of a session. `trusted` is the place up to which the text was read correctly. In a
/// record that continues beyond it, no field is reported as missing.
pub fn mend(text: &str, root: &Node, trusted: usize) -> Mended {
    let mut walk = Walk { source: text, trusted, mended: Mended::default() };
    walk.value(root, &Shape::Record(Record::Session));
    walk.mended
}

struct Walk<'a> {
    source: &'a str,
    trusted: usize,
    mended: Mended,
}

impl Walk<'_> {
    /// Writes a value that has this shape. For any other value it reports a fault and writes something harmless.
    fn value(&mut self, node: &Node, shape: &Shape) {
        match (&node.value, shape) {
            (Value::Perhaps(Some(inner)), _) => self.value(inner, shape),
            (_, Shape::Either(one, other)) => {
                let chosen = if fits_loosely(node, one) { one } else { other };
                if fits_loosely(node, chosen) {
                    self.value(node, chosen);
                } else {
                    self.wrong_kind(node, shape);
                }
            }
            (Value::Text(_), Shape::Text(_) | Shape::Lines(_) | Shape::Length | Shape::Tempo)
            | (Value::Whole(Some(_)), Shape::Count(..))
            | (Value::Flag(_), Shape::Flag) => self.keep(node),
            (Value::Word(word), Shape::Word(words)) => {
                let words = words();
                if words.contains(word) {
                    self.keep(node);
                } else {
                    self.unknown_word(&node.place, word, &words);
                    self.stand_in(node, shape);
                }
            }
            (Value::List(items), Shape::List(of)) => {
                self.push("[");
                for item in items {
                    self.value(item, of);
                    self.push(",");
                }
                self.push("]");
            }
            (Value::Tuple(None, items), Shape::Tuple(of)) if items.len() == of.len() => {
                self.push("(");
                for (item, of) in items.iter().zip(*of) {
                    self.value(item, of);
                    self.push(",");
                }
                self.push(")");
            }
            (Value::Record(_, fields), Shape::Record(record)) => self.record(node, fields, *record),
            (Value::Tuple(_, items), Shape::Record(record)) if items.is_empty() => self.record(node, &[], *record),
            (Value::Word(word), Shape::Choice(choices)) => {
                let word = Word { place: node.place.clone(), word: word.clone() };
                self.choice(node, &word, choices, Bracket::None);
            }
            (Value::Record(Some(word), fields), Shape::Choice(choices)) => {
                self.choice(node, word, choices, Bracket::Fields(fields));
            }
            (Value::Tuple(Some(word), items), Shape::Choice(choices)) => {
                self.choice(node, word, choices, Bracket::Values(items));
            }
            (Value::Broken, _) => self.stand_in(node, shape),
            _ => self.wrong_kind(node, shape),
        }
    }

    fn record(&mut self, node: &Node, fields: &[tree::Field], record: Record) {
        self.push("(");
        let mut firsts: HashMap<&str, &Word> = HashMap::new();
        for field in fields {
            let first = *firsts.entry(&field.name.word).or_insert(&field.name);
            if !std::ptr::eq(first, &field.name) {
                self.repeated(field, first);
            } else if let Some(known) = record.field(&field.name.word) {
                self.push(known.name);
                self.push(":");
                if field.node.value == Value::Perhaps(None) && !matches!(known.default, Default::Needed) {
                    self.keep(&field.node);
                } else {
                    self.value(&field.node, &known.shape);
                }
                self.push(",");
            } else if field.name.place.is_empty() && field.node.value == Value::Broken {
                self.mended.replaced.push(field.node.place.clone());
            } else {
                self.unknown_field(field, record);
            }
        }
        for known in record.fields().iter().filter(|known| matches!(known.default, Default::Needed)) {
            if !firsts.contains_key(known.name) {
                self.missing(node, record, known);
            }
        }
        self.push(")");
    }

    fn choice(&mut self, node: &Node, word: &Word, choices: &'static [Choice], bracket: Bracket<'_>) {
        let Some(choice) = choices.iter().find(|choice| choice.word == word.word) else {
            let words: Vec<String> = choices.iter().map(|choice| choice.word.to_owned()).collect();
            self.unknown_word(&word.place, &word.word, &words);
            return self.stand_in(node, &Shape::Choice(choices));
        };
        match (choice.holds, bracket) {
            (Holds::Nothing, Bracket::None) => self.push(choice.word),
            (Holds::Fields(record), Bracket::Fields(fields)) => {
                self.push(choice.word);
                self.record(node, fields, record);
            }
            (Holds::Fields(record), Bracket::Values([])) => {
                self.push(choice.word);
                self.record(node, &[], record);
            }
            (Holds::One(shape), Bracket::Values([value])) => {
                self.push(choice.word);
                self.push("(");
                self.value(value, shape);
                self.push(")");
            }
            _ => {
                let fault = Fault::new(Code::WrongKind, at(node), format!("`{}` is not written like this", word.word));
                self.say(fault.help(format!("write {}", choice.what())));
                self.stand_in(node, &Shape::Choice(choices));
            }
        }
    }

    fn wrong_kind(&mut self, node: &Node, shape: &Shape) {
        let message = format!("expected {}, found {}", kind(shape), what(&node.value));
        let fault = Fault::new(Code::WrongKind, at(node), message);
        self.say(fault.help(format!("write {}", self.hint(node, shape))));
        self.stand_in(node, shape);
    }

    /// What to write: the corrected value when that is easy to tell, else the shape in words.
    fn hint(&self, node: &Node, shape: &Shape) -> String {
        let written = &self.source[node.place.clone()];
        match (&node.value, shape) {
            (Value::Whole(Some(number)), Shape::Length) if *number > 0 => format!("\"{number}s\", if you mean seconds"),
            (Value::Word(word), Shape::Text(_) | Shape::Lines(_) | Shape::Length) => format!("\"{word}\", in quotes"),
            (Value::Text(text), Shape::Count(..)) if text.trim().parse::<i64>().is_ok() => {
                format!("{}, without quotes", text.trim())
            }
            (Value::Text(text), Shape::Word(words)) if words().contains(text) => format!("{text}, without quotes"),
            (Value::Text(text), Shape::Choice(choices)) if choices.iter().any(|choice| choice.word == text) => {
                format!("{text}, without quotes")
            }
            (Value::Text(text), Shape::Flag) if text == "true" || text == "false" => format!("{text}, without quotes"),
            (value, Shape::List(of)) if written.len() <= 40 && !written.contains('\n') && *value != Value::Broken => {
                if fits_loosely(node, of) {
                    format!("[{written}], in square brackets")
                } else {
                    shape.what()
                }
            }
            _ => shape.what(),
        }
    }

    fn unknown_word(&mut self, place: &Range<usize>, word: &str, words: &[String]) {
        if self.is_full() {
            return;
        }
        let fault =
            Fault::new(Code::UnknownWord, Spot::Bytes(place.clone()), format!("`{}` is not known here", shown(word)));
        let near = nearest(word, words.iter().map(String::as_str));
        self.say(fault.help(match near {
            Some(near) => format!("did you mean {near}? Known words: {}", words.join(", ")),
            None => format!("write one of {}", words.join(", ")),
        }));
    }

    fn unknown_field(&mut self, field: &tree::Field, record: Record) {
        self.mended.replaced.push(field.name.place.start..field.node.place.end);
        if self.is_full() {
            return;
        }
        let names = record.fields().iter().map(|known| known.name);
        let name = &field.name.word;
        let message = format!("{} has no field `{}`", record.what(), shown(name));
        let fault = Fault::new(Code::UnknownField, Spot::Bytes(field.name.place.clone()), message);
        self.say(fault.help(match nearest(name, names.clone()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("its fields are {}", names.collect::<Vec<_>>().join(", ")),
        }));
    }

    fn repeated(&mut self, field: &tree::Field, first: &Word) {
        let message = format!("`{}` is written twice", shown(&field.name.word));
        let fault = Fault::new(Code::RepeatedField, Spot::Bytes(field.name.place.clone()), message);
        self.say(fault.help("keep one of the two").beside(Spot::Bytes(first.place.clone()), "the first is here"));
        self.mended.replaced.push(field.name.place.start..field.node.place.end);
    }

    fn missing(&mut self, node: &Node, record: Record, field: &Field) {
        // A record can have many lines. Only its beginning is marked, because the field could be written there.
        let head = self.source[node.place.clone()].find('(').map_or(node.place.end, |open| node.place.start + open + 1);
        if node.place.end <= self.trusted {
            let message = format!("{} needs `{}`", record.what(), field.name);
            let fault = Fault::new(Code::MissingField, Spot::Bytes(node.place.start..head), message);
            self.say(fault.help(format!("write {}: {}", field.name, field.example)));
        }
        self.push(field.name);
        self.push(":");
        self.push(&stand_in(&field.shape));
        self.push(",");
    }

    fn say(&mut self, fault: Fault) {
        if !self.is_full() {
            self.mended.faults.push(fault);
        }
    }

    /// Whether there are already as many faults as are reported. Then it is not worth looking for the right names.
    fn is_full(&self) -> bool {
        self.mended.faults.len() >= super::bounds::FAULTS
    }

    fn push(&mut self, text: &str) {
        self.mended.text.push_str(text);
    }

    fn keep(&mut self, node: &Node) {
        self.mended.text.push_str(&self.source[node.place.clone()]);
    }

    fn stand_in(&mut self, node: &Node, shape: &Shape) {
        self.mended.replaced.push(node.place.clone());
        let text = stand_in(shape);
        self.push(&text);
    }
}

/// The brackets after a word.
enum Bracket<'a> {
    None,
    Fields(&'a [tree::Field]),
    Values(&'a [Node]),
}

fn at(node: &Node) -> Spot {
    Spot::Bytes(node.place.clone())
}

/// Whether the outside of a value has this shape. Values inside it may still be wrong.
fn fits_loosely(node: &Node, shape: &Shape) -> bool {
    match (&node.value, shape) {
        (Value::Perhaps(Some(inner)), _) => fits_loosely(inner, shape),
        (Value::Broken, _)
        | (Value::Text(_), Shape::Text(_) | Shape::Lines(_) | Shape::Length | Shape::Tempo)
        | (Value::Whole(_), Shape::Count(..))
        | (Value::Flag(_), Shape::Flag)
        | (Value::Word(_), Shape::Word(_) | Shape::Choice(_))
        | (Value::List(_), Shape::List(_))
        | (Value::Tuple(None, _), Shape::Tuple(_))
        | (Value::Tuple(Some(_), _) | Value::Record(Some(_), _), Shape::Choice(_))
        | (Value::Record(..), Shape::Record(_)) => true,
        (Value::Tuple(_, items), Shape::Record(_)) => items.is_empty(),
        (_, Shape::Either(one, other)) => fits_loosely(node, one) || fits_loosely(node, other),
        _ => false,
    }
}

/// The kind of value that a shape asks for, as a message names it.
fn kind(shape: &Shape) -> String {
    match shape {
        Shape::Text(_) | Shape::Lines(_) => "a text in quotes".to_owned(),
        Shape::Length => "a length of time in quotes".to_owned(),
        Shape::Tempo => "a tempo in quotes".to_owned(),
        Shape::Count(..) => "a whole number".to_owned(),
        Shape::Flag => "true or false".to_owned(),
        Shape::Word(_) | Shape::Choice(_) => "a word without quotes".to_owned(),
        Shape::List(_) => "a list in [ ]".to_owned(),
        Shape::Tuple(of) => format!("{} values in ( )", of.len()),
        Shape::Record(record) => record.what().to_owned(),
        Shape::Either(one, other) => format!("{} or {}", kind(one), kind(other)),
    }
}

/// A value as a message names it.
fn what(value: &Value) -> &'static str {
    match value {
        Value::Text(_) => "a text",
        Value::Whole(Some(_)) => "a number",
        Value::Whole(None) => "a number that is too large",
        Value::Flag(_) => "true or false",
        Value::Word(_) => "a word without quotes",
        Value::Perhaps(_) => "`None`",
        Value::List(_) => "a list",
        Value::Record(..) => "a record with fields",
        Value::Tuple(_, items) if items.is_empty() => "empty brackets",
        Value::Tuple(..) => "brackets without field names",
        Value::Other(what) => what,
        Value::Broken => "something that cannot be read",
    }
}

/// A harmless value of a shape, as the file would write it.
fn stand_in(shape: &Shape) -> String {
    match shape {
        Shape::Text(_) | Shape::Lines(_) => "\"-\"".to_owned(),
        Shape::Length => "\"1m\"".to_owned(),
        Shape::Tempo => "\"1-0-1-0\"".to_owned(),
        Shape::Count(least, _) => (*least).max(1).to_string(),
        Shape::Flag => "false".to_owned(),
        Shape::Word(words) => words().into_iter().next().unwrap_or_default(),
        Shape::List(of) => format!("[{}]", stand_in(of)),
        Shape::Tuple(of) => format!("({})", of.iter().map(stand_in).collect::<Vec<_>>().join(",")),
        Shape::Record(Record::Station) => "(name:\"-\",work:\"1m\")".to_owned(),
        Shape::Record(Record::Owned) => "(item:\"-\",each:1)".to_owned(),
        Shape::Record(record) => {
            let needed = record.fields().iter().filter(|field| matches!(field.default, Default::Needed));
            let fields: Vec<String> =
                needed.map(|field| format!("{}:{}", field.name, stand_in(&field.shape))).collect();
            format!("({})", fields.join(","))
        }
        Shape::Choice(choices) => choices.first().map(|choice| choice.word.to_owned()).unwrap_or_default(),
        // A station as a record needs no catalogue; a station as a text would need one.
        Shape::Either(_, other @ Shape::Record(Record::Station)) => stand_in(other),
        Shape::Either(one, _) => stand_in(one),
    }
}
