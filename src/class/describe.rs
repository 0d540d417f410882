//! A block, a side and repetitions in the few words of a table.

use crate::movement::Sides;
use crate::schedule::{Doing, Purpose, Schedule, Side, Span};
use crate::session::{Block, Format};
use crate::time::spoken_length;

/// What a block asks: `circuit of 5, 2 rounds`.
pub fn format_words(block: &Block) -> String {
    let stations = block.stations.len();
    let rounds = if block.rounds > 1 { format!(", {} rounds", block.rounds) } else { String::new() };
    match &block.format {
        Format::Circuit => format!("circuit of {stations}{rounds}"),
        Format::Sets if block.rounds > 1 => format!("{stations} in straight sets, {} sets", block.rounds),
        Format::Sets => format!("{stations} in straight sets"),
        Format::Emom { every } => format!("EMOM of {stations}, every {}{rounds}", spoken_length(*every)),
        Format::Amrap { time } => format!("AMRAP of {stations} in {}{rounds}", spoken_length(*time)),
        Format::Ladder { rungs } => {
            let rungs: Vec<String> = rungs.iter().map(|rung| spoken_length(*rung)).collect();
            format!("ladder of {stations}, {}{rounds}", rungs.join(" "))
        }
        Format::Intervals { count, .. } => format!("{count} intervals{rounds}"),
        Format::Rotation => format!("rotation round {stations}{rounds}"),
    }
}

/// Who does what in a work span.
pub fn doing_words(schedule: &Schedule, span: &Span) -> String {
    let block = schedule.block_of(span);
    match span.doing {
        Doing::Station(index) => block.stations[index].movement.name.clone(),
        Doing::AllAtOwnPace => "All, at their own pace".to_owned(),
        Doing::Turn(0) if span.round == 0 => "Each group at its station".to_owned(),
        Doing::Turn(_) => "Each group one station on".to_owned(),
        Doing::Nothing => String::new(),
    }
}

/// The side of a work span; empty where both work together.
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

/// The sides of a station that are work of their own each; empty for the others.
pub fn sides_words(sides: Sides) -> &'static str {
    match sides {
        Sides::Together => "",
        Sides::Alternating => "alternating",
        Sides::LeftThenRight | Sides::EachSide => "left, then right",
    }
}

/// How many repetitions fit in a span: `up to 7 a side`; the set, where sets are counted; else empty.
pub fn reps_words(schedule: &Schedule, span: &Span) -> String {
    let block = schedule.block_of(span);
    match (span.reps, span.side) {
        (Some(reps), Side::Alternating | Side::LeftThenRight { .. }) => format!("up to {reps} a side"),
        (Some(reps), _) => format!("up to {reps}"),
        (None, _) if span.purpose == Purpose::Work && schedule.passes(span) > 1 && block.format == Format::Sets => {
            format!("set {}", span.round + 1)
        }
        (None, _) => String::new(),
    }
}
