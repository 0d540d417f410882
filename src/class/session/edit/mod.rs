//! Edits of a session file. An edit changes one value and leaves every other byte as the coach wrote it.

mod bracket;
mod expected_tree;
mod trivia;

use thiserror::Error;

use self::bracket::{BracketText, EntryText, spliced};
use super::fault::{PathStep, ValuePath};
use super::fields::RecordKind;
use super::tree::{FileTree, TreeNode, TreeValue};

/// One edit. Values are given as the file writes them: `"45s"` with its quotes, `(move: "squat")`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SessionEdit {
    /// Sets the value of a field, which is replaced or added. A station that is written as a bare id becomes a record.
    Set { record: ValuePath, field: &'static str, value: String },
    /// Removes a field, so that its default applies. Nothing changes when the field is not there.
    Clear { record: ValuePath, field: &'static str },
    /// Inserts a value into a list, at this index.
    Insert { list: ValuePath, index: usize, value: String },
    /// Removes a value from a list, with the comments on its lines and directly above it.
    Remove { list: ValuePath, index: usize },
    /// Moves a value with its comments to another place in its list or in another list. `to` is counted without the
    /// value itself.
    Move { list: ValuePath, index: usize, into: ValuePath, to: usize },
}

/// Why an edit cannot be made. The text is then left as it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum EditError {
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
pub fn edited(text: &str, edit: &SessionEdit) -> Result<String, EditError> {
    let tree = in_order(text).ok_or(EditError::Faulty)?;
    let root = tree.root.as_ref().ok_or(EditError::Faulty)?;
    let expected = expected_tree::tree_after(root, edit)?;
    let new = match edit {
        SessionEdit::Set { record, field, value } => set(text, at(root, record)?, record, field, value),
        SessionEdit::Clear { record, field } => {
            let record = at(root, record)?;
            let bracket = BracketText::of(text, record).ok_or(EditError::NotThere)?;
            place_of(record, field).map_or_else(|| text.to_owned(), |index| bracket.without(index))
        }
        SessionEdit::Insert { list, index, value } => {
            let bracket = BracketText::of(text, at(root, list)?).ok_or(EditError::NotThere)?;
            bracket.with(*index, &EntryText::plain(value))
        }
        SessionEdit::Remove { list, index } => {
            let bracket = BracketText::of(text, at(root, list)?).ok_or(EditError::NotThere)?;
            bracket.without(*index)
        }
        SessionEdit::Move { list, index, into, to } => moved(text, root, (list, *index), (into, *to))?,
    };
    let is_as_meant =
        in_order(&new).and_then(|tree| tree.root).is_some_and(|root| expected_tree::same(&root, &expected));
    if is_as_meant { Ok(new) } else { Err(EditError::Unsure) }
}

/// The text with several edits made in order: either all of them or none.
///
/// # Errors
/// As [`edited`], for the first edit that cannot be made.
pub fn all_edited<'a>(text: &str, edits: impl IntoIterator<Item = &'a SessionEdit>) -> Result<String, EditError> {
    edits.into_iter().try_fold(text.to_owned(), |text, edit| edited(&text, edit))
}

/// The tree of a text. None when it has a fault of syntax.
fn in_order(text: &str) -> Option<FileTree> {
    FileTree::read(text).filter(|tree| tree.faults.is_empty())
}

fn at<'a>(root: &'a TreeNode, path: &ValuePath) -> Result<&'a TreeNode, EditError> {
    root.at(path).ok_or(EditError::NotThere)
}

/// The index of a field in a record.
fn place_of(record: &TreeNode, name: &str) -> Option<usize> {
    match &record.value {
        TreeValue::Record(_, fields) => fields.iter().position(|field| field.name.word == name),
        _ => None,
    }
}

fn set(text: &str, record: &TreeNode, path: &ValuePath, name: &str, value: &str) -> String {
    if let TreeValue::Text(_) = record.value {
        // A station that is a bare id contains only its movement.
        if name == "move" {
            return spliced(text, record.place.clone(), value);
        }
        let id = &text[record.place.clone()];
        return spliced(text, record.place.clone(), &format!("(move: {id}, {name}: {value})"));
    }
    if let (TreeValue::Record(_, fields), Some(index)) = (&record.value, place_of(record, name)) {
        return spliced(text, fields[index].node.place.clone(), value);
    }
    let Some(bracket) = BracketText::of(text, record) else { return text.to_owned() };
    bracket.with(new_place(record, path, name), &EntryText::plain(format!("{name}: {value}")))
}

/// The index for a new field: after the last field that comes before it in the order of [`RecordKind::fields`].
fn new_place(record: &TreeNode, path: &ValuePath, name: &str) -> usize {
    let TreeValue::Record(_, fields) = &record.value else { return 0 };
    let known = match path.0.as_slice() {
        [] => RecordKind::Session,
        [PathStep::Field("blocks"), PathStep::Item(_)] => RecordKind::Block,
        _ => RecordKind::Station,
    };
    let rank = |name: &str| known.fields().iter().position(|field| field.name == name);
    let own = rank(name);
    fields.iter().rposition(|field| rank(&field.name.word) < own).map_or(0, |before| before + 1)
}

/// Moves an entry. The later of the two places is changed first, so that the earlier place stays valid.
fn moved(text: &str, root: &TreeNode, from: (&ValuePath, usize), to: (&ValuePath, usize)) -> Result<String, EditError> {
    let (list, into) = (at(root, from.0)?, at(root, to.0)?);
    let source = BracketText::of(text, list).ok_or(EditError::NotThere)?;
    let entry = source.written(from.1);
    if from.0 != to.0 && into.place.start > list.place.end {
        let text = BracketText::of(text, into).ok_or(EditError::NotThere)?.with(to.1, &entry);
        let tree = in_order(&text).and_then(|tree| tree.root).ok_or(EditError::Unsure)?;
        return Ok(BracketText::of(&text, at(&tree, from.0)?).ok_or(EditError::NotThere)?.without(from.1));
    }
    let text = source.without(from.1);
    let tree = in_order(&text).and_then(|tree| tree.root).ok_or(EditError::Unsure)?;
    Ok(BracketText::of(&text, at(&tree, to.0)?).ok_or(EditError::NotThere)?.with(to.1, &entry))
}
