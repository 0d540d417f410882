//! The values that a file must have after an edit. The edit is made on the values alone. The edited text is compared
//! with the result.

use super::{EditError, SessionEdit, in_order};
use crate::session::fault::{PathStep, ValuePath};
use crate::session::tree::{TreeField, TreeNode, TreeValue, TreeWord};

/// The values of a file after an edit. Their places have no meaning.
pub(super) fn tree_after(root: &TreeNode, edit: &SessionEdit) -> Result<TreeNode, EditError> {
    let mut root = root.clone();
    match edit {
        SessionEdit::Set { record, field, value } => {
            let node = read(value)?;
            let record = node_mut(&mut root, record)?;
            if let TreeValue::Text(_) = record.value {
                if *field == "move" {
                    record.value = node.value;
                    return Ok(root);
                }
                let id = TreeNode { place: 0..0, value: record.value.clone() };
                record.value = TreeValue::Record(None, vec![named("move", id)]);
            }
            // Empty round brackets are a tuple until they have a field.
            if let TreeValue::Tuple(None, items) = &record.value
                && items.is_empty()
            {
                record.value = TreeValue::Record(None, vec![]);
            }
            let TreeValue::Record(_, fields) = &mut record.value else { return Err(EditError::NotThere) };
            match fields.iter_mut().find(|old| old.name.word == *field) {
                Some(old) => old.node = node,
                None => fields.push(named(field, node)),
            }
        }
        SessionEdit::Clear { record, field } => {
            let record = node_mut(&mut root, record)?;
            let TreeValue::Record(_, fields) = &mut record.value else { return Err(EditError::NotThere) };
            fields.retain(|old| old.name.word != *field);
        }
        SessionEdit::Insert { list, index, value } => {
            let (node, items) = (read(value)?, items_mut(&mut root, list)?);
            if *index > items.len() {
                return Err(EditError::NotThere);
            }
            items.insert(*index, node);
        }
        SessionEdit::Remove { list, index } => drop(take_item(items_mut(&mut root, list)?, *index)?),
        SessionEdit::Move { list, index, into, to } => {
            let node = take_item(items_mut(&mut root, list)?, *index)?;
            let items = items_mut(&mut root, into)?;
            if *to > items.len() {
                return Err(EditError::NotThere);
            }
            items.insert(*to, node);
        }
    }
    Ok(root)
}

fn take_item(items: &mut Vec<TreeNode>, index: usize) -> Result<TreeNode, EditError> {
    if index < items.len() { Ok(items.remove(index)) } else { Err(EditError::NotThere) }
}

fn named(name: &str, node: TreeNode) -> TreeField {
    TreeField { name: TreeWord { place: 0..0, word: name.to_owned() }, node }
}

fn read(value: &str) -> Result<TreeNode, EditError> {
    in_order(value).and_then(|tree| tree.root).ok_or(EditError::BadValue)
}

fn items_mut<'a>(root: &'a mut TreeNode, list: &ValuePath) -> Result<&'a mut Vec<TreeNode>, EditError> {
    match &mut node_mut(root, list)?.value {
        TreeValue::List(items) => Ok(items),
        _ => Err(EditError::NotThere),
    }
}

fn node_mut<'a>(root: &'a mut TreeNode, path: &ValuePath) -> Result<&'a mut TreeNode, EditError> {
    let mut node = inner_mut(root);
    for step in &path.0 {
        let next = match (step, &mut node.value) {
            (PathStep::Field(name), TreeValue::Record(_, fields)) => {
                fields.iter_mut().find(|field| field.name.word == *name).map(|field| &mut field.node)
            }
            (PathStep::Item(index), TreeValue::List(items)) => items.get_mut(*index),
            _ => None,
        };
        node = inner_mut(next.ok_or(EditError::NotThere)?);
    }
    Ok(node)
}

fn inner_mut(node: &mut TreeNode) -> &mut TreeNode {
    if matches!(node.value, TreeValue::Perhaps(Some(_))) {
        let TreeValue::Perhaps(Some(some)) = &mut node.value else { unreachable!("just matched") };
        return inner_mut(some);
    }
    node
}

/// Whether two values are equal. The order of fields and the places do not matter.
pub(super) fn same(a: &TreeNode, b: &TreeNode) -> bool {
    let all = |a: &[TreeNode], b: &[TreeNode]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b));
    let word = |word: &Option<TreeWord>| word.as_ref().map(|word| word.word.clone());
    match (&a.value, &b.value) {
        (TreeValue::Perhaps(Some(a)), TreeValue::Perhaps(Some(b))) => same(a, b),
        (TreeValue::List(a), TreeValue::List(b)) => all(a, b),
        (TreeValue::Tuple(name, a), TreeValue::Tuple(other, b)) => word(name) == word(other) && all(a, b),
        (TreeValue::Record(name, a), TreeValue::Record(other, b)) => {
            let found = |field: &TreeField| b.iter().find(|other| other.name.word == field.name.word);
            word(name) == word(other)
                && a.len() == b.len()
                && a.iter().all(|field| found(field).is_some_and(|other| same(&field.node, &other.node)))
        }
        // A record whose last field is removed becomes empty round brackets.
        (TreeValue::Record(None, fields), TreeValue::Tuple(None, items))
        | (TreeValue::Tuple(None, items), TreeValue::Record(None, fields)) => fields.is_empty() && items.is_empty(),
        (a, b) => a == b,
    }
}
