//! A class as it was led, as a session file. Blocks that ran as planned keep the coach's own text. Other blocks are
//! written as they were done.

mod block_runs;

use std::fmt::Write;

use thiserror::Error;

use self::block_runs::{BlockRun, BlockRunContent, SideUse, StationRun, block_runs};
use class::movement::{Catalogue, Sides, Tier};
use class::schedule::{Schedule, WorkingSide};
use class::session::fault::{PathStep, Severity};
use class::session::tree::{FileTree, TreeNode, TreeValue};
use class::session::write::quoted;
use class::session::{Station, defaults, fault, limits, read};
use class::time::{Tick, spoken_length};

/// Why a class cannot be written as a session file.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SessionExportError {
    #[error("no work was done")]
    Nothing,
    #[error("its session cannot be read")]
    Unread,
    /// The first fault of the text that would be written.
    #[error("the result would not be a valid session: {0}")]
    Faulty(String),
}

/// The text of a session file that says what was done. `text`: the file from which the class was led. `plan`: its
/// schedule. `ran`: what ran and nothing else. `notes`: comment lines for the top of the file.
///
/// Lengths are whole seconds. Rounds that were the same are written as rounds. Sides with different lengths are written
/// as stations of their own. Text and fields of the file are kept. Comments are kept only in blocks that ran as
/// planned.
///
/// # Errors
/// When no work was done, or a session file cannot express what was done.
pub fn as_session(
    text: &str,
    plan: &Schedule,
    ran: &Schedule,
    catalogue: &Catalogue,
    notes: &[String],
) -> Result<String, SessionExportError> {
    let done = block_runs(ran, plan);
    if done.is_empty() {
        return Err(SessionExportError::Nothing);
    }
    let root = FileTree::read(text).and_then(|tree| tree.root).ok_or(SessionExportError::Unread)?;
    let writer = LedSessionWriter { text, root: &root, plan, ran };
    let written = writer.session(&done, notes).ok_or(SessionExportError::Unread)?;
    let reading = read(&written, catalogue);
    match reading.faults.iter().find(|fault| fault.severity == Severity::Fault) {
        Some(fault) => Err(SessionExportError::Faulty(fault.message.clone())),
        None => Ok(written),
    }
}

/// A field and its value as written.
type FieldText = (String, String);

struct LedSessionWriter<'a> {
    text: &'a str,
    root: &'a TreeNode,
    plan: &'a Schedule,
    ran: &'a Schedule,
}

