//! The schedule as a table a coach can read aloud from.

use std::fmt::Write;
use std::sync::Arc;

use unicode_width::UnicodeWidthStr;

use class::cue;
use class::describe::{doing_words, format_words, reps_words, side_words};
use class::movement::Sides;
use class::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use class::session::{Block, BlockFormat, BlockStart, WorkAmount, block_letter};
use class::time::{Tick, clock, spoken_length};

/// One line of the table; the columns are aligned over the whole class.
struct ScheduleRow {
    start: String,
    length: String,
    movement: String,
    side: &'static str,
    reps: String,
    change: String,
}

/// A schedule as text: for each block a heading, then start, length, movement, side, repetitions and what changes.
pub(super) fn table(schedule: &Schedule) -> String {
    let mut text = heading(schedule);
    let rows: Vec<ScheduleRow> = schedule.spans.iter().map(|span| row(schedule, span)).collect();
    let width = |column: fn(&ScheduleRow) -> &str| rows.iter().map(|row| column(row).width()).max().unwrap_or(0);
    let (start, length) = (width(|row| &row.start), width(|row| &row.length));
    let (movement, side, reps) = (width(|row| &row.movement), width(|row| row.side), width(|row| &row.reps));

    let mut before: Option<&Span> = None;
    for (span, row) in schedule.spans.iter().zip(&rows) {
        if before.is_none_or(|before| before.block != span.block) {
            let _ = write!(text, "\n{}\n", block_heading(schedule, span.block));
            stations_at_once(schedule.block_of(span), &mut text);
        } else if span.purpose == SpanPurpose::Work && starts_pass(schedule, span) {
            let _ = writeln!(text, "  {}", pass(schedule.block_of(span), span.round));
        }
        if span.gate {
            let _ = writeln!(text, "  {:>start$}  waits for your key", "");
        }
        let line = format!(
            "  {:>start$}  {:>length$}  {}  {}  {}  {}",
            row.start,
            row.length,
            pad(&row.movement, movement),
            pad(row.side, side),
            pad(&row.reps, reps),
            row.change,
        );
        let _ = writeln!(text, "{}", line.trim_end());
        before = Some(span);
    }
    text
}

/// Title, total and what is left of the slot.
fn heading(schedule: &Schedule) -> String {
    let total = schedule.total();
    let mut text = format!("{}\n{} in all", schedule.session.title, clock(total));
    if let Some(slot) = schedule.session.slot {
        let _ = match slot.checked_sub(total) {
            Some(spare) => write!(text, ", slot {}, {} spare", clock(slot), clock(spare)),
            None => write!(text, ", slot {}, {} over", clock(slot), clock(total - slot)),
        };
    }
    text.push('\n');
    if !schedule.session.music.is_empty() {
        let _ = writeln!(text, "music: {}", schedule.session.music.join(", "));
    }
    text
}

fn block_heading(schedule: &Schedule, index: usize) -> String {
    let block = &schedule.session.blocks[index];
    let spans = schedule.spans.iter().filter(|span| span.block == index && span.purpose != SpanPurpose::BlockRest);
    let length: Tick = spans.map(Span::length).sum();
    let mut text = format!("{}  {}: {}, {}", block_letter(index), block.name, format_words(block), clock(length));
    if block.start == BlockStart::OnKey {
        text += ", starts on your key";
    }
    if !Arc::ptr_eq(&block.music, &schedule.session.music) {
        text += &if block.music.is_empty() {
            ", no music".to_owned()
        } else {
            format!(", music: {}", block.music.join(", "))
        };
    }
    text
}

/// Whether a work span starts a round over the stations of its block, in a block with several rounds.
fn starts_pass(schedule: &Schedule, span: &Span) -> bool {
    let block = schedule.block_of(span);
    let first = match block.format {
        // Sets stay at one station: a heading for each set would only repeat what the line says.
        BlockFormat::Sets => return false,
        BlockFormat::Intervals { .. } if block.stations.len() == 1 => return false,
        _ => matches!(span.activity, Activity::Station(0) | Activity::Turn(0) | Activity::AllAtOwnPace),
    };
    first && block.passes() > 1 && span.round > 0 && span.side != WorkingSide::Right
}

/// Lists the stations of a block in which people are at different stations at the same time.
fn stations_at_once(block: &Block, text: &mut String) {
    if !matches!(block.format, BlockFormat::Rotation | BlockFormat::Amrap { .. }) {
        return;
    }
    for (index, station) in block.stations.iter().enumerate() {
        let mut line = format!("  {:>7}  {}", index + 1, station.movement.name);
        if let WorkAmount::Reps(reps) = station.work
            && block.format != BlockFormat::Rotation
        {
            let _ = write!(line, ", {reps} times");
        }
        if matches!(station.sides, Sides::LeftThenRight | Sides::EachSide) {
            line += ", left, then right";
        }
        if let Some(place) = &station.place {
            let _ = write!(line, ", {place}");
        }
        let _ = writeln!(text, "{line}");
    }
}

fn pass(block: &Block, round: u32) -> String {
    format!("round {} of {}", round + 1, block.passes())
}

fn row(schedule: &Schedule, span: &Span) -> ScheduleRow {
    let work = span.purpose == SpanPurpose::Work;
    ScheduleRow {
        start: clock(span.start),
        length: spoken_length(span.length()),
        movement: if work { doing_words(schedule, span) } else { format!("· {}", cue::purpose_words(span.purpose)) },
        side: side_words(span),
        reps: reps_words(schedule, span),
        change: if work || span.purpose == SpanPurpose::Transition {
            cue::changeover_words(&span.change)
        } else {
            String::new()
        },
    }
}

/// The text, filled up with spaces to a width in columns.
fn pad(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}
