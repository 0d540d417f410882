//! The shape of a file: whether every value has the shape that its field requires.
//!
//! One walk over the tree finds all faults of shape and writes the file again without them. A wrong value is left out
//! or replaced by something harmless. The rest can then be read, and its faults of meaning are found in the same run.

use std::collections::HashMap;
use std::ops::Range;

use super::excerpt::excerpt;
use super::fault::{Fault, FaultCode, FaultSpot};
use super::fields::{ChoiceContent, ChoiceWord, FieldDefault, FieldInfo, RecordKind, ValueShape};
use super::former_names::name_now;
use super::tree::{self, TreeNode, TreeValue, TreeWord};
use crate::nearest_name::nearest;

/// The result of a walk over the tree.
#[derive(Debug, Default)]
pub(super) struct MendedFile {
    pub faults: Vec<Fault>,
    /// The file written again, without its faults of shape.
    pub text: String,
    /// The places that were left out or replaced. Later faults at these places mean nothing.
    pub replaced: Vec<Range<usize>>,
}

/// Checks a tree against the shape of a session. `trusted` is the place up to which the text was read correctly. In a
/// record that continues beyond it, no field is reported as missing.
pub(super) fn mend(text: &str, root: &TreeNode, trusted: usize) -> MendedFile {
    let mut walk = ShapeWalk { source: text, trusted_until: trusted, mended: MendedFile::default() };
    walk.value(root, &ValueShape::Record(RecordKind::Session));
    walk.mended
}

struct ShapeWalk<'a> {
    source: &'a str,
    trusted_until: usize,
    mended: MendedFile,
}

