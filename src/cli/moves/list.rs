//! Movements as a list, one per line.

use std::io::Write;

use unicode_width::UnicodeWidthStr;

use crate::CommandError;
use class::movement::{CautionAlternative, Movement, MovementHit};

/// Writes a line for each movement, and below it the alternatives for the regions to look after.
pub(super) fn write(hits: &[MovementHit], width: usize, out: &mut impl Write) -> Result<(), CommandError> {
    let rows: Vec<[String; 5]> = hits.iter().map(|hit| row(hit.movement)).collect();
    let mut widths = [0; 5];
    for row in &rows {
        for (cell, widest) in row.iter().zip(&mut widths) {
            *widest = cell.width().max(*widest);
        }
    }
    for (hit, row) in hits.iter().zip(&rows) {
        let cells = row.iter().zip(widths).map(|(cell, width)| format!("{cell:width$}"));
        let line = cells.collect::<Vec<_>>().join("  ");
        writeln!(out, "{}", truncated(line.trim_end(), width))?;
        for (region, instead) in &hit.alternatives {
            writeln!(
                out,
                "{}",
                truncated(&format!("    adapt for {} → {}", region.words(), alternative_words(instead)), width)
            )?;
        }
    }
    Ok(())
}

fn row(movement: &Movement) -> [String; 5] {
    let kit: Vec<String> = movement.kit.iter().map(ToString::to_string).collect();
    [
        movement.id.clone(),
        movement.name.clone(),
        movement.pattern.words(),
        movement.position.words(),
        if kit.is_empty() { "–".to_owned() } else { kit.join(", ") },
    ]
}

/// What to do instead, in words.
pub(super) fn alternative_words(instead: &CautionAlternative) -> String {
    match instead {
        CautionAlternative::Movement { id, name } => format!("{name} ({id})"),
        CautionAlternative::Text(text) => text.clone(),
        CautionAlternative::LeaveOut => "leave out".to_owned(),
    }
}

/// As much of a line as fits.
fn truncated(line: &str, width: usize) -> String {
    if line.width() <= width {
        return line.to_owned();
    }
    let mut room = width.saturating_sub(1);
    let fits = line.chars().take_while(|c| {
        let columns = unicode_width::UnicodeWidthChar::width(*c).unwrap_or(0);
        let fits = columns <= room;
        room = room.saturating_sub(columns);
        fits
    });
    fits.collect::<String>().trim_end().to_owned() + "…"
}
