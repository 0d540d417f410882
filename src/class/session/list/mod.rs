//! Reads a plain list of movements: one movement on each line, a blank line between blocks.
//!
//! The first line of a block may give its settings (`50s, rest 10s, 2 rounds`), its name (`Legs:`), or both
//! (`Legs: 50s, rest 10s`). A line with a movement may give its own length, repetitions or sides
//! (`split squat 45s, each side`). If the first line of the list begins with `#`, it is the title. Other lines that
//! begin with `#` or `//` are notes.

mod settings;

use std::sync::Arc;

use super::BlockKind;
use crate::movement::{Catalogue, EXACT, Movement, MovementHit, Sides, named};
use crate::time::Tick;

use settings::LineSettings;
pub use settings::ListedFormat;

/// The maximum number of lines that are read.
pub const LINES: usize = 2_000;
/// The maximum length of a line, in characters. Longer lines are left out.
pub const LINE: usize = 200;

/// The lowest fit that counts as a guess. Below it, too many letters differ.
const GUESS: u32 = EXACT * 6 / 10;

/// A list as it was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct MovementList {
    pub title: Option<String>,
    pub blocks: Vec<ListedBlock>,
    /// What was not understood or was left out, each with its line number, from 1.
    pub remarks: Vec<(usize, String)>,
}

/// A block of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedBlock {
    pub name: String,
    pub kind: BlockKind,
    pub form: ListedFormat,
    /// None when the list gives no length for the block.
    pub work: Option<Tick>,
    pub reps: Option<u32>,
    pub rest: Tick,
    /// Rest after the block.
    pub rest_after: Tick,
    pub rounds: u32,
    /// Rest between two rounds. None means the same as between two stations.
    pub round_rest: Option<Tick>,
    /// Planned time to brief the class.
    pub briefing: Tick,
    pub stations: Vec<ListedStation>,
}

/// A line of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedStation {
    /// The line number, from 1.
    pub line: usize,
    /// The name as it was written.
    pub written: String,
    pub found: NameMatch,
    pub work: Option<Tick>,
    pub reps: Option<u32>,
    pub sides: Option<Sides>,
}

/// What was found for a written name.
#[derive(Clone, Debug, PartialEq)]
pub enum NameMatch {
    /// The movement with this name.
    Named(Arc<Movement>),
    /// The movement whose name is nearest.
    Guessed(Arc<Movement>),
    /// No movement of the catalogue.
    Unknown,
}

/// The work of a station when the list gives none.
pub const WORK: Tick = Tick::seconds(40);
/// The rest between the stations of a main block when the list gives none. A warm-up and a cool-down then have none.
pub const REST: Tick = Tick::seconds(20);
/// The rest after a block when the list gives none: time to drink and to put kit away.
pub const REST_AFTER: Tick = Tick::seconds(45);

/// Reads a list. It never fails: a remark explains each line that could not be used.
pub fn read_list(text: &str, catalogue: &Catalogue) -> MovementList {
    let mut list = MovementList { title: None, blocks: Vec::new(), remarks: Vec::new() };
    let mut open: Option<ListedBlock> = None;
    for (number, line) in (1..).zip(text.lines()) {
        if number > LINES {
            list.remarks.push((number, format!("only the first {LINES} lines are read")));
            break;
        }
        if line.chars().count() > LINE {
            list.remarks.push((number, format!("left out: longer than {LINE} characters")));
            continue;
        }
        let line = without_bullet(line);
        if line.starts_with('#') || line.starts_with("//") {
            if number == 1 {
                let title = line.strip_prefix('#').map(|title| clean(title.trim_start_matches('#')));
                list.title = title.filter(|title| !title.is_empty());
            }
            continue;
        }
        if line.is_empty() {
            list.blocks.extend(open.take().filter(|block| !block.stations.is_empty()));
            continue;
        }
        let heading = heading(line).or_else(|| first_heading(line, catalogue).filter(|_| open.is_none()));
        match (&mut open, heading) {
            (None, Some((name, settings))) => open = Some(block(list.blocks.len(), name, settings)),
            // A second heading in a row adds settings to the same block.
            (Some(block), Some((name, settings))) if block.stations.is_empty() => {
                *block = merged(block, name, settings);
            }
            (Some(_), Some((name, settings))) if name.is_some() => {
                list.blocks.extend(open.take());
                open = Some(block(list.blocks.len(), name, settings));
            }
            (open, _) => match station(number, line, catalogue) {
                Some(station) => open
                    .get_or_insert_with(|| block(list.blocks.len(), None, LineSettings::default()))
                    .stations
                    .push(station),
                None => list.remarks.push((number, format!("left out: no movement in \"{line}\""))),
            },
        }
    }
    list.blocks.extend(open.filter(|block| !block.stations.is_empty()));
    list
}

/// A line without its bullet or number, and without control characters at its ends.
fn without_bullet(line: &str) -> &str {
    let line = line.trim_matches(|c: char| c.is_whitespace() || c.is_control() || c == '\u{feff}');
    let bare = line.trim_start_matches(['-', '*', '+', '\u{2022}', '\u{2013}']).trim_start();
    let digits = bare.len() - bare.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    match bare[digits..].strip_prefix(['.', ')']) {
        Some(rest) if digits > 0 && rest.starts_with(' ') => rest.trim_start(),
        _ => bare,
    }
}