impl ShapeWalk<'_> {
    /// Writes a value that has this shape. For any other value it reports a fault and writes something harmless.
    fn value(&mut self, node: &TreeNode, shape: &ValueShape) {
        match (&node.value, shape) {
            (TreeValue::Perhaps(Some(inner)), _) => self.value(inner, shape),
            (_, ValueShape::Either(one, other)) => {
                let chosen = if fits_loosely(node, one) { one } else { other };
                if fits_loosely(node, chosen) {
                    self.value(node, chosen);
                } else {
                    self.wrong_kind(node, shape);
                }
            }
            (
                TreeValue::Text(_),
                ValueShape::Text(_) | ValueShape::Lines(_) | ValueShape::Length | ValueShape::Tempo,
            )
            | (TreeValue::Whole(Some(_)), ValueShape::Count(..))
            | (TreeValue::Bool(_), ValueShape::Bool) => self.keep(node),
            (TreeValue::Word(word), ValueShape::Word(words)) => {
                let words = words();
                if words.contains(word) {
                    self.keep(node);
                } else {
                    self.unknown_word(&node.place, word, &words);
                    self.write_placeholder(node, shape);
                }
            }
            (TreeValue::List(items), ValueShape::List(of)) => {
                self.push("[");
                for item in items {
                    self.value(item, of);
                    self.push(",");
                }
                self.push("]");
            }
            (TreeValue::Tuple(None, items), ValueShape::Tuple(of)) if items.len() == of.len() => {
                self.push("(");
                for (item, of) in items.iter().zip(*of) {
                    self.value(item, of);
                    self.push(",");
                }
                self.push(")");
            }
            (TreeValue::Record(_, fields), ValueShape::Record(record)) => self.record(node, fields, *record),
            (TreeValue::Tuple(_, items), ValueShape::Record(record)) if items.is_empty() => {
                self.record(node, &[], *record)
            }
            (TreeValue::Word(word), ValueShape::Choice(choices)) => {
                let word = TreeWord { place: node.place.clone(), word: word.clone() };
                self.choice(node, &word, choices, BracketContent::None);
            }
            (TreeValue::Record(Some(word), fields), ValueShape::Choice(choices)) => {
                self.choice(node, word, choices, BracketContent::Fields(fields));
            }
            (TreeValue::Tuple(Some(word), items), ValueShape::Choice(choices)) => {
                self.choice(node, word, choices, BracketContent::Values(items));
            }
            (TreeValue::Broken, _) => self.write_placeholder(node, shape),
            _ => self.wrong_kind(node, shape),
        }
    }

    fn record(&mut self, node: &TreeNode, fields: &[tree::TreeField], record: RecordKind) {
        self.push("(");
        let mut firsts: HashMap<&str, &TreeWord> = HashMap::new();
        for field in fields {
            let first = *firsts.entry(&field.name.word).or_insert(&field.name);
            if !std::ptr::eq(first, &field.name) {
                self.repeated(field, first);
            } else if let Some(known) = record.field(&field.name.word) {
                self.push(known.name);
                self.push(":");
                if field.node.value == TreeValue::Perhaps(None) && !matches!(known.default, FieldDefault::Needed) {
                    self.keep(&field.node);
                } else {
                    self.value(&field.node, &known.shape);
                }
                self.push(",");
            } else if field.name.place.is_empty() && field.node.value == TreeValue::Broken {
                self.mended.replaced.push(field.node.place.clone());
            } else {
                self.unknown_field(field, record);
            }
        }
        for known in record.fields().iter().filter(|known| matches!(known.default, FieldDefault::Needed)) {
            if !firsts.contains_key(known.name) {
                self.missing(node, record, known);
            }
        }
        self.push(")");
    }

    fn choice(
        &mut self,
        node: &TreeNode,
        word: &TreeWord,
        choices: &'static [ChoiceWord],
        bracket: BracketContent<'_>,
    ) {
        let Some(choice) = choices.iter().find(|choice| choice.word == word.word) else {
            let words: Vec<String> = choices.iter().map(|choice| choice.word.to_owned()).collect();
            self.unknown_word(&word.place, &word.word, &words);
            return self.write_placeholder(node, &ValueShape::Choice(choices));
        };
        match (choice.content, bracket) {
            (ChoiceContent::Nothing, BracketContent::None) => self.push(choice.word),
            (ChoiceContent::Fields(record), BracketContent::Fields(fields)) => {
                self.push(choice.word);
                self.record(node, fields, record);
            }
            (ChoiceContent::Fields(record), BracketContent::Values([])) => {
                self.push(choice.word);
                self.record(node, &[], record);
            }
            (ChoiceContent::One(shape), BracketContent::Values([value])) => {
                self.push(choice.word);
                self.push("(");
                self.value(value, shape);
                self.push(")");
            }
            _ => {
                let fault =
                    Fault::new(FaultCode::WrongKind, at(node), format!("`{}` is not written like this", word.word));
                self.say(fault.help(format!("write {}", choice.what())));
                self.write_placeholder(node, &ValueShape::Choice(choices));
            }
        }
    }

    fn wrong_kind(&mut self, node: &TreeNode, shape: &ValueShape) {
        let message = format!("expected {}, found {}", kind(shape), what(&node.value));
        let fault = Fault::new(FaultCode::WrongKind, at(node), message);
        self.say(fault.help(format!("write {}", self.hint(node, shape))));
        self.write_placeholder(node, shape);
    }

    /// What to write: the corrected value when that is easy to tell, else the shape in words.
    fn hint(&self, node: &TreeNode, shape: &ValueShape) -> String {
        let written = &self.source[node.place.clone()];
        match (&node.value, shape) {
            (TreeValue::Whole(Some(number)), ValueShape::Length) if *number > 0 => {
                format!("\"{number}s\", if you mean seconds")
            }
            (TreeValue::Word(word), ValueShape::Text(_) | ValueShape::Lines(_) | ValueShape::Length) => {
                format!("\"{word}\", in quotes")
            }
            (TreeValue::Text(text), ValueShape::Count(..)) if text.trim().parse::<i64>().is_ok() => {
                format!("{}, without quotes", text.trim())
            }
            (TreeValue::Text(text), ValueShape::Word(words)) if words().contains(text) => {
                format!("{text}, without quotes")
            }
            (TreeValue::Text(text), ValueShape::Choice(choices))
                if choices.iter().any(|choice| choice.word == text) =>
            {
                format!("{text}, without quotes")
            }
            (TreeValue::Text(text), ValueShape::Bool) if text == "true" || text == "false" => {
                format!("{text}, without quotes")
            }
            (value, ValueShape::List(of))
                if written.len() <= 40 && !written.contains('\n') && *value != TreeValue::Broken =>
            {
                if fits_loosely(node, of) { format!("[{written}], in square brackets") } else { shape.what() }
            }
            _ => shape.what(),
        }
    }

    fn unknown_word(&mut self, place: &Range<usize>, word: &str, words: &[String]) {
        if self.is_full() {
            return;
        }
        let fault = Fault::new(
            FaultCode::UnknownWord,
            FaultSpot::Bytes(place.clone()),
            format!("`{}` is not known here", excerpt(word)),
        );
        let near = nearest(word, words.iter().map(String::as_str));
        self.say(fault.help(match near {
            Some(near) => format!("did you mean {near}? Known words: {}", words.join(", ")),
            None => format!("write one of {}", words.join(", ")),
        }));
    }

    fn unknown_field(&mut self, field: &tree::TreeField, record: RecordKind) {
        self.mended.replaced.push(field.name.place.start..field.node.place.end);
        if self.is_full() {
            return;
        }
        let names = record.fields().iter().map(|known| known.name);
        let name = &field.name.word;
        let message = format!("{} has no field `{}`", record.what(), excerpt(name));
        let fault = Fault::new(FaultCode::UnknownField, FaultSpot::Bytes(field.name.place.clone()), message);
        let renamed = name_now(name).filter(|now| names.clone().any(|known| known == *now));
        self.say(fault.help(match (renamed, nearest(name, names.clone())) {
            (Some(now), _) => format!("`{name}` is called `{now}` now"),
            (None, Some(near)) => format!("did you mean `{near}`?"),
            (None, None) => format!("its fields are {}", names.collect::<Vec<_>>().join(", ")),
        }));
    }

    fn repeated(&mut self, field: &tree::TreeField, first: &TreeWord) {
        let message = format!("`{}` is written twice", excerpt(&field.name.word));
        let fault = Fault::new(FaultCode::RepeatedField, FaultSpot::Bytes(field.name.place.clone()), message);
        self.say(fault.help("keep one of the two").related(FaultSpot::Bytes(first.place.clone()), "the first is here"));
        self.mended.replaced.push(field.name.place.start..field.node.place.end);
    }

    fn missing(&mut self, node: &TreeNode, record: RecordKind, field: &FieldInfo) {
        // A record can have many lines. Only its beginning is marked, because the field could be written there.
        let head = self.source[node.place.clone()].find('(').map_or(node.place.end, |open| node.place.start + open + 1);
        if node.place.end <= self.trusted_until {
            let message = format!("{} needs `{}`", record.what(), field.name);
            let fault = Fault::new(FaultCode::MissingField, FaultSpot::Bytes(node.place.start..head), message);
            self.say(fault.help(format!("write {}: {}", field.name, field.example)));
        }
        self.push(field.name);
        self.push(":");
        self.push(&placeholder_of(&field.shape));
        self.push(",");
    }

    fn say(&mut self, fault: Fault) {
        if !self.is_full() {
            self.mended.faults.push(fault);
        }
    }

    /// Whether there are already as many faults as are reported. Then it is not worth looking for the right names.
    fn is_full(&self) -> bool {
        self.mended.faults.len() >= super::limits::FAULTS
    }

    fn push(&mut self, text: &str) {
        self.mended.text.push_str(text);
    }

    fn keep(&mut self, node: &TreeNode) {
        self.mended.text.push_str(&self.source[node.place.clone()]);
    }

    fn write_placeholder(&mut self, node: &TreeNode, shape: &ValueShape) {
        self.mended.replaced.push(node.place.clone());
        let text = placeholder_of(shape);
        self.push(&text);
    }
}

