//! One movement in full, as text.

use std::io::Write;

use super::list::alternative_words;
use crate::CommandError;
use class::movement::{Movement, MovementHit, Muscle, TempoGuide, Tier};
use class::time::FirstPhase;

/// The width of the labels on the left, in columns.
const LABEL: usize = 11;

/// How many of the other movements found are named.
const OTHERS: usize = 6;

/// Writes everything that the catalogue says about a movement.
pub(super) fn write(
    movement: &Movement,
    hits: &[MovementHit],
    width: usize,
    out: &mut impl Write,
) -> Result<(), CommandError> {
    let mut page = LabelledText { width, out };
    page.plain(&format!("{}  ({})", movement.name, movement.id))?;
    page.blank()?;
    if !movement.also.is_empty() {
        page.line("also", &movement.also.join(", "))?;
    }
    if let Some(said) = &movement.said {
        page.line("said", said)?;
    }
    page.line("short", &movement.short)?;
    page.line("pattern", &format!("{}, {}", movement.pattern.words(), movement.position.words()))?;
    page.line("sides", &movement.sides.words())?;
    let kit: Vec<String> = movement.kit.iter().map(ToString::to_string).collect();
    page.line("kit", &if kit.is_empty() { "none".to_owned() } else { kit.join(", ") })?;
    page.line("muscles", &muscles(movement))?;
    page.line("tempo", &movement.guide.as_ref().map_or_else(|| "none: no counted repetitions".to_owned(), tempo))?;
    page.blank()?;
    page.line("set up", &movement.setup)?;
    page.list("say", movement.prompts.iter().cloned())?;
    page.list("fix", movement.faults.iter().map(|correction| format!("{} → {}", correction.fault, correction.fix)))?;
    for (label, tier) in [("easier", &movement.easier), ("harder", &movement.harder)] {
        if let Some(tier) = tier {
            page.line(label, &tier_words(tier))?;
        }
    }
    page.list(
        "adapt",
        movement
            .cautions
            .iter()
            .map(|caution| format!("{} → {}", caution.region.words(), alternative_words(&caution.instead))),
    )?;
    let others = hits.iter().filter(|hit| hit.movement.id != movement.id);
    let others: Vec<&str> = others.take(OTHERS).map(|hit| hit.movement.id.as_str()).collect();
    if !others.is_empty() {
        page.blank()?;
        page.line("also found", &others.join(", "))?;
    }
    Ok(())
}

fn muscles(movement: &Movement) -> String {
    let list = |muscles: &[Muscle]| muscles.iter().map(|muscle| muscle.words()).collect::<Vec<_>>().join(", ");
    let verb = if movement.loaded { "loads" } else { "moves" };
    let helping =
        if movement.helping.is_empty() { String::new() } else { format!("; with {}", list(&movement.helping)) };
    format!("{verb} {}{helping}", list(&movement.prime))
}

fn tempo(guide: &TempoGuide) -> String {
    let (first, second) = match guide.starts {
        FirstPhase::Lower => (&guide.lower, &guide.lift),
        FirstPhase::Lift => (&guide.lift, &guide.lower),
    };
    format!("{}, {first} then {second}", guide.tempo)
}

fn tier_words(tier: &Tier) -> String {
    match &tier.movement {
        Some(id) => format!("{} ({id})", tier.what),
        None => tier.what.clone(),
    }
}

/// Text with labels on the left, wrapped.
struct LabelledText<'a, W> {
    width: usize,
    out: &'a mut W,
}

impl<W: Write> LabelledText<'_, W> {
    fn line(&mut self, label: &str, text: &str) -> Result<(), CommandError> {
        let first = format!("{label:LABEL$}");
        let rest = " ".repeat(LABEL);
        let options = textwrap::Options::new(self.width).initial_indent(&first).subsequent_indent(&rest);
        Ok(writeln!(self.out, "{}", textwrap::fill(text, options))?)
    }

    /// Writes several lines; only the first has the label.
    fn list(&mut self, label: &str, lines: impl Iterator<Item = String>) -> Result<(), CommandError> {
        for (place, line) in lines.enumerate() {
            self.line(if place == 0 { label } else { "" }, &line)?;
        }
        Ok(())
    }

    fn plain(&mut self, text: &str) -> Result<(), CommandError> {
        Ok(writeln!(self.out, "{}", textwrap::fill(text, self.width))?)
    }

    fn blank(&mut self) -> Result<(), CommandError> {
        Ok(writeln!(self.out)?)
    }
}