/// Reads a line that gives the name of a block, its settings, or both. None for other lines.
fn heading(line: &str) -> Option<(Option<&str>, LineSettings)> {
    if let Some((name, rest)) = line.split_once(':')
        && !name.trim().is_empty()
        // `1:30` is a length.
        && !name.trim_end().ends_with(|c: char| c.is_ascii_digit())
    {
        let settings = if rest.trim().is_empty() { LineSettings::default() } else { LineSettings::all(rest)? };
        return Some((Some(name.trim()), settings));
    }
    // `Warm-up 40s` as well as `Warm-up, 40s, rest 5s`.
    let (name, own) = LineSettings::apart(line);
    for (name, settings) in [Some((name, own)), name_and_settings(line)].into_iter().flatten() {
        if let Some(kind) = settings::kind_named(name) {
            return Some((Some(name), LineSettings { kind: Some(kind), ..settings }));
        }
    }
    LineSettings::all(line).map(|settings| (None, settings))
}

/// Reads a line such as `Legs, 45s, rest 15s` as the beginning of a block. None when a movement has this name, or when
/// none of the settings is one that only a block can have.
fn first_heading<'a>(line: &'a str, catalogue: &Catalogue) -> Option<(Option<&'a str>, LineSettings)> {
    let (name, settings) = name_and_settings(line)?;
    let stranger = named(catalogue, name).first().is_none_or(|hit| !is_its_own(name, hit));
    (stranger && settings.are_a_block_s()).then_some((Some(name), settings))
}

fn name_and_settings(line: &str) -> Option<(&str, LineSettings)> {
    let (name, rest) = line.split_once([',', ';'])?;
    Some((name.trim(), LineSettings::all(rest)?)).filter(|(name, _)| name.chars().any(char::is_alphabetic))
}

fn block(index: usize, name: Option<&str>, settings: LineSettings) -> ListedBlock {
    let kind = settings.kind.or_else(|| settings::kind_named(name?)).unwrap_or_default();
    let usual = match kind {
        BlockKind::WarmUp => "Warm-up".to_owned(),
        BlockKind::CoolDown => "Cool-down".to_owned(),
        BlockKind::Main => format!("Block {}", super::block_letter(index)),
    };
    ListedBlock {
        name: name.map_or(usual, clean),
        kind,
        form: settings.form.unwrap_or_default(),
        work: settings.work,
        reps: settings.reps,
        rest: settings.rest.unwrap_or(if kind == BlockKind::Main { REST } else { Tick::ZERO }),
        rest_after: settings.rest_after.unwrap_or(REST_AFTER),
        rounds: settings.rounds.unwrap_or(1),
        round_rest: None,
        briefing: Tick::ZERO,
        stations: Vec::new(),
    }
}

/// A block with the settings of a further heading.
fn merged(block: &ListedBlock, name: Option<&str>, settings: LineSettings) -> ListedBlock {
    let named = name.and_then(settings::kind_named);
    ListedBlock {
        name: name.map_or_else(|| block.name.clone(), clean),
        kind: settings.kind.or(named).unwrap_or(block.kind),
        form: settings.form.unwrap_or(block.form),
        work: settings.work.or(block.work),
        reps: settings.reps.or(block.reps),
        rest: settings.rest.unwrap_or(block.rest),
        rest_after: settings.rest_after.unwrap_or(block.rest_after),
        rounds: settings.rounds.unwrap_or(block.rounds),
        round_rest: block.round_rest,
        briefing: block.briefing,
        stations: Vec::new(),
    }
}

/// Reads a line with a movement and its own settings.
fn station(line: usize, text: &str, catalogue: &Catalogue) -> Option<ListedStation> {
    let (name, own) = LineSettings::apart(text);
    let written = clean(name);
    if !written.chars().any(char::is_alphabetic) {
        return None;
    }
    let found = match named(catalogue, &written).first() {
        Some(hit) if is_its_own(&written, hit) => NameMatch::Named(Arc::clone(hit.movement)),
        Some(hit) if hit.fit >= GUESS => NameMatch::Guessed(Arc::clone(hit.movement)),
        _ => NameMatch::Unknown,
    };
    Some(ListedStation { line, written, found, work: own.work, reps: own.reps, sides: own.sides })
}

/// Whether a name is one of the movement's own names and not a guess.
fn is_its_own(written: &str, hit: &MovementHit) -> bool {
    hit.fit == EXACT || is_plural(written, hit.movement)
}

/// Whether a name is a movement's own name with an added s.
fn is_plural(written: &str, movement: &Movement) -> bool {
    let letters = |name: &str| name.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect::<String>();
    let written = letters(written);
    let names = [&movement.id, &movement.name].into_iter().chain(&movement.also);
    written.strip_suffix('s').is_some_and(|one| names.into_iter().any(|name| letters(name) == one))
}

/// A name that session files accept: without control characters, with single spaces, not too long.
fn clean(name: &str) -> String {
    let printable: String = name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let name = printable.split_whitespace().collect::<Vec<_>>().join(" ");
    name.chars().take(super::limits::NAME).collect::<String>().trim_end().to_owned()
}
