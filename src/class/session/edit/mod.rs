//! Edits of a session file. An edit changes one value and leaves every other byte as the coach wrote it.

mod bracket;
mod expected;
mod trivia;

use thiserror::Error;

use self::bracket::{Bracket, Written, spliced};
use super::fault::{Path, Step};
use super::fields::Record;
use super::tree::{Node, Tree, Value};

/// One edit. Values are given as the file writes them: `"45s"` with its quotes, `(move: "squat")`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Sets the value of a field, which is replaced or added. A station that is written as a bare id becomes a record.
    Set { record: Path, field: &'static str, value: String },
    /// Removes a field, so that its default applies. Nothing changes when the field is not there.
    Clear { record: Path, field: &'static str },
    /// Inserts a value into a list, at this index.
    Insert { list: Path, index: usize, value: String },
    /// Removes a value from a list, with the comments on its lines and directly above it.
    Remove { list: Path, index: usize },
    /// Moves a value with its comments to another place in its list or in another list. `to` is counted without the
    /// value itself.
    Move { list: Path, index: usize, into: Path, to: usize },
}

/// Why an edit cannot be made. The text is then left as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum Refused {
    #[error("the file has faults: fix them first")]
    Faulty,
    #[error("there is nothing to edit at this place")]
    NotThere,
    #[error("the new value cannot be read")]
    BadValue,
    /// The edited text does not have the expected content. No edit is better than a wrong one.
    #[error("the layout of the file is too unusual to edit here: edit it by hand")]
    Unsure,
}

/// The text with an edit made.
///
/// # Errors
/// When the text has faults of syntax, when there is no such place, when the value cannot be read, or when the result
/// is not as expected.
pub fn edited(text: &str, edit: &Edit) -> Result<String, Refused> {
    let tree = in_order(text).ok_or(Refused::Faulty)?;
    let root = tree.root.as_ref().ok_or(Refused::Faulty)?;
    let expected = expected::after(root, edit)?;
    let new = match edit {
        Edit::Set { record, field, value } => set(text, at(root, record)?, record, field, value),
        Edit::Clear { record, field } => {
            let record = at(root, record)?;
            let bracket = Bracket::of(text, record).ok_or(Refused::NotThere)?;
            place_of(record, field).map_or_else(|| text.to_owned(), |index| bracket.without(index))
        }
        Edit::Insert { list, index, value } => {
            let bracket = Bracket::of(text, at(root, list)?).ok_or(Refused::NotThere)?;
            bracket.with(*index, &Written::plain(value))
        }
        Edit::Remove { list, index } => {
            let bracket = Bracket::of(text, at(root, list)?).ok_or(Refused::NotThere)?;
            bracket.without(*index)
        }
        Edit::Move { list, index, into, to } => moved(text, root, (list, *index), (into, *to))?,
    };
    let is_as_meant = in_order(&new).and_then(|tree| tree.root).is_some_and(|root| expected::same(&root, &expected));
    if is_as_meant { Ok(new) } else { Err(Refused::Unsure) }
}

/// The text with several edits made in order: either all of them or none.
///
/// # Errors
/// As [`edited`], for the first edit that cannot be made.
pub fn all_edited<'a>(text: &str, edits: impl IntoIterator<Item = &'a Edit>) -> Result<String, Refused> {
    edits.into_iter().try_fold(text.to_owned(), |text, edit| edited(&text, edit))
}

/// The tree of a text. None when it has a fault of syntax.
fn in_order(text: &str) -> Option<Tree> {
    Tree::read(text).filter(|tree| tree.faults.is_empty())
}

fn at<'a>(root: &'a Node, path: &Path) -> Result<&'a Node, Refused> {
    root.at(path).ok_or(Refused::NotThere)
}

/// The index of a field in a record.
fn place_of(record: &Node, name: &str) -> Option<usize> {
    match &record.value {
        Value::Record(_, fields) => fields.iter().position(|field| field.name.word == name),
        _ => None,
    }
}

fn set(text: &str, record: &Node, path: &Path, name: &str, value: &str) -> String {
    if let Value::Text(_) = record.value {
        // A station that is a bare id holds only its movement.
        if name == "move" {
            return spliced(text, record.place.clone(), value);
        }
        let id = &text[record.place.clone()];
        return spliced(text, record.place.clone(), &format!("(move: {id}, {name}: {value})"));
    }
    if let (Value::Record(_, fields), Some(index)) = (&record.value, place_of(record, name)) {
        return spliced(text, fields[index].node.place.clone(), value);
    }
    let Some(bracket) = Bracket::of(text, record) else { return text.to_owned() };
    bracket.with(new_place(record, path, name), &Written::plain(format!("{name}: {value}")))
}

/// The index for a new field: after the last field that comes before it in the order of [`Record::fields`].
fn new_place(record: &Node, path: &Path, name: &str) -> usize {
    let Value::Record(_, fields) = &record.value else { return 0 };
    let known = match path.0.as_slice() {
        [] => Record::Session,
        [Step::Field("blocks"), Step::Item(_)] => Record::Block,
        _ => Record::Station,
    };
    let rank = |name: &str| known.fields().iter().position(|field| field.name == name);
    let own = rank(name);
    fields.iter().rposition(|field| rank(&field.name.word) < own).map_or(0, |before| before + 1)
}

/// Moves an entry. The later of the two places is changed first, so that the earlier place stays valid.
fn moved(text: &str, root: &Node, from: (&Path, usize), to: (&Path, usize)) -> Result<String, Refused> {
    let (list, into) = (at(root, from.0)?, at(root, to.0)?);
    let source = Bracket::of(text, list).ok_or(Refused::NotThere)?;
    let entry = source.written(from.1);
    if from.0 != to.0 && into.place.start > list.place.end {
        let text = Bracket::of(text, into).ok_or(Refused::NotThere)?.with(to.1, &entry);
        let tree = in_order(&text).and_then(|tree| tree.root).ok_or(Refused::Unsure)?;
        return Ok(Bracket::of(&text, at(&tree, from.0)?).ok_or(Refused::NotThere)?.without(from.1));
    }
    let text = source.without(from.1);
    let tree = in_order(&text).and_then(|tree| tree.root).ok_or(Refused::Unsure)?;
    Ok(Bracket::of(&text, at(&tree, to.0)?).ok_or(Refused::NotThere)?.with(to.1, &entry))
}
