//! The values that a file must have after an edit. The edit is made on the values alone. The edited text is compared
//! with the result.

use super::{Edit, Refused, in_order};
use crate::session::fault::{Path, Step};
use crate::session::tree::{Field, Node, Value, Word};

/// The values of a file after an edit. Their places have no meaning.
pub fn after(root: &Node, edit: &Edit) -> Result<Node, Refused> {
    let mut root = root.clone();
    match edit {
        Edit::Set { record, field, value } => {
            let node = read(value)?;
            let record = node_mut(&mut root, record)?;
            if let Value::Text(_) = record.value {
                if *field == "move" {
                    record.value = node.value;
                    return Ok(root);
                }
                let id = Node { place: 0..0, value: record.value.clone() };
                record.value = Value::Record(None, vec![named("move", id)]);
            }
            // Empty round brackets are a tuple until they have a field.
            if let Value::Tuple(None, items) = &record.value
                && items.is_empty()
            {
                record.value = Value::Record(None, vec![]);
            }
            let Value::Record(_, fields) = &mut record.value else { return Err(Refused::NotThere) };
            match fields.iter_mut().find(|old| old.name.word == *field) {
                Some(old) => old.node = node,
                None => fields.push(named(field, node)),
            }
        }
        Edit::Clear { record, field } => {
            let record = node_mut(&mut root, record)?;
            let Value::Record(_, fields) = &mut record.value else { return Err(Refused::NotThere) };
            fields.retain(|old| old.name.word != *field);
        }
        Edit::Insert { list, index, value } => {
            let (node, items) = (read(value)?, items_mut(&mut root, list)?);
            if *index > items.len() {
                return Err(Refused::NotThere);
            }
            items.insert(*index, node);
        }
        Edit::Remove { list, index } => drop(taken(items_mut(&mut root, list)?, *index)?),
        Edit::Move { list, index, into, to } => {
            let node = taken(items_mut(&mut root, list)?, *index)?;
            let items = items_mut(&mut root, into)?;
            if *to > items.len() {
                return Err(Refused::NotThere);
            }
            items.insert(*to, node);
        }
    }
    Ok(root)
}

fn taken(items: &mut Vec<Node>, index: usize) -> Result<Node, Refused> {
    if index < items.len() { Ok(items.remove(index)) } else { Err(Refused::NotThere) }
}

fn named(name: &str, node: Node) -> Field {
    Field { name: Word { place: 0..0, word: name.to_owned() }, node }
}

fn read(value: &str) -> Result<Node, Refused> {
    in_order(value).and_then(|tree| tree.root).ok_or(Refused::BadValue)
}

fn items_mut<'a>(root: &'a mut Node, list: &Path) -> Result<&'a mut Vec<Node>, Refused> {
    match &mut node_mut(root, list)?.value {
        Value::List(items) => Ok(items),
        _ => Err(Refused::NotThere),
    }
}

fn node_mut<'a>(root: &'a mut Node, path: &Path) -> Result<&'a mut Node, Refused> {
    let mut node = inner_mut(root);
    for step in &path.0 {
        let next = match (step, &mut node.value) {
            (Step::Field(name), Value::Record(_, fields)) => {
                fields.iter_mut().find(|field| field.name.word == *name).map(|field| &mut field.node)
            }
            (Step::Item(index), Value::List(items)) => items.get_mut(*index),
            _ => None,
        };
        node = inner_mut(next.ok_or(Refused::NotThere)?);
    }
    Ok(node)
}

fn inner_mut(node: &mut Node) -> &mut Node {
    if matches!(node.value, Value::Perhaps(Some(_))) {
        let Value::Perhaps(Some(some)) = &mut node.value else { unreachable!("just matched") };
        return inner_mut(some);
    }
    node
}

/// Whether two values are equal. The order of fields and the places do not matter.
pub fn same(a: &Node, b: &Node) -> bool {
    let all = |a: &[Node], b: &[Node]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b));
    let word = |word: &Option<Word>| word.as_ref().map(|word| word.word.clone());
    match (&a.value, &b.value) {
        (Value::Perhaps(Some(a)), Value::Perhaps(Some(b))) => same(a, b),
        (Value::List(a), Value::List(b)) => all(a, b),
        (Value::Tuple(name, a), Value::Tuple(other, b)) => word(name) == word(other) && all(a, b),
        (Value::Record(name, a), Value::Record(other, b)) => {
            let found = |field: &Field| b.iter().find(|other| other.name.word == field.name.word);
            word(name) == word(other)
                && a.len() == b.len()
                && a.iter().all(|field| found(field).is_some_and(|other| same(&field.node, &other.node)))
        }
        // A record whose last field is removed becomes empty round brackets.
        (Value::Record(None, fields), Value::Tuple(None, items))
        | (Value::Tuple(None, items), Value::Record(None, fields)) => fields.is_empty() && items.is_empty(),
        (a, b) => a == b,
    }
}
