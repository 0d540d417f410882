//! The edits of the file that the keys make.

use super::PlanRow;
use class::movement::Sides;
use class::schedule::Schedule;
use class::session::edit::SessionEdit;
use class::session::fault::{PathStep, ValuePath};
use class::session::tree::{FileTree, TreeNode, TreeValue};
use class::session::write::quoted;
use class::session::{Station, WorkAmount};
use class::time::{Tick, parse_length, spoken_length};

/// How much one step changes a length, in milliseconds.
const STEP: i64 = 5_000;
/// How much one step changes a slot, in milliseconds.
const SLOT_STEP: i64 = 60_000;
/// The shortest work that a step can set.
const SHORTEST: Tick = Tick::seconds(5);

/// A length as the file writes it.
pub(super) fn length_value(length: Tick) -> String {
    quoted(&spoken_length(length))
}

/// The path of a block's list of stations.
pub(super) fn stations(block: usize) -> ValuePath {
    let mut path = PlanRow::Block(block).path();
    path.0.push(PathStep::Field("stations"));
    path
}

/// An edit that makes a row longer by `steps`; shorter if negative. It changes the slot of the session, the work that a
/// block gives its stations, or the work or repetitions of one station. None if there is nothing to change.
pub(super) fn longer(text: &str, schedule: &Schedule, row: PlanRow, steps: i64) -> Option<SessionEdit> {
    let session = &schedule.session;
    let set = |field, value| Some(SessionEdit::Set { record: row.path(), field, value });
    match row {
        PlanRow::Class => {
            let slot = session.slot.unwrap_or(schedule.total());
            let minutes = Tick(slot.0.div_ceil(60_000) * 60_000);
            set("slot", length_value(length_moved(minutes, steps * SLOT_STEP, Tick::MINUTE)))
        }
        PlanRow::Block(_) => {
            let work = parse_length(&text_at(text, row, "work")?).ok()?;
            set("work", length_value(length_moved(work, steps * STEP, SHORTEST)))
        }
        PlanRow::Station(block, station) => match session.blocks.get(block)?.stations.get(station)?.work {
            WorkAmount::Time(work) => set("work", length_value(length_moved(work, steps * STEP, SHORTEST))),
            WorkAmount::Reps(reps) => set("reps", i64::from(reps).saturating_add(steps).max(1).to_string()),
        },
    }
}

/// An edit that makes the rest after a station or a block longer by `steps`; shorter if negative.
pub(super) fn more_rest(schedule: &Schedule, row: PlanRow, steps: i64) -> Option<SessionEdit> {
    let block = schedule.session.blocks.get(row.block()?)?;
    let (field, rest) = match row {
        PlanRow::Station(_, station) => ("rest", block.stations.get(station)?.rest),
        _ => ("rest_after", block.rest_after),
    };
    Some(SessionEdit::Set {
        record: row.path(),
        field,
        value: length_value(length_moved(rest, steps * STEP, Tick::ZERO)),
    })
}

/// An edit that sets the rounds of the row's block.
pub(super) fn rounds(row: PlanRow, rounds: u32) -> Option<SessionEdit> {
    let record = PlanRow::Block(row.block()?).path();
    Some(SessionEdit::Set { record, field: "rounds", value: rounds.to_string() })
}

/// An edit that sets the next choice of sides.
pub(super) fn other_sides(station: &Station, row: PlanRow) -> SessionEdit {
    const ORDER: [Sides; 4] = [Sides::Together, Sides::Alternating, Sides::LeftThenRight, Sides::EachSide];
    let at = ORDER.iter().position(|sides| *sides == station.sides).unwrap_or(0);
    let value = ORDER[(at + 1) % ORDER.len()].to_string();
    SessionEdit::Set { record: row.path(), field: "sides", value }
}

/// Whether the file has this field at this row.
pub(super) fn is_written(text: &str, row: PlanRow, field: &'static str) -> bool {
    let root = FileTree::read(text).and_then(|tree| tree.root);
    root.is_some_and(|root| has(&root, row, field))
}

/// Whether the tree has this field at this row.
pub(super) fn has(root: &TreeNode, row: PlanRow, field: &'static str) -> bool {
    let mut path = row.path();
    path.0.push(PathStep::Field(field));
    root.at(&path).is_some()
}