impl LedSessionWriter<'_> {
    fn session(&self, all: &[BlockRun], notes: &[String]) -> Option<String> {
        let mut out = String::new();
        for note in notes {
            let _ = writeln!(out, "// {}", note.replace(char::is_control, " "));
        }
        out += "(\n";
        let ran: Tick = self.ran.spans.iter().map(|span| span.length()).sum();
        let over = self.plan.session.slot.is_some_and(|slot| ran > slot);
        let stood_in = all.iter().any(|done| self.has_swap(done));
        for (name, value) in self.fields(self.root)? {
            // A class longer than its slot is written without a slot, and a swapped-in movement has no variant for one
            // weight.
            if name == "blocks" || name == "slot" && over || name == "one_weight" && stood_in {
                continue;
            }
            let _ = writeln!(out, "    {name}: {value},");
        }
        out += "    blocks: [\n";
        let mut names: Vec<String> = Vec::new();
        for (index, done) in all.iter().enumerate() {
            let is_last = index + 1 == all.len();
            let name = unique_name(&self.plan.session.blocks[done.block].name, &names);
            let _ = writeln!(out, "        {},", self.block(done, &name, is_last)?);
            names.push(name);
        }
        out += "    ],\n)\n";
        Some(out)
    }

    /// Whether a station was done that the file does not have.
    fn has_swap(&self, done: &BlockRun) -> bool {
        let planned = self.plan.session.blocks[done.block].stations.len();
        matches!(&done.what, BlockRunContent::Items(items) if items.iter().any(|item| item.station >= planned))
    }

    /// The fields of a node, each with its value as written in the file.
    fn fields(&self, node: &TreeNode) -> Option<Vec<FieldText>> {
        match &node.value {
            TreeValue::Perhaps(Some(node)) => self.fields(node),
            TreeValue::Text(_) => Some(vec![("move".to_owned(), self.text[node.place.clone()].to_owned())]),
            TreeValue::Record(_, fields) => {
                let of = |field: &class::session::tree::TreeField| {
                    (field.name.word.clone(), self.text[field.node.place.clone()].to_owned())
                };
                Some(fields.iter().map(of).collect())
            }
            _ => None,
        }
    }

    fn at(&self, steps: Vec<PathStep>) -> Option<&TreeNode> {
        self.root.at(&fault::ValuePath(steps))
    }

    fn block(&self, done: &BlockRun, name: &str, is_last: bool) -> Option<String> {
        let planned = &self.plan.session.blocks[done.block];
        let node = self.at(vec![PathStep::Field("blocks"), PathStep::Item(done.block)])?;
        let mut fields = self.fields(node)?;
        let renamed = name != planned.name;
        if matches!(done.what, BlockRunContent::AsPlanned) {
            if !renamed && (is_last || done.rest_after == planned.rest_after) {
                return Some(self.text[node.place.clone()].to_owned());
            }
            set(&mut fields, "rest_after", length(done.rest_after));
            set(&mut fields, "name", quoted(name));
            return Some(record(&fields));
        }
        let replaced = ["name", "format", "rounds", "rest", "round_rest", "rest_after", "transitions", "briefing"];
        fields.retain(|(name, _)| !replaced.contains(&name.as_str()));
        fields.insert(0, ("name".to_owned(), quoted(name)));
        if renamed {
            fields.retain(|(name, _)| name != "start");
        }
        for (name, length_of) in [("briefing", done.briefing), ("rest_after", done.rest_after)] {
            if length_of > Tick::ZERO {
                set(&mut fields, name, length(length_of));
            }
        }
        match &done.what {
            BlockRunContent::AsPlanned => {}
            BlockRunContent::Together(time) => set(&mut fields, "format", format!("amrap(time: {})", length(*time))),
            BlockRunContent::Items(items) => {
                fields.retain(|(name, _)| !["work", "reps", "sides", "tempo", "stations"].contains(&name.as_str()));
                let rounds = EqualRounds::of(items);
                if rounds.count > 1 {
                    set(&mut fields, "rounds", rounds.count.to_string());
                    set(&mut fields, "round_rest", length(rounds.rest));
                }
                let mut stations = String::from("[\n");
                for item in rounds.items {
                    for station in self.stations(done.block, item)? {
                        let _ = writeln!(stations, "            {station},");
                    }
                }
                stations += "        ]";
                fields.push(("stations".to_owned(), stations));
            }
        }
        Some(record(&fields))
    }

    /// A station run as stations of a session file: one, or one for each side.
    fn stations(&self, block: usize, item: StationRun) -> Option<Vec<String>> {
        let one = |sides, work, rest, only| self.station(block, item.station, sides, work, rest, only);
        Some(match item.worked {
            SideUse::InOneSpan(sides) => vec![one(sides, item.work, item.rest, None)?],
            SideUse::Only(side) => vec![one(Sides::Together, item.work, item.rest, Some(side))?],
            SideUse::Pair if item.between == item.rest => vec![one(Sides::EachSide, item.work, item.rest, None)?],
            SideUse::Pair => vec![
                one(Sides::Together, item.work, item.between, Some(WorkingSide::Left))?,
                one(Sides::Together, item.work, item.rest, Some(WorkingSide::Right))?,
            ],
        })
    }

    fn station(
        &self,
        block: usize,
        index: usize,
        sides: Sides,
        work: Tick,
        rest: Tick,
        only: Option<WorkingSide>,
    ) -> Option<String> {
        let station = self.ran.session.blocks.get(block)?.stations.get(index)?;
        let planned = &self.plan.session.blocks.get(block)?.stations;
        let known = planned.get(index).is_some();
        // The easier option of a movement keeps the fields of the station with that movement.
        let source =
            if known { Some(index) } else { planned.iter().position(|old| old.movement.id == station.movement.id) };
        let mut fields = match source {
            Some(source) => {
                let path = [
                    PathStep::Field("blocks"),
                    PathStep::Item(block),
                    PathStep::Field("stations"),
                    PathStep::Item(source),
                ];
                self.fields(self.at(path.to_vec())?)?
            }
            None => vec![("move".to_owned(), quoted(&station.movement.id))],
        };
        fields.retain(|(name, _)| !["work", "reps", "rest", "sides", "tempo"].contains(&name.as_str()));
        let described = !fields.iter().any(|(name, _)| name == "move");
        set(&mut fields, "work", length(work));
        if rest > Tick::ZERO {
            set(&mut fields, "rest", length(rest));
        }
        if sides != if described { defaults::SIDES } else { station.movement.sides } {
            set(&mut fields, "sides", sides.to_string());
        }
        let usual = station.movement.guide.as_ref().map(|guide| guide.tempo).filter(|_| !described);
        if let Some(tempo) = station.tempo.filter(|tempo| Some(*tempo) != usual) {
            set(&mut fields, "tempo", quoted(&tempo.to_string()));
        }
        if !known {
            add_swapped_fields(&mut fields, station, source.is_some());
        }
        if let Some(side) = only {
            let mut prompts = vec![only_words(side).to_owned()];
            prompts.extend(station.prompts.iter().cloned());
            set(&mut fields, "prompts", texts(&prompts));
        }
        Some(record(&fields))
    }
}

