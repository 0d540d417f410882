//! What can be made harder in a class, one variable at a time, as edits of its file.

use crate::movement::{Catalogue, Load};
use crate::session::edit::SessionEdit;
use crate::session::fault::{PathStep, ValuePath};
use crate::session::tree::{FileTree, TreeValue};
use crate::session::write::need_value;
use crate::session::{Block, BlockFormat, BlockKind, KitAmount, Session, Station, WorkAmount};
use crate::time::{Tempo, Tick, spoken_length};

/// The variables that a series advances, in the order in which it advances them. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::Display, strum::EnumIter)]
#[strum(serialize_all = "snake_case")]
pub enum ProgressionVariable {
    /// Lowering takes one count longer.
    Tempo,
    /// The harder option, at one station in each block.
    Tier,
    /// Five seconds more work.
    Work,
    /// One more round of one block.
    Rounds,
    /// Five seconds less rest.
    Rest,
    /// The next heavier load in the session's kit.
    Load,
}

impl ProgressionVariable {
    const ALL: [ProgressionVariable; 6] = [
        ProgressionVariable::Tempo,
        ProgressionVariable::Tier,
        ProgressionVariable::Work,
        ProgressionVariable::Rounds,
        ProgressionVariable::Rest,
        ProgressionVariable::Load,
    ];

    /// All variables, beginning with the one after `last` and going round.
    pub fn after(last: Option<ProgressionVariable>) -> impl Iterator<Item = ProgressionVariable> {
        let from = last.map_or(0, |last| last as usize + 1);
        (0..ProgressionVariable::ALL.len())
            .map(move |step| ProgressionVariable::ALL[(from + step) % ProgressionVariable::ALL.len()])
    }
}

/// Edits that change a class, with one line in words for each change.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Progression {
    pub edits: Vec<SessionEdit>,
    pub changes: Vec<String>,
}

/// The step by which work and rest change. Our estimate.
const STEP: Tick = Tick::seconds(5);
/// The longest lowering that a series asks for, in counts. Our estimate.
const SLOWEST: u8 = 4;
/// The longest work, the shortest rest and the most rounds that a series goes to. Our estimates.
const LONGEST_WORK: Tick = Tick::seconds(90);
const SHORTEST_REST: Tick = Tick::seconds(10);
const MOST_ROUNDS: u32 = 6;

/// Whether a series advances a block: a main block in circuits, sets, rotations or intervals whose work is given as a
/// time.
pub(super) fn can_advance(block: &Block) -> bool {
    let timed = block.stations.iter().all(|station| matches!(station.work, WorkAmount::Time(_)));
    let format = matches!(
        block.format,
        BlockFormat::Circuit | BlockFormat::Sets | BlockFormat::Rotation | BlockFormat::Intervals { .. }
    );
    block.kind == BlockKind::Main && timed && format
}

fn mains(session: &Session) -> impl Iterator<Item = (usize, &Block)> {
    session.blocks.iter().enumerate().filter(|(_, block)| can_advance(block))
}

/// The ways to advance a variable, the preferred one first. Empty when it cannot be advanced.
pub(super) fn progressions(
    variable: ProgressionVariable,
    text: &str,
    session: &Session,
    catalogue: &Catalogue,
) -> Vec<Progression> {
    match variable {
        ProgressionVariable::Tempo => vec![tempo(session)],
        ProgressionVariable::Tier => tiers(text, session, catalogue),
        ProgressionVariable::Work => vec![work(text, session)],
        ProgressionVariable::Rounds => rounds(session),
        ProgressionVariable::Rest => vec![rest(text, session)],
        ProgressionVariable::Load => vec![load(session)],
    }
    .into_iter()
    .filter(|way| !way.edits.is_empty())
    .collect()
}

/// The two ways to an easier week, the preferred one first. The first way takes one round from each block with several
/// rounds, and a fifth of the work from the others. The second takes a fifth of the work from every block.
pub(super) fn easier(text: &str, session: &Session) -> [Progression; 2] {
    let (mut rounds, mut less) = (Progression::default(), Progression::default());
    for (index, block) in mains(session) {
        let shorter = |work: Tick| Tick::seconds((work.0 * 4 / 5 / 5000 * 5).max(10));
        let edits = set_work(text, index, block, shorter);
        let told = format!("{}: a fifth less work", block.name);
        if block.rounds > 1 {
            let fewer = block.rounds - 1;
            rounds.edits.push(SessionEdit::Set { record: at_block(index), field: "rounds", value: fewer.to_string() });
            rounds.changes.push(format!("{}: {} instead of {}", block.name, of_rounds(fewer), block.rounds));
        } else {
            rounds.edits.extend(edits.iter().cloned());
            rounds.changes.push(told.clone());
        }
        less.edits.extend(edits);
        less.changes.push(told);
    }
    [rounds, less]
}