/// The brackets after a word.
enum BracketContent<'a> {
    None,
    Fields(&'a [tree::TreeField]),
    Values(&'a [TreeNode]),
}

fn at(node: &TreeNode) -> FaultSpot {
    FaultSpot::Bytes(node.place.clone())
}

/// Whether the outside of a value has this shape. Values inside it may still be wrong.
fn fits_loosely(node: &TreeNode, shape: &ValueShape) -> bool {
    match (&node.value, shape) {
        (TreeValue::Perhaps(Some(inner)), _) => fits_loosely(inner, shape),
        (TreeValue::Broken, _)
        | (TreeValue::Text(_), ValueShape::Text(_) | ValueShape::Lines(_) | ValueShape::Length | ValueShape::Tempo)
        | (TreeValue::Whole(_), ValueShape::Count(..))
        | (TreeValue::Bool(_), ValueShape::Bool)
        | (TreeValue::Word(_), ValueShape::Word(_) | ValueShape::Choice(_))
        | (TreeValue::List(_), ValueShape::List(_))
        | (TreeValue::Tuple(None, _), ValueShape::Tuple(_))
        | (TreeValue::Tuple(Some(_), _) | TreeValue::Record(Some(_), _), ValueShape::Choice(_))
        | (TreeValue::Record(..), ValueShape::Record(_)) => true,
        (TreeValue::Tuple(_, items), ValueShape::Record(_)) => items.is_empty(),
        (_, ValueShape::Either(one, other)) => fits_loosely(node, one) || fits_loosely(node, other),
        _ => false,
    }
}

/// The kind of value that a shape requires, as a message names it.
fn kind(shape: &ValueShape) -> String {
    match shape {
        ValueShape::Text(_) | ValueShape::Lines(_) => "a text in quotes".to_owned(),
        ValueShape::Length => "a length of time in quotes".to_owned(),
        ValueShape::Tempo => "a tempo in quotes".to_owned(),
        ValueShape::Count(..) => "a whole number".to_owned(),
        ValueShape::Bool => "true or false".to_owned(),
        ValueShape::Word(_) | ValueShape::Choice(_) => "a word without quotes".to_owned(),
        ValueShape::List(_) => "a list in [ ]".to_owned(),
        ValueShape::Tuple(of) => format!("{} values in ( )", of.len()),
        ValueShape::Record(record) => record.what().to_owned(),
        ValueShape::Either(one, other) => format!("{} or {}", kind(one), kind(other)),
    }
}

/// A value as a message names it.
fn what(value: &TreeValue) -> &'static str {
    match value {
        TreeValue::Text(_) => "a text",
        TreeValue::Whole(Some(_)) => "a number",
        TreeValue::Whole(None) => "a number that is too large",
        TreeValue::Bool(_) => "true or false",
        TreeValue::Word(_) => "a word without quotes",
        TreeValue::Perhaps(_) => "`None`",
        TreeValue::List(_) => "a list",
        TreeValue::Record(..) => "a record with fields",
        TreeValue::Tuple(_, items) if items.is_empty() => "empty brackets",
        TreeValue::Tuple(..) => "brackets without field names",
        TreeValue::Other(what) => what,
        TreeValue::Broken => "something that cannot be read",
    }
}

