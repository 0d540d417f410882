//! The stations of a class as a table, in the order in which they are done: CSV (RFC 4180) and Markdown.

use crate::literal::escaped_markdown;
use class::cue::changeover_words;
use class::describe::{reps_words, side_words};
use class::recording::ExportClock;
use class::schedule::{Activity, Schedule, Span, SpanPurpose};
use class::session::block_letter;
use class::time::{self, Tick, spoken_length};

const HEADINGS: [&str; 12] =
    ["start", "seconds", "block", "name", "round", "station", "movement", "side", "tempo", "reps", "kit", "change"];

/// One row for every station in every span of work. Where groups work at different stations at the same time, each
/// station has a row.
fn rows<'a>(schedule: &'a Schedule, clock: &'a ExportClock) -> impl Iterator<Item = [String; 12]> + 'a {
    let work = schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work);
    let on_clock = work.filter_map(|span| clock.stretch(span.start, span.end).map(|(start, _)| (span, start)));
    on_clock
        .flat_map(move |(span, start)| stations(schedule, span).map(move |station| row(schedule, span, start, station)))
}

/// The stations that are in use in a span, by index.
fn stations(schedule: &Schedule, span: &Span) -> std::ops::Range<usize> {
    match span.activity {
        Activity::Station(index) => index..index + 1,
        Activity::AllAtOwnPace | Activity::Turn(_) => 0..schedule.block_of(span).stations.len(),
        Activity::Nothing => 0..0,
    }
}

fn row(schedule: &Schedule, span: &Span, start: Tick, index: usize) -> [String; 12] {
    let block = schedule.block_of(span);
    let station = &block.stations[index];
    let alone = matches!(span.activity, Activity::Station(_));
    let kit: Vec<String> = station.kit.iter().map(ToString::to_string).collect();
    [
        time::clock(start),
        seconds(span),
        block_letter(span.block),
        block.name.clone(),
        (span.round + 1).to_string(),
        (index + 1).to_string(),
        station.movement.name.clone(),
        if alone { side_words(span).to_owned() } else { String::new() },
        station.tempo.map(|tempo| tempo.to_string()).unwrap_or_default(),
        if alone { reps_words(schedule, span) } else { String::new() },
        kit.join(", "),
        if alone { changeover_words(&span.change) } else { String::new() },
    ]
}

/// The length of the work in seconds, without pauses. Thousandths are written only if there are any.
fn seconds(span: &Span) -> String {
    let ms = span.length().0;
    if ms.is_multiple_of(1000) { (ms / 1000).to_string() } else { format!("{}.{:03}", ms / 1000, ms % 1000) }
}

/// As CSV. A cell that a spreadsheet would read as a formula starts with an apostrophe.
///
/// # Errors
/// None in practice: the rows are text, and writing to memory does not fail.
pub fn csv(schedule: &Schedule, clock: &ExportClock) -> std::io::Result<String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(HEADINGS)?;
    for row in rows(schedule, clock) {
        writer.write_record(row.map(no_formula))?;
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    String::from_utf8(bytes).map_err(std::io::Error::other)
}

/// A cell with an apostrophe in front if it starts with a character by which some spreadsheets recognise a formula.
pub fn no_formula(cell: String) -> String {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{cell}") } else { cell }
}

/// As a Markdown document with a table for each block.
pub fn markdown(schedule: &Schedule, clock: &ExportClock) -> String {
    let mut text = format!(
        "# {}\n\n{} in total\n",
        escaped_markdown(&schedule.session.title),
        spoken_length(clock.ends(schedule.total()).unwrap_or(Tick::ZERO))
    );
    let mut before = None;
    for [start, seconds, letter, name, round, _, movement, side, tempo, reps, kit, change] in rows(schedule, clock) {
        if before.as_ref() != Some(&letter) {
            text += &format!("\n## {letter} {}\n\n", escaped_markdown(&name));
            text += "| start | seconds | round | movement | side | tempo | reps | kit | change |\n";
            text += "| ---: | ---: | ---: | --- | --- | --- | --- | --- | --- |\n";
            before = Some(letter);
        }
        let cells =
            [start, seconds, round, movement, side, tempo, reps, kit, change].map(|cell| escaped_markdown(&cell));
        text += &format!("| {} |\n", cells.join(" | "));
    }
    text
}
