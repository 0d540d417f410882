//! Writes a session file from a list: valid, with comments, in the shortest form.

use std::fmt::Write;

use super::defaults;
use super::list::{ListedBlock, ListedFormat, ListedStation, MovementList, NameMatch, WORK};
use super::{KitAmount, OwnedKit};
use crate::movement::{Movement, NeededKit, Region, Sides};
use crate::time::{Tempo, Tick, spoken_length};

/// The fields of a session apart from its blocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SessionHeading {
    pub title: String,
    pub slot: Option<Tick>,
    pub people: Option<u32>,
    /// The regions and states to look after.
    pub look_after: Vec<Region>,
    pub kit: Vec<OwnedKit>,
    /// Comments at the top of the file, one line each.
    pub notes: Vec<String>,
}

/// The text of a session file with the content of a list.
pub fn write_session(heading: &SessionHeading, list: &MovementList) -> String {
    let mut text = String::from(HEAD);
    for note in &heading.notes {
        let _ = writeln!(text, "// {}", note.replace(char::is_control, " "));
    }
    text += "(\n";
    let _ = writeln!(text, "    title: {},", quoted(&heading.title));
    match heading.slot {
        Some(slot) => drop(writeln!(text, "    slot: \"{}\",", spoken_length(slot))),
        None => text += "    // slot: \"45m\",  // how long the room is booked\n",
    }
    match heading.people {
        Some(people) => drop(writeln!(text, "    people: {people},")),
        None => text += "    // people: 12,\n",
    }
    if heading.look_after.is_empty() {
        text += "    // look_after: [wrist],  // regions to go easy on: alternatives are then shown\n";
    } else {
        let regions: Vec<String> = heading.look_after.iter().map(Region::to_string).collect();
        let _ = writeln!(text, "    look_after: [{}],", regions.join(", "));
    }
    if heading.kit.is_empty() {
        text += "    // kit: [(item: \"kettlebell\", load: light, each: 1), (item: \"box\", shared: 4)],\n";
    } else {
        text += "    kit: [\n";
        heading.kit.iter().for_each(|owned| text += &owned_text(owned));
        text += "    ],\n";
    }
    text += "    // emergency: \"address, nearest defibrillator, number\",  // shown by the stop key\n";
    text += "    blocks: [\n";
    for (index, block) in list.blocks.iter().enumerate() {
        text += &block_text(block, index + 1 == list.blocks.len());
    }
    text += "    ],\n)\n";
    text
}

fn owned_text(owned: &OwnedKit) -> String {
    format!("        {},\n", owned_value(owned))
}

/// The kit that each person needs at a station, as the file writes it.
pub fn need_value(need: &NeededKit) -> String {
    let item = quoted(&need.item.0);
    match (need.load, need.count) {
        (None, 1) => item,
        (load, count) => {
            let load = load.map_or_else(String::new, |load| format!(", load: {load}"));
            let count = if count > 1 { format!(", count: {count}") } else { String::new() };
            format!("(item: {item}{load}{count})")
        }
    }
}

/// A piece of kit that is owned, as the file writes it.
pub fn owned_value(owned: &OwnedKit) -> String {
    let load = owned.load.map(|load| format!(", load: {load}")).unwrap_or_default();
    let amount = match owned.amount {
        KitAmount::Each(count) => format!("each: {count}"),
        KitAmount::Shared(count) => format!("shared: {count}"),
    };
    format!("(item: {}{load}, {amount})", quoted(&owned.item.0))
}

const HEAD: &str = "// A session for forecall. `forecall explain` lists every field and its default;\n\
    // `forecall check` says what is wrong; `forecall show` prints the class; `forecall lead` leads it.\n";

fn block_text(block: &ListedBlock, last: bool) -> String {
    let mut fields = vec![format!("name: {}", quoted(&block.name))];
    if block.kind != defaults::KIND {
        fields.push(format!("kind: {}", block.kind));
    }
    match block.form {
        ListedFormat::Circuit => {}
        ListedFormat::Sets => fields.push("format: sets".to_owned()),
        ListedFormat::Emom => fields.push("format: emom(every: \"1m\")".to_owned()),
        ListedFormat::Amrap(time) => fields.push(format!("format: amrap(time: \"{}\")", spoken_length(time))),
        ListedFormat::Intervals(count) => fields.push(format!("format: intervals(count: {count})")),
        ListedFormat::Rotation => fields.push("format: rotation".to_owned()),
    }
    match (block.work, block.reps) {
        (None, Some(reps)) => fields.push(format!("reps: {reps}")),
        (work, _) => fields.push(format!("work: \"{}\"", spoken_length(work.unwrap_or(WORK)))),
    }
    // In an EMOM the rest is the remaining part of the minute. At their own pace, people rest when they like.
    if block.rest != defaults::REST && !matches!(block.form, ListedFormat::Emom | ListedFormat::Amrap(_)) {
        fields.push(format!("rest: \"{}\"", spoken_length(block.rest)));
    }
    if block.rounds != defaults::ROUNDS {
        fields.push(format!("rounds: {}", block.rounds));
    }
    if let Some(rest) = block.round_rest {
        fields.push(format!("round_rest: \"{}\"", spoken_length(rest)));
    }
    if block.briefing != defaults::BRIEFING {
        fields.push(format!("briefing: \"{}\"", spoken_length(block.briefing)));
    }
    if block.rest_after != defaults::REST_AFTER && !last {
        fields.push(format!("rest_after: \"{}\"", spoken_length(block.rest_after)));
    }
    let mut text = format!("        ({}, stations: [\n", fields.join(", "));
    for station in &block.stations {
        text += &station_text(block, station);
    }
    text += "        ]),\n";
    text
}