/// `1 round`, `2 rounds`.
pub(super) fn of_rounds(rounds: u32) -> String {
    if rounds == 1 { "1 round".to_owned() } else { format!("{rounds} rounds") }
}

fn tempo(session: &Session) -> Progression {
    let mut advance = Progression::default();
    for (block, index, station) in stations(session) {
        let Some(Tempo { counts: [lower, hold, lift, top] }) = station.tempo else { continue };
        if !station.movement.loaded || lower == 0 || lower >= SLOWEST {
            continue;
        }
        let slower = Tempo { counts: [lower + 1, hold, lift, top] };
        advance.edits.push(set(block, index, "tempo", format!("\"{slower}\"")));
        advance.changes.push(format!("{}: tempo {slower}", station.movement.name));
    }
    advance
}

/// The preferred way takes one station in each block. The other ways take a single station.
fn tiers(text: &str, session: &Session, catalogue: &Catalogue) -> Vec<Progression> {
    let there = |id: &str| stations(session).any(|(_, _, station)| station.movement.id == id);
    let mut single = Vec::new();
    for (block, index, station) in stations(session) {
        let harder = station.harder.as_ref().and_then(|tier| tier.movement.as_deref());
        let Some(harder) = harder.and_then(|id| catalogue.get(id)).filter(|harder| !there(&harder.id)) else {
            continue;
        };
        let id = format!("\"{}\"", harder.id);
        let edits = if has_field(text, &at_station(block, index), "move") {
            // Fields written for the old movement do not apply to the new one.
            let own = ["tempo", "sides", "kit", "short", "prompts", "easier", "harder", "variant"];
            let clear = own.map(|field| SessionEdit::Clear { record: at_station(block, index), field });
            std::iter::once(set(block, index, "move", id)).chain(clear).collect()
        } else {
            let mut list = at_block(block);
            list.0.push(PathStep::Field("stations"));
            vec![
                SessionEdit::Insert { list: list.clone(), index, value: id },
                SessionEdit::Remove { list, index: index + 1 },
            ]
        };
        single.push((
            block,
            Progression { edits, changes: vec![format!("{} instead of {}", harder.name, station.movement.name)] },
        ));
    }
    let mut together = Progression::default();
    let mut blocks: Vec<usize> = single.iter().map(|(block, _)| *block).collect();
    blocks.dedup();
    for block in blocks {
        if let Some((_, first)) = single.iter().find(|(other, _)| *other == block) {
            together.edits.extend(first.edits.iter().cloned());
            together.changes.extend(first.changes.iter().cloned());
        }
    }
    std::iter::once(together).chain(single.into_iter().map(|(_, advance)| advance)).collect()
}

fn work(text: &str, session: &Session) -> Progression {
    let mut advance = Progression::default();
    for (index, block) in mains(session) {
        let longer = |work: Tick| if work + STEP <= LONGEST_WORK { work + STEP } else { work };
        let edits = set_work(text, index, block, longer);
        if let (Some(WorkAmount::Time(work)), false) =
            (block.stations.first().map(|station| station.work), edits.is_empty())
        {
            advance.changes.push(format!(
                "{}: work {} instead of {}",
                block.name,
                spoken_length(longer(work)),
                spoken_length(work)
            ));
        }
        advance.edits.extend(edits);
    }
    advance
}

/// One more round of a single block. The block with the fewest rounds comes first.
fn rounds(session: &Session) -> Vec<Progression> {
    let mut blocks: Vec<(usize, &Block)> = mains(session)
        .filter(|(_, block)| matches!(block.format, BlockFormat::Circuit | BlockFormat::Sets | BlockFormat::Rotation))
        .filter(|(_, block)| block.rounds < MOST_ROUNDS)
        .collect();
    blocks.sort_by_key(|(_, block)| block.rounds);
    let more = |(index, block): (usize, &Block)| Progression {
        edits: vec![SessionEdit::Set {
            record: at_block(index),
            field: "rounds",
            value: (block.rounds + 1).to_string(),
        }],
        changes: vec![format!("{}: {} rounds instead of {}", block.name, block.rounds + 1, block.rounds)],
    };
    blocks.into_iter().map(more).collect()
}

/// Only for blocks that give one rest for all of their stations.
fn rest(text: &str, session: &Session) -> Progression {
    let mut advance = Progression::default();
    for (index, block) in mains(session) {
        let Some(rest) = block.stations.first().map(|station| station.rest) else { continue };
        let alike = block.stations.iter().all(|station| station.rest == rest);
        if !alike || rest.saturating_sub(STEP) < SHORTEST_REST || !has_field(text, &at_block(index), "rest") {
            continue;
        }
        let shorter = spoken_length(rest.saturating_sub(STEP));
        advance.edits.push(SessionEdit::Set {
            record: at_block(index),
            field: "rest",
            value: format!("\"{shorter}\""),
        });
        advance.changes.push(format!("{}: rest {shorter} instead of {}", block.name, spoken_length(rest)));
    }
    advance
}

