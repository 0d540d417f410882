//! Cards: one station each, for the wall or the floor.

use class::cue::region_words;
use class::describe::sides_words;
use class::movement::{CautionAlternative, Region};
use class::schedule::{Schedule, Span, SpanPurpose};
use class::session::{BlockFormat, Station, WorkAmount, block_letter};
use class::time::{FirstPhase, Tick, clock};

/// A station on a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationCard {
    /// Letter and name of the block.
    pub block: String,
    /// The number of the station in its block, from 1.
    pub number: usize,
    pub movement: String,
    /// Length or repetitions, rounds, sides, kit, place.
    pub facts: String,
    pub tempo: Option<TempoBar>,
    pub setup: String,
    pub prompts: Vec<String>,
    pub easier: Option<String>,
    pub harder: Option<String>,
    /// Common faults, each with its fix.
    pub faults: Vec<(String, String)>,
    /// The regions to look after, each with what to do instead.
    pub instead: Vec<(String, String)>,
    /// In a rotation: number, movement and place of the next station.
    pub next: Option<String>,
}

/// One repetition: its phases in order. A phase of 0 s is left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TempoBar {
    pub written: String,
    pub phases: Vec<TempoPhase>,
}

/// A phase of a repetition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TempoPhase {
    pub words: String,
    pub seconds: u64,
    /// Height at its start: 0 low, 1 high.
    pub from: u8,
    /// Height at its end: 0 low, 1 high.
    pub to: u8,
}

/// A card for each station of a class, in order.
pub fn cards(schedule: &Schedule) -> Vec<StationCard> {
    let session = &schedule.session;
    let mut cards = Vec::new();
    for (index, block) in session.blocks.iter().enumerate() {
        let works = |span: &&Span| span.block == index && span.purpose == SpanPurpose::Work;
        let length = schedule.spans.iter().find(works).map(Span::length);
        for (at, station) in block.stations.iter().enumerate() {
            let next = (block.format == BlockFormat::Rotation).then(|| {
                let next = (at + 1) % block.stations.len();
                let place = block.stations[next].place.as_ref().map(|place| format!(", {place}")).unwrap_or_default();
                format!("{} {}{place}", next + 1, block.stations[next].movement.name)
            });
            let movement = &station.movement;
            let mind = |region: &Region| movement.cautions.iter().find(|caution| caution.region == *region);
            cards.push(StationCard {
                block: format!("{} {}", block_letter(index), block.name),
                number: at + 1,
                movement: movement.name.clone(),
                facts: facts(station, &block.format, length, block.rounds),
                tempo: tempo_bar(station),
                setup: movement.setup.clone(),
                prompts: station.prompts.iter().filter(|prompt| !prompt.trim().is_empty()).cloned().collect(),
                easier: station.easier.as_ref().map(|tier| tier.what.clone()),
                harder: station.harder.as_ref().map(|tier| tier.what.clone()),
                faults: station.faults.iter().map(|fault| (fault.fault.clone(), fault.fix.clone())).collect(),
                instead: session
                    .look_after
                    .iter()
                    .filter_map(mind)
                    .map(|caution| (region_words(caution.region).to_owned(), instead(&caution.instead)))
                    .collect(),
                next,
            });
        }
    }
    cards
}

fn facts(station: &Station, format: &BlockFormat, length: Option<Tick>, rounds: u32) -> String {
    let mut facts = Vec::new();
    facts.push(match (station.work, format) {
        (WorkAmount::Reps(reps), _) => format!("{reps} reps"),
        // In an AMRAP the span has a length, not the station.
        (_, BlockFormat::Amrap { .. }) => String::new(),
        (_, BlockFormat::Rotation | BlockFormat::Ladder { .. }) => length.map(clock).unwrap_or_default(),
        (WorkAmount::Time(length), _) => clock(length),
    });
    if rounds > 1 {
        facts.push(format!("{rounds} {}", if *format == BlockFormat::Sets { "sets" } else { "rounds" }));
    }
    facts.push(sides_words(station.sides).to_owned());
    facts.extend(station.kit.iter().map(ToString::to_string));
    facts.extend(station.place.clone());
    facts.retain(|fact| !fact.trim().is_empty());
    facts.join(" · ")
}

fn tempo_bar(station: &Station) -> Option<TempoBar> {
    let tempo = station.tempo?;
    let guide = station.movement.guide.as_ref();
    let starts = guide.map_or(FirstPhase::Lower, |guide| guide.starts);
    let words = |phase: usize| match (phase, guide) {
        (0, Some(guide)) => guide.lower.clone(),
        (2, Some(guide)) => guide.lift.clone(),
        (0, None) => "lower".to_owned(),
        (2, None) => "lift".to_owned(),
        _ => "hold".to_owned(),
    };
    let height = [(1, 0), (0, 0), (0, 1), (1, 1)];
    let phases = tempo.phases(starts).into_iter().filter(|(_, _, length)| length.0 > 0);
    let phases = phases.map(|(phase, _, length)| {
        let (from, to) = height[phase];
        TempoPhase { words: words(phase), seconds: length.0 / 1000, from, to }
    });
    Some(TempoBar { written: tempo.to_string(), phases: phases.collect() })
}

fn instead(instead: &CautionAlternative) -> String {
    match instead {
        CautionAlternative::Movement { name, .. } => name.clone(),
        CautionAlternative::Text(text) => text.clone(),
        CautionAlternative::LeaveOut => "leave it out, rest".to_owned(),
    }
}
