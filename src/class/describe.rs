//! Short words for tables: the format of a block, sides and repetitions.

use crate::movement::Sides;
use crate::schedule::{Doing, Purpose, Schedule, Side, Span};
use crate::session::{Block, Format};
use crate::time::spoken_length;

/// The format of a block: `5 stations × 2 rounds`.
pub fn format_words(block: &Block) -> String {
    let stations = match block.stations.len() {
        1 => "1 station".to_owned(),
        count => format!("{count} stations"),
    };
    let rounds = if block.rounds > 1 { format!(" × {} rounds", block.rounds) } else { String::new() };
    match &block.format {
        Format::Circuit => format!("{stations}{rounds}"),
        Format::Sets if block.rounds > 1 => format!("straight sets, {stations} × {} sets", block.rounds),
        Format::Sets => format!("straight sets, {stations}"),
        Format::Emom { every } => format!("EMOM every {}, {stations}{rounds}", spoken_length(*every)),
        Format::Amrap { time } => format!("{} AMRAP, {stations}{rounds}", spoken_length(*time)),
        Format::Ladder { rungs } => {
            let rungs: Vec<String> = rungs.iter().map(|rung| spoken_length(*rung)).collect();
            format!("ladder {}, {stations}{rounds}", rungs.join("/"))
        }
        Format::Intervals { count, .. } => format!("{count} intervals{rounds}"),
        Format::Rotation => format!("rotation, {stations}{rounds}"),
    }
}

/// Who does what in a work span.
pub fn doing_words(schedule: &Schedule, span: &Span) -> String {
    let block = schedule.block_of(span);
    match span.doing {
        Doing::Station(index) => block.stations[index].movement.name.clone(),
        Doing::AllAtOwnPace => "Everyone at their own pace".to_owned(),
        Doing::Turn(0) if span.round == 0 => "Each group at its station".to_owned(),
        Doing::Turn(_) => "Each group at its next station".to_owned(),
        Doing::Nothing => String::new(),
    }
}

/// The side of a work span. Empty where both sides work together, and for other spans.
pub fn side_words(span: &Span) -> &'static str {
    match span.side {
        _ if span.purpose != Purpose::Work => "",
        Side::Both => "",
        Side::Alternating => "alternating",
        Side::Left => "left",
        Side::Right => "right",
        Side::LeftThenRight { .. } => "left, then right",
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
        (Some(reps), Side::Alternating | Side::LeftThenRight { .. }) => format!("about {reps} each side"),
        (Some(reps), _) => format!("about {reps}"),
        (None, _) if span.purpose == Purpose::Work && schedule.passes(span) > 1 && block.format == Format::Sets => {
            format!("set {}", span.round + 1)
        }
        (None, _) => String::new(),
    }
}