/// The next heavier load for each station whose kit comes in several loads, if there is enough of it for everybody.
fn load(session: &Session) -> Progression {
    let mut advance = Progression::default();
    for (block, index, station) in stations(session) {
        let mut heavier = station.kit.clone();
        let mut changed = None;
        for need in heavier.iter_mut().filter(|_| station.movement.loaded) {
            let mut loads: Vec<Load> = Vec::new();
            for owned in session.kit.iter().filter(|owned| owned.item == need.item) {
                loads.extend(owned.load);
            }
            loads.sort_unstable();
            // If the station gives no load, people take the lightest.
            let now = need.load.or_else(|| loads.first().copied());
            let next = loads.into_iter().find(|load| Some(*load) > now && enough(session, station, need, *load));
            if let (Some(_), Some(next)) = (now, next) {
                need.load = Some(next);
                changed = Some(need.to_string());
            }
        }
        if let Some(kit) = changed {
            let needs = format!("[{}]", heavier.iter().map(need_value).collect::<Vec<_>>().join(", "));
            advance.edits.push(set(block, index, "kit", needs));
            advance.changes.push(format!("{}: {kit}", station.movement.name));
        }
    }
    advance
}

/// Whether there is enough kit of a load for everybody, as each person's own or shared.
fn enough(session: &Session, station: &Station, need: &crate::movement::NeededKit, load: Load) -> bool {
    let people = u64::from(session.people.unwrap_or(1));
    let of_it = session.kit.iter().filter(|owned| owned.item == need.item && owned.load == Some(load));
    let there: u64 = of_it
        .map(|owned| match owned.amount {
            KitAmount::Each(count) => u64::from(count) * people,
            KitAmount::Shared(count) => u64::from(count),
        })
        .sum();
    // In a rotation one group uses the kit at a time. The rule of `check` decides in the end.
    let block = session.blocks.iter().find(|block| block.stations.contains(station));
    let groups =
        block.filter(|block| block.format == BlockFormat::Rotation).map_or(1, |block| block.stations.len() as u64);
    there >= u64::from(need.count) * people.div_ceil(groups.max(1))
}

/// The stations of all blocks that a series advances, with the indices of block and station.
fn stations(session: &Session) -> impl Iterator<Item = (usize, usize, &Station)> {
    mains(session)
        .flat_map(|(block, of)| of.stations.iter().enumerate().map(move |(index, station)| (block, index, station)))
}

/// The edits that change the work of a block, wherever it is written: at the block, and at each station with its own
/// work.
pub(super) fn set_work(text: &str, index: usize, block: &Block, to: impl Fn(Tick) -> Tick) -> Vec<SessionEdit> {
    let mut edits = Vec::new();
    let mut push = |record: ValuePath, work: Tick| {
        if to(work) != work {
            edits.push(SessionEdit::Set { record, field: "work", value: format!("\"{}\"", spoken_length(to(work))) });
        }
    };
    let mut of_block = None;
    for (station, of) in block.stations.iter().enumerate() {
        let WorkAmount::Time(work) = of.work else { continue };
        if has_field(text, &at_station(index, station), "work") {
            push(at_station(index, station), work);
        } else {
            of_block = Some(work);
        }
    }
    if let Some(work) = of_block.filter(|_| has_field(text, &at_block(index), "work")) {
        push(at_block(index), work);
    }
    edits
}

fn has_field(text: &str, record: &ValuePath, field: &str) -> bool {
    let root = FileTree::read(text).and_then(|tree| tree.root);
    let node = root.as_ref().and_then(|root| root.at(record));
    matches!(node.map(|node| &node.value), Some(TreeValue::Record(_, fields)) if fields.iter().any(|own| own.name.word == field))
}

fn set(block: usize, station: usize, field: &'static str, value: String) -> SessionEdit {
    SessionEdit::Set { record: at_station(block, station), field, value }
}

/// The record of a block in the file.
pub(super) fn at_block(block: usize) -> ValuePath {
    ValuePath(vec![PathStep::Field("blocks"), PathStep::Item(block)])
}

/// The record of a station in the file.
fn at_station(block: usize, station: usize) -> ValuePath {
    ValuePath(vec![
        PathStep::Field("blocks"),
        PathStep::Item(block),
        PathStep::Field("stations"),
        PathStep::Item(station),
    ])
}