fn station_text(block: &ListedBlock, station: &ListedStation) -> String {
    let mut fields = Vec::new();
    match (station.reps, station.work) {
        (Some(reps), None) => fields.push(repeated(station, reps).unwrap_or_else(|| format!("reps: {reps}"))),
        (_, Some(work)) => fields.push(format!("work: \"{}\"", spoken_length(work))),
        (None, None) => {
            let of_block = block.reps.filter(|_| block.work.is_none());
            fields.extend(of_block.and_then(|reps| repeated(station, reps)));
        }
    }
    if let Some(sides) = station.sides.filter(|sides| !natural(station, *sides)) {
        fields.push(format!("sides: {sides}"));
    }
    let (subject, comment) = match &station.found {
        NameMatch::Named(movement) => (by_id(movement), String::new()),
        NameMatch::Guessed(movement) => (by_id(movement), format!("  // \"{}\" in the list", station.written)),
        NameMatch::Unknown => {
            (format!("name: {}", quoted(&station.written)), "  // not in the catalogue: described here".to_owned())
        }
    };
    match (&station.found, fields.is_empty()) {
        (NameMatch::Named(movement) | NameMatch::Guessed(movement), true) => {
            format!("            {},{comment}\n", quoted(&movement.id))
        }
        (_, true) => format!("            ({subject}),{comment}\n"),
        (_, false) => format!("            ({subject}, {}),{comment}\n", fields.join(", ")),
    }
}

/// The tempo for repetitions of a movement without a tempo; an estimate.
const TEMPO: Tempo = Tempo { counts: [1, 0, 1, 0] };

/// How repetitions are written for a movement without a tempo. None for a movement that has one. A movement described
/// in the file gets a tempo. A movement of the catalogue without a tempo is held, carried or thrown, so it gets the
/// time that the repetitions take.
fn repeated(station: &ListedStation, reps: u32) -> Option<String> {
    match &station.found {
        NameMatch::Named(movement) | NameMatch::Guessed(movement) if movement.guide.is_some() => None,
        NameMatch::Named(movement) | NameMatch::Guessed(movement) => {
            let in_one_span = station.sides.unwrap_or(movement.sides) == Sides::LeftThenRight;
            let times = u64::from(reps) * if in_one_span { 2 } else { 1 };
            let work = Tick(TEMPO.rep().0.saturating_mul(times));
            Some(format!("work: \"{}\"", spoken_length(work)))
        }
        NameMatch::Unknown if station.reps.is_some() => Some(format!("reps: {reps}, tempo: \"{TEMPO}\"")),
        NameMatch::Unknown => Some(format!("tempo: \"{TEMPO}\"")),
    }
}

/// Whether these sides are the default of the movement.
fn natural(station: &ListedStation, sides: Sides) -> bool {
    match &station.found {
        NameMatch::Named(movement) | NameMatch::Guessed(movement) => movement.sides == sides,
        NameMatch::Unknown => sides == defaults::SIDES,
    }
}

fn by_id(movement: &Movement) -> String {
    format!("move: {}", quoted(&movement.id))
}

/// A text in quotes, as RON and JSON both write it.
pub fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

impl MovementList {
    /// The list for a starter: a warm-up, a circuit and a cool-down from the built-in catalogue.
    pub fn starter(catalogue: &crate::movement::Catalogue) -> MovementList {
        super::list::read_list(STARTER, catalogue)
    }
}

const STARTER: &str = "Warm-up: 40s\n\
    march-tall\narm-sweeps\nhip-hinge-drill\nsquat\n\n\
    Main: 45s, rest 15s, 2 rounds\n\
    glute-bridge\nsplit-squat\npush-up\ndead-bug\n\n\
    Cool-down: 50s\n\
    cat-cow\nchilds-pose\n";