/// A harmless value of a shape, as the file would write it.
fn placeholder_of(shape: &ValueShape) -> String {
    match shape {
        ValueShape::Text(_) | ValueShape::Lines(_) => "\"-\"".to_owned(),
        ValueShape::Length => "\"1m\"".to_owned(),
        ValueShape::Tempo => "\"1-0-1-0\"".to_owned(),
        ValueShape::Count(least, _) => (*least).max(1).to_string(),
        ValueShape::Bool => "false".to_owned(),
        ValueShape::Word(words) => words().into_iter().next().unwrap_or_default(),
        ValueShape::List(of) => format!("[{}]", placeholder_of(of)),
        ValueShape::Tuple(of) => format!("({})", of.iter().map(placeholder_of).collect::<Vec<_>>().join(",")),
        ValueShape::Record(RecordKind::Station) => "(name:\"-\",work:\"1m\")".to_owned(),
        ValueShape::Record(RecordKind::Owned) => "(item:\"-\",each:1)".to_owned(),
        ValueShape::Record(record) => {
            let needed = record.fields().iter().filter(|field| matches!(field.default, FieldDefault::Needed));
            let fields: Vec<String> =
                needed.map(|field| format!("{}:{}", field.name, placeholder_of(&field.shape))).collect();
            format!("({})", fields.join(","))
        }
        ValueShape::Choice(choices) => choices.first().map(|choice| choice.word.to_owned()).unwrap_or_default(),
        // A station as a record needs no catalogue; a station as a text would need one.
        ValueShape::Either(_, other @ ValueShape::Record(RecordKind::Station)) => placeholder_of(other),
        ValueShape::Either(one, _) => placeholder_of(one),
    }
}
