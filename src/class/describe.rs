//! Short words for tables: the format of a block, sides and repetitions.

use crate::movement::Sides;
use crate::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use crate::session::{Block, BlockFormat};
use crate::time::spoken_length;

/// The format of a block: `5 stations × 2 rounds`.
pub fn format_words(block: &Block) -> String {
    let stations = match block.stations.len() {
        1 => "1 station".to_owned(),
        count => format!("{count} stations"),
    };
    let rounds = if block.rounds > 1 { format!(" × {} rounds", block.rounds) } else { String::new() };
    match &block.format {
        BlockFormat::Circuit => format!("{stations}{rounds}"),
        BlockFormat::Sets if block.rounds > 1 => format!("straight sets, {stations} × {} sets", block.rounds),
        BlockFormat::Sets => format!("straight sets, {stations}"),
        BlockFormat::Emom { every } => format!("EMOM every {}, {stations}{rounds}", spoken_length(*every)),
        BlockFormat::Amrap { time } => format!("{} AMRAP, {stations}{rounds}", spoken_length(*time)),
        BlockFormat::Ladder { rungs } => {
            let rungs: Vec<String> = rungs.iter().map(|rung| spoken_length(*rung)).collect();
            format!("ladder {}, {stations}{rounds}", rungs.join("/"))
        }
        BlockFormat::Intervals { count, .. } => format!("{count} intervals{rounds}"),
        BlockFormat::Rotation => format!("rotation, {stations}{rounds}"),
    }
}

/// Who does what in a work span.
pub fn doing_words(schedule: &Schedule, span: &Span) -> String {
    let block = schedule.block_of(span);
    match span.activity {
        Activity::Station(index) => block.stations[index].movement.name.clone(),
        Activity::AllAtOwnPace => "Everyone at their own pace".to_owned(),
        Activity::Turn(0) if span.round == 0 => "Each group at its station".to_owned(),
        Activity::Turn(_) => "Each group at its next station".to_owned(),
        Activity::Nothing => String::new(),
    }
}

/// The side of a work span. Empty where both sides work together, and for other spans.
pub fn side_words(span: &Span) -> &'static str {
    match span.side {
        _ if span.purpose != SpanPurpose::Work => "",
        WorkingSide::Both => "",
        WorkingSide::Alternating => "alternating",
        WorkingSide::Left => "left",
        WorkingSide::Right => "right",
        WorkingSide::LeftThenRight { .. } => "left, then right",
    }
}

/// How the sides of a station take turns. Empty where both sides work together.
pub fn sides_words(sides: Sides) -> &'static str {
    match sides {
        Sides::Together => "",
        Sides::Alternating => "alternating",
        Sides::LeftThenRight | Sides::EachSide => "left, then right",
    }
}

/// How many repetitions fit in a span: `about 7 each side`. In straight sets without a tempo the number of the set.
/// Otherwise empty.
pub fn reps_words(schedule: &Schedule, span: &Span) -> String {
    let block = schedule.block_of(span);
    match (span.reps, span.side) {
        (Some(reps), WorkingSide::Alternating | WorkingSide::LeftThenRight { .. }) => format!("about {reps} each side"),
        (Some(reps), _) => format!("about {reps}"),
        (None, _)
            if span.purpose == SpanPurpose::Work && schedule.passes(span) > 1 && block.format == BlockFormat::Sets =>
        {
            format!("set {}", span.round + 1)
        }
        (None, _) => String::new(),
    }
}
