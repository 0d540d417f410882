//! The tempo guide: one repetition as a line that falls and rises, with a mark that moves along it.

use ratatui::layout::Rect;
use ratatui::style::Modifier;

use super::scene::SceneContext;
use crate::drawing::canvas::Canvas;
use crate::drawing::text;
use class::schedule::Span;
use class::session::Station;
use class::time::{FirstPhase, Tempo, Tick};

/// What the guide of one side is drawn from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CurrentRepetition {
    tempo: Tempo,
    starts: FirstPhase,
    /// The tick at which the repetitions of this side begin.
    from: Tick,
}

/// The time between two moves of the mark. Each place of the mark lights once per repetition, and a repetition
/// takes at least 1 s, so nothing flashes faster than 1 Hz.
pub(in crate::lead) const STEP: Tick = Tick(250);

/// The characters of the line, by height: 0 to 8 eighths of a row.
const HEIGHTS: [&str; 9] = [" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"];

impl CurrentRepetition {
    /// The guide of a work span at a tick. None while the class gets into position or switches sides, and if there is
    /// no tempo.
    pub(super) fn of(span: &Span, station: &Station, now: Tick) -> Option<CurrentRepetition> {
        let from = match (span.switch_start(), span.right_start()) {
            (Some(switch_at), Some(right_at)) if now >= switch_at => (now >= right_at).then_some(right_at)?,
            _ => span.work_start(),
        };
        if now < from || now >= span.end {
            return None;
        }
        let starts = station.movement.guide.as_ref()?.starts;
        Some(CurrentRepetition { tempo: station.tempo?, starts, from })
    }

    /// How many steps the mark has made in the current repetition.
    fn step(&self, now: Tick) -> u64 {
        now.saturating_sub(self.from).0 % self.tempo.rep().0.max(1) / STEP.0
    }

    /// The tick of the last move of the mark.
    pub(super) fn step_at(&self, now: Tick) -> Tick {
        Tick(self.from.0 + now.saturating_sub(self.from).0 / STEP.0 * STEP.0)
    }

    /// The phase and the height of the line at each step of a repetition. Heights are in eighths of a row, from 1 to
    /// `rows * 8 - 2`.
    fn heights(&self, rows: u64) -> Vec<(usize, u64)> {
        let (low, high) = (1, rows * 8 - 2);
        let mut heights = Vec::new();
        for (phase, _, length) in self.tempo.phases(self.starts) {
            let steps = length.0 / STEP.0;
            for step in 0..steps {
                let way = (high - low) * (step * 2 + 1) / (steps * 2);
                heights.push((
                    phase,
                    match phase {
                        0 => high - way,
                        1 => low,
                        2 => low + way,
                        _ => high,
                    },
                ));
            }
        }
        heights
    }
}

/// Draws the guide into an area, with a word before each phase that has one; returns the columns taken.
pub(super) fn draw(canvas: &mut Canvas, area: Rect, at: &SceneContext) -> u16 {
    let Some(station) = at.station(at.span) else { return 0 };
    let Some(guide) = CurrentRepetition::of(at.span, station, at.now) else { return 0 };
    let Some(words) = station.movement.guide.as_ref() else { return 0 };
    if area.width == 0 || area.height == 0 {
        return 0;
    }
    let heights = guide.heights(u64::from(area.height));
    let now = guide.step(at.now) as usize;
    let phase_now = heights.get(now).map_or(0, |&(phase, _)| phase);
    let named = |phase: usize| match phase {
        0 => Some(words.lower.as_str()),
        2 => Some(words.lift.as_str()),
        _ => None,
    };
    let spoken: u16 = guide
        .tempo
        .phases(guide.starts)
        .iter()
        .filter_map(|&(phase, ..)| named(phase))
        .map(|word| text::columns(word) + 2)
        .sum();
    let room = area.width.saturating_sub(spoken);
    let steps = u16::try_from(heights.len()).unwrap_or(u16::MAX).max(1);
    // A repetition that is too long for the area gets one cell for several steps.
    let (cells_a_step, steps_a_cell) = ((room / steps).clamp(1, 3), steps.div_ceil(room.max(1)));
    let mut x = area.x;
    let bottom = area.bottom() - 1;
    for (phase, start, length) in guide.tempo.phases(guide.starts) {
        if let Some(word) = named(phase) {
            let style = if phase == phase_now { canvas.look.strong() } else { canvas.look.faint() };
            x = text::put(canvas.buffer, x, bottom, word, style, area.right()) + 1;
        }
        let from = (start.0 / STEP.0) as usize;
        let until = from + (length.0 / STEP.0) as usize;
        for cell in (from..until).step_by(usize::from(steps_a_cell)) {
            let marked = (cell..cell + usize::from(steps_a_cell)).contains(&now);
            let style = match marked {
                true => canvas.look.strong().add_modifier(Modifier::BOLD),
                false => canvas.look.line(),
            };
            for _ in 0..cells_a_step {
                column(canvas, area, x, heights[cell].1, style);
                x += 1;
            }
        }
        if until > from {
            x += 1;
        }
    }
    x.saturating_sub(area.x)
}

/// Draws one column of the line, `eighths` of a row high.
fn column(canvas: &mut Canvas, area: Rect, x: u16, eighths: u64, style: ratatui::style::Style) {
    for row in 0..area.height {
        let here = eighths.saturating_sub(u64::from(row) * 8).min(8) as usize;
        if here > 0 {
            text::put(canvas.buffer, x, area.bottom() - 1 - row, HEIGHTS[here], style, area.right());
        }
    }
}