/// An edit that removes a row from the class, together with its comments.
pub(super) fn remove(row: PlanRow) -> Option<SessionEdit> {
    match row {
        PlanRow::Class => None,
        PlanRow::Block(index) => Some(SessionEdit::Remove { list: ValuePath(vec![PathStep::Field("blocks")]), index }),
        PlanRow::Station(block, index) => Some(SessionEdit::Remove { list: stations(block), index }),
    }
}

/// An edit that moves a row one place earlier or later, into the neighbouring block if need be. Also gives the new row.
pub(super) fn shifted(schedule: &Schedule, row: PlanRow, later: bool) -> Option<(SessionEdit, PlanRow)> {
    let blocks = &schedule.session.blocks;
    let list = || ValuePath(vec![PathStep::Field("blocks")]);
    match row {
        PlanRow::Class => None,
        PlanRow::Block(index) => {
            let to = if later { index + 1 } else { index.checked_sub(1)? };
            (to < blocks.len())
                .then(|| (SessionEdit::Move { list: list(), index, into: list(), to }, PlanRow::Block(to)))
        }
        PlanRow::Station(block, index) => {
            let last = blocks.get(block)?.stations.len().saturating_sub(1);
            let (into, to) = match (later, index) {
                (false, 0) => (block.checked_sub(1)?, blocks.get(block.checked_sub(1)?)?.stations.len()),
                (false, _) => (block, index - 1),
                (true, index) if index == last => (block + 1, 0),
                (true, _) => (block, index + 1),
            };
            blocks.get(into)?;
            let edit = SessionEdit::Move { list: stations(block), index, into: stations(into), to };
            Some((edit, PlanRow::Station(into, to)))
        }
    }
}

/// An edit that adds a station after a row. Also gives the new row.
pub(super) fn added(row: PlanRow, id: &str) -> (SessionEdit, PlanRow) {
    let (block, index) = match row {
        PlanRow::Class => (0, 0),
        PlanRow::Block(block) => (block, 0),
        PlanRow::Station(block, station) => (block, station + 1),
    };
    (SessionEdit::Insert { list: stations(block), index, value: quoted(id) }, PlanRow::Station(block, index))
}

/// An edit that adds a block with one station after the block of a row. Also gives the new row.
pub(super) fn added_block(schedule: &Schedule, row: PlanRow, id: &str) -> (SessionEdit, PlanRow) {
    let index = row.block().map_or(0, |block| block + 1);
    let taken = |name: &String| schedule.session.blocks.iter().any(|block| block.name == *name);
    let mut names = std::iter::once("New block".to_owned()).chain((2..).map(|number| format!("New block {number}")));
    let name = names.find(|name| !taken(name)).unwrap_or_default();
    let value = format!("(name: {}, work: \"40s\", stations: [{}])", quoted(&name), quoted(id));
    (SessionEdit::Insert { list: ValuePath(vec![PathStep::Field("blocks")]), index, value }, PlanRow::Station(index, 0))
}

/// The edits that replace the movement of a station. The other fields of the station stay.
pub(super) fn replaced(text: &str, row: PlanRow, id: &str) -> Vec<SessionEdit> {
    let PlanRow::Station(block, index) = row else { return vec![] };
    let node = FileTree::read(text).and_then(|tree| tree.root).and_then(|root| root.at(&row.path()).cloned());
    match node.map(|node| node.value) {
        Some(TreeValue::Text(_)) => vec![SessionEdit::Set { record: row.path(), field: "move", value: quoted(id) }],
        Some(TreeValue::Record(_, fields)) if fields.iter().any(|field| field.name.word == "move") => {
            vec![SessionEdit::Set { record: row.path(), field: "move", value: quoted(id) }]
        }
        // This station describes its movement itself. The description does not fit the new movement, so the whole
        // station is replaced.
        _ => vec![
            SessionEdit::Insert { list: stations(block), index, value: quoted(id) },
            SessionEdit::Remove { list: stations(block), index: index + 1 },
        ],
    }
}

/// The text of a field as it is written.
pub(super) fn text_at(text: &str, row: PlanRow, field: &'static str) -> Option<String> {
    let root = FileTree::read(text)?.root?;
    let mut path = row.path();
    path.0.push(PathStep::Field(field));
    match &root.at(&path)?.value {
        TreeValue::Text(text) => Some(text.clone()),
        _ => None,
    }
}

fn length_moved(length: Tick, by: i64, least: Tick) -> Tick {
    Tick(length.0.saturating_add_signed(by)).max(least)
}
