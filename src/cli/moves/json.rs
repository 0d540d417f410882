//! Movements as JSON, for other programs.

use std::io::Write;

use serde::Serialize;

use crate::Stop;
use class::movement::{Hit, Instead, KitNeed, Load, Movement, Muscle, Pattern, Position, Region, Sides, Suits, Tier};
use class::time::Starts;

/// The version of the JSON output. It goes up when a field changes its meaning or is removed.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct Found<'a> {
    version: u32,
    movements: Vec<Entry<'a>>,
}

#[derive(Serialize)]
struct Entry<'a> {
    id: &'a str,
    name: &'a str,
    short: &'a str,
    said: &'a str,
    also: &'a [String],
    pattern: Pattern,
    position: Position,
    kit: Vec<Kit<'a>>,
    sides: Sides,
    prime: &'a [Muscle],
    helping: &'a [Muscle],
    loaded: bool,
    tempo: Option<Tempo<'a>>,
    setup: &'a str,
    prompts: &'a [String],
    faults: Vec<Fault<'a>>,
    easier: Option<TierOut<'a>>,
    harder: Option<TierOut<'a>>,
    cautions: Vec<Caution<'a>>,
    /// How the movement suits the regions that were asked for.
    suits: &'static str,
}

#[derive(Serialize)]
struct Kit<'a> {
    item: &'a str,
    load: Option<Load>,
    count: u8,
}

#[derive(Serialize)]
struct Tempo<'a> {
    counts: [u8; 4],
    starts: Starts,
    lower: &'a str,
    lift: &'a str,
}

#[derive(Serialize)]
struct Fault<'a> {
    fault: &'a str,
    fix: &'a str,
}

/// An easier or a harder option.
#[derive(Serialize)]
struct TierOut<'a> {
    what: &'a str,
    movement: Option<&'a str>,
}

#[derive(Serialize)]
struct Caution<'a> {
    region: Region,
    /// `movement`, `text` or `leave_out`.
    instead: &'static str,
    /// The id of the movement, or the text.
    what: Option<&'a str>,
}

/// Writes everything about the movements that were found.
pub(super) fn write(hits: &[Hit], out: &mut impl Write) -> Result<(), Stop> {
    let found = Found { version: VERSION, movements: hits.iter().map(entry).collect() };
    serde_json::to_writer_pretty(&mut *out, &found).map_err(|error| Stop::Output(error.into()))?;
    Ok(writeln!(out)?)
}

fn entry<'a>(hit: &Hit<'a>) -> Entry<'a> {
    let movement: &'a Movement = hit.movement;
    Entry {
        id: &movement.id,
        name: &movement.name,
        short: &movement.short,
        said: movement.spoken_name(),
        also: &movement.also,
        pattern: movement.pattern,
        position: movement.position,
        kit: movement
            .kit
            .iter()
            .map(|KitNeed { item, load, count }| Kit { item: &item.0, load: *load, count: *count })
            .collect(),
        sides: movement.sides,
        prime: &movement.prime,
        helping: &movement.helping,
        loaded: movement.loaded,
        tempo: movement.guide.as_ref().map(|guide| Tempo {
            counts: guide.tempo.counts,
            starts: guide.starts,
            lower: &guide.lower,
            lift: &guide.lift,
        }),
        setup: &movement.setup,
        prompts: &movement.prompts,
        faults: movement.faults.iter().map(|one| Fault { fault: &one.fault, fix: &one.fix }).collect(),
        easier: movement.easier.as_ref().map(tier),
        harder: movement.harder.as_ref().map(tier),
        cautions: movement.cautions.iter().map(|one| caution(one.region, &one.instead)).collect(),
        suits: match hit.suits() {
            Suits::AsItIs => "as_it_is",
            Suits::WithCare => "with_care",
            Suits::NotAll => "not_all",
        },
    }
}

fn tier(tier: &Tier) -> TierOut<'_> {
    TierOut { what: &tier.what, movement: tier.movement.as_deref() }
}

fn caution(region: Region, instead: &Instead) -> Caution<'_> {
    let (instead, what) = match instead {
        Instead::Movement { id, .. } => ("movement", Some(id.as_str())),
        Instead::Text(text) => ("text", Some(text.as_str())),
        Instead::LeaveOut => ("leave_out", None),
    };
    Caution { region, instead, what }
}
