//! Views in place of the picture: the list of keys, the question whether to quit, and the note that the terminal is too
//! small.

use ratatui::layout::Rect;

use super::scene::SceneContext;
use super::{strips, work};
use crate::drawing::canvas::{Canvas, below};
use crate::drawing::lettering::{FillStyle, LetterSize};
use crate::drawing::notice;
use crate::drawing::pane;
use crate::drawing::pane::PaneEntry;
use class::change::SpanDeviation;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// Draws the list of keys.
pub(super) fn help(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    running(canvas, body, at);
    let area = below(body, 1);
    let mut keys: Vec<PaneEntry> =
        at.moment.keymap.explained().into_iter().map(|(key, does)| PaneEntry::new(key, does)).collect();
    if at.moment.changed.deviations.iter().any(|mark| *mark != SpanDeviation::default()) {
        keys.push(PaneEntry::new(&*WORDS.screen.pane.signs, strips::signs_explained()));
    }
    pane::draw(canvas, area, &keys, at.moment.lost.as_secs() + at.now.0 / 1000);
}

/// Draws the question whether to quit.
pub(super) fn quit(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let look = canvas.look;
    running(canvas, body, at);
    let area = below(body, 2);
    let rows = canvas.letter(area, &WORDS.screen.signs.quit, LetterSize::Large(canvas.layout.name), look.strong());
    let left = clock(Tick::seconds(at.schedule.total().saturating_sub(at.now).countdown_seconds()));
    let words = fill(&WORDS.screen.lines.quit_keys, &[("length", &left)]);
    let rows = rows + 1 + canvas.put_wrapped(below(area, rows + 1), &words, look.text());
    // The class keeps running, so its countdown stays visible.
    let digits = below(area, area.height.saturating_sub(LetterSize::Large(canvas.layout.digits).rows()).max(rows));
    work::count(canvas, digits, at, at.left(), at.span.length(), FillStyle::Solid);
}

/// Draws a line with the name of the running span and its time left.
fn running(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let words = format!("{} · {}", at.name(at.span), work::digits(at.left()));
    let style = canvas.look.hue(at.span.block);
    canvas.put_wrapped(body, &words, style);
}

/// Says how large the terminal must be, below the running span if there is one.
pub(super) fn too_small(canvas: &mut Canvas, at: Option<&SceneContext>) {
    let mut area = canvas.layout.area;
    if let Some(at) = at {
        let running = format!("{} · {}", at.name(at.span), work::digits(at.left()));
        let style = canvas.look.strong();
        area = below(area, canvas.put_wrapped(area, &running, style));
    }
    notice::too_small(canvas, area, &WORDS.screen.lines.too_small);
}