/// Sets the fields in which a swapped-in station differs from the station of the file.
fn add_swapped_fields(fields: &mut Vec<FieldText>, station: &Station, same_movement: bool) {
    if same_movement || station.prompts != station.movement.prompts {
        set(fields, "prompts", texts(&station.prompts));
    }
    if same_movement {
        fields.retain(|(name, _)| name != "easier");
    }
    if let Some(harder) = station.harder.as_ref().filter(|_| same_movement || station.harder != station.movement.harder)
    {
        set(fields, "harder", tier(harder));
    }
    if let Some(place) = &station.place {
        set(fields, "place", quoted(place));
    }
}

/// A prompt that says that only one side works.
fn only_words(side: WorkingSide) -> &'static str {
    if side == WorkingSide::Left { "left side only" } else { "right side only" }
}

/// Rounds that were the same.
struct EqualRounds {
    items: Vec<StationRun>,
    count: usize,
    /// The rest between two rounds.
    rest: Tick,
}

impl EqualRounds {
    /// Finds the shortest list of station runs that gives all runs when it is repeated. The rest after the last run
    /// may differ.
    fn of(items: &[StationRun]) -> EqualRounds {
        let alike = |length: &usize| {
            let ends = |index: usize| (index + 1).is_multiple_of(*length);
            let without_rest = |item: StationRun| StationRun { rest: Tick::ZERO, ..item };
            items.len().is_multiple_of(*length)
                && (*length..items.len()).all(|index| {
                    let (before, item) = (items[index - length], items[index]);
                    let last = index + 1 == items.len();
                    if ends(index) && last { without_rest(before) == without_rest(item) } else { before == item }
                })
        };
        let length = (1..=items.len()).find(alike).unwrap_or(items.len());
        let mut round = items[..length].to_vec();
        let count = items.len() / length;
        let mut rest = Tick::ZERO;
        if let Some(last) = round.last_mut().filter(|_| count > 1) {
            rest = std::mem::take(&mut last.rest);
        }
        // The last station run of a round needs no rest of its own. With the rest between its sides, a pair can be one
        // station.
        if let Some(last) = round.last_mut() {
            last.rest = last.between;
        }
        EqualRounds { items: round, count, rest }
    }
}

/// A name for a block that no other block has: a block that was done again gets a number.
fn unique_name(name: &str, others: &[String]) -> String {
    let mut numbered = name.to_owned();
    let mut number = 1;
    while others.contains(&numbered) {
        number += 1;
        let ending = format!(" ({number})");
        let short: String = name.chars().take(limits::NAME - ending.len()).collect();
        numbered = short + &ending;
    }
    numbered
}

/// Sets the value of a field. A new field is added at the end.
fn set(fields: &mut Vec<FieldText>, name: &str, value: String) {
    match fields.iter_mut().find(|(known, _)| known == name) {
        Some((_, old)) => *old = value,
        None => {
            // The stations stay the last field of a block.
            let at =
                if fields.last().is_some_and(|(name, _)| name == "stations") { fields.len() - 1 } else { fields.len() };
            fields.insert(at, (name.to_owned(), value));
        }
    }
}

fn record(fields: &[FieldText]) -> String {
    let fields: Vec<String> = fields.iter().map(|(name, value)| format!("{name}: {value}")).collect();
    format!("({})", fields.join(", "))
}

fn length(length: Tick) -> String {
    quoted(&spoken_length(length))
}

fn texts(texts: &[String]) -> String {
    let texts: Vec<String> = texts.iter().take(limits::LIST).map(|text| quoted(text)).collect();
    format!("[{}]", texts.join(", "))
}

fn tier(tier: &Tier) -> String {
    match &tier.movement {
        Some(movement) => format!("(what: {}, movement: {})", quoted(&tier.what), quoted(movement)),
        None => quoted(&tier.what),
    }
}
