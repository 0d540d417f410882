//! Movements as JSON, for other programs.

use std::io::Write;

use serde::Serialize;

use crate::CommandError;
use class::movement::{
    CautionAlternative, Load, Movement, MovementHit, Muscle, NeededKit, Pattern, Position, Region, Sides, Suitability,
    Tier,
};
use class::time::FirstPhase;

/// The version of the JSON output. It goes up when a field changes its meaning or is removed.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct MovementsJson<'a> {
    version: u32,
    movements: Vec<MovementJson<'a>>,
}

#[derive(Serialize)]
struct MovementJson<'a> {
    id: &'a str,
    name: &'a str,
    short: &'a str,
    said: &'a str,
    also: &'a [String],
    pattern: Pattern,
    position: Position,
    kit: Vec<KitJson<'a>>,
    sides: Sides,
    prime: &'a [Muscle],
    helping: &'a [Muscle],
    loaded: bool,
    tempo: Option<TempoJson<'a>>,
    setup: &'a str,
    prompts: &'a [String],
    faults: Vec<CorrectionJson<'a>>,
    easier: Option<TierJson<'a>>,
    harder: Option<TierJson<'a>>,
    cautions: Vec<CautionJson<'a>>,
    /// How the movement suits the regions that were asked for.
    suits: &'static str,
}

#[derive(Serialize)]
struct KitJson<'a> {
    item: &'a str,
    load: Option<Load>,
    count: u8,
}

#[derive(Serialize)]
struct TempoJson<'a> {
    counts: [u8; 4],
    starts: FirstPhase,
    lower: &'a str,
    lift: &'a str,
}

#[derive(Serialize)]
struct CorrectionJson<'a> {
    fault: &'a str,
    fix: &'a str,
}

/// An easier or a harder option.
#[derive(Serialize)]
struct TierJson<'a> {
    what: &'a str,
    movement: Option<&'a str>,
}

#[derive(Serialize)]
struct CautionJson<'a> {
    region: Region,
    /// `movement`, `text` or `leave_out`.
    instead: &'static str,
    /// The id of the movement, or the text.
    what: Option<&'a str>,
}

/// Writes everything about the movements that were found.
pub(super) fn write(hits: &[MovementHit], out: &mut impl Write) -> Result<(), CommandError> {
    let found = MovementsJson { version: VERSION, movements: hits.iter().map(entry).collect() };
    serde_json::to_writer_pretty(&mut *out, &found).map_err(std::io::Error::from)?;
    Ok(writeln!(out)?)
}

fn entry<'a>(hit: &MovementHit<'a>) -> MovementJson<'a> {
    let movement: &'a Movement = hit.movement;
    MovementJson {
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
            .map(|NeededKit { item, load, count }| KitJson { item: &item.0, load: *load, count: *count })
            .collect(),
        sides: movement.sides,
        prime: &movement.prime,
        helping: &movement.helping,
        loaded: movement.loaded,
        tempo: movement.guide.as_ref().map(|guide| TempoJson {
            counts: guide.tempo.counts,
            starts: guide.starts,
            lower: &guide.lower,
            lift: &guide.lift,
        }),
        setup: &movement.setup,
        prompts: &movement.prompts,
        faults: movement.faults.iter().map(|one| CorrectionJson { fault: &one.fault, fix: &one.fix }).collect(),
        easier: movement.easier.as_ref().map(tier),
        harder: movement.harder.as_ref().map(tier),
        cautions: movement.cautions.iter().map(|one| caution(one.region, &one.instead)).collect(),
        suits: match hit.suits() {
            Suitability::AsItIs => "as_it_is",
            Suitability::WithCare => "with_care",
            Suitability::NotAll => "not_all",
        },
    }
}

fn tier(tier: &Tier) -> TierJson<'_> {
    TierJson { what: &tier.what, movement: tier.movement.as_deref() }
}

fn caution(region: Region, instead: &CautionAlternative) -> CautionJson<'_> {
    let (instead, what) = match instead {
        CautionAlternative::Movement { id, .. } => ("movement", Some(id.as_str())),
        CautionAlternative::Text(text) => ("text", Some(text.as_str())),
        CautionAlternative::LeaveOut => ("leave_out", None),
    };
    CautionJson { region, instead, what }
}
