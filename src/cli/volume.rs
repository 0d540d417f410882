//! The volume of a class as a table: one line per block, then the time of each muscle and each pattern.

use std::fmt::Write;

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use class::session::{Session, block_letter};
use class::time::{Tick, clock};
use class::training_volume::{TrainingVolume, VolumeTotals};
use paper::export::VolumeJson;

/// The most blocks that get a column each beside the class. More do not fit in a terminal.
const COLUMNS: usize = 8;

/// What the figures mean.
const NOTE: &str = "Estimates per person, both sides together. Work is without settling and switches; a muscle's \
    time is work\nunder load in which it is a prime mover.";

/// The volume of a class as a JSON document.
#[derive(Serialize)]
pub(super) struct VolumeReportJson<'a> {
    version: u32,
    title: &'a str,
    volume: VolumeJson<'a>,
}

impl<'a> VolumeReportJson<'a> {
    pub(crate) fn new(volume: &TrainingVolume, session: &'a Session) -> VolumeReportJson<'a> {
        VolumeReportJson { version: 1, title: &session.title, volume: VolumeJson::new(volume, session) }
    }
}

/// Work, rest, density and repetitions of each block and of the class; then muscles and patterns.
pub(super) fn table(volume: &TrainingVolume, session: &Session) -> String {
    let mut rows = vec![["", "work", "rest", "density", "reps"].map(str::to_owned).to_vec()];
    for (index, (part, block)) in volume.blocks.iter().zip(&session.blocks).enumerate() {
        rows.push(line(format!("{}  {}", block_letter(index), block.name), part));
    }
    rows.push(line("Class".to_owned(), &volume.class));
    let mut text = aligned(&rows);
    let muscles: Vec<_> = volume.class.muscles_by_time();
    text += &times(
        "Under load",
        &muscles,
        volume,
        |part, muscle| part.muscles.get(muscle).copied(),
        |muscle| muscle.words(),
    );
    let mut patterns: Vec<_> = volume.class.patterns.iter().map(|(&pattern, &time)| (pattern, time)).collect();
    patterns.sort_by_key(|&(_, time)| std::cmp::Reverse(time));
    text += &times(
        "Pattern",
        &patterns,
        volume,
        |part, pattern| part.patterns.get(pattern).copied(),
        |pattern| pattern.words(),
    );
    let _ = writeln!(text, "\n{NOTE}");
    text
}

fn line(name: String, part: &VolumeTotals) -> Vec<String> {
    let density = part.density().map_or_else(String::new, |percent| format!("{percent} %"));
    let reps = if part.reps == 0 { String::new() } else { format!("about {}", part.reps) };
    vec![name, whole_seconds(part.work), whole_seconds(part.rest), density, reps]
}

/// One line for each muscle or pattern, with its time in each block and in the class.
fn times<T>(
    head: &str,
    all: &[(T, Tick)],
    volume: &TrainingVolume,
    time: impl Fn(&VolumeTotals, &T) -> Option<Tick>,
    words: impl Fn(&T) -> String,
) -> String {
    if all.is_empty() {
        return String::new();
    }
    let blocks = if volume.blocks.len() <= COLUMNS { &volume.blocks[..] } else { &[] };
    let letters = (0..blocks.len()).map(block_letter);
    let mut rows: Vec<Vec<String>> =
        vec![std::iter::once(head.to_owned()).chain(letters).chain(["class".to_owned()]).collect()];
    for (what, of_class) in all {
        let in_blocks = blocks.iter().map(|part| time(part, what).map_or_else(String::new, whole_seconds));
        rows.push(std::iter::once(words(what)).chain(in_blocks).chain([whole_seconds(*of_class)]).collect());
    }
    format!("\n{}", aligned(&rows))
}

/// A table with names aligned left and figures aligned right.
fn aligned(rows: &[Vec<String>]) -> String {
    let columns = rows.first().map_or(0, Vec::len);
    let widths: Vec<usize> =
        (0..columns).map(|column| rows.iter().map(|row| row[column].width()).max().unwrap_or(0)).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = String::new();
        for (column, (cell, width)) in row.iter().zip(&widths).enumerate() {
            let gap = " ".repeat(width - cell.width());
            line += &if column == 0 { format!("{cell}{gap}") } else { format!("  {gap}{cell}") };
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text
}

/// A time in whole seconds, as on a clock.
fn whole_seconds(tick: Tick) -> String {
    clock(Tick::seconds(tick.0 / 1000))
}
