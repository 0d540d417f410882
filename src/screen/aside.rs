//! Views in place of the picture: the list of keys, the question whether to quit, and the note that the terminal is too
//! small.

use ratatui::layout::Rect;

use super::lettering::{Fill, Size};
use super::pane::Entry;
use super::scene::At;
use super::stage::{Stage, below};
use super::{SMALLEST, pane, strips, work};
use crate::change::Mark;
use crate::time::{Tick, clock};
use crate::words::{WORDS, fill};

/// Draws the list of keys.
pub(super) fn help(stage: &mut Stage, body: Rect, at: &At) {
    running(stage, body, at);
    let area = below(body, 1);
    let mut keys: Vec<Entry> =
        at.moment.keymap.explained().into_iter().map(|(key, does)| Entry::new(key, does)).collect();
    if at.moment.changed.marks.iter().any(|mark| *mark != Mark::default()) {
        keys.push(Entry::new(&*WORDS.screen.pane.signs, strips::signs_explained()));
    }
    pane::draw(stage, area, &keys, at.moment.lost_ms / 1000 + at.now.0 / 1000);
}

/// Draws the question whether to quit.
pub(super) fn quit(stage: &mut Stage, body: Rect, at: &At) {
    let look = stage.look;
    running(stage, body, at);
    let area = below(body, 2);
    let rows = stage.letter(area, &WORDS.screen.signs.quit, Size::Large(stage.room.name), look.strong());
    let left = clock(Tick::seconds(at.schedule.total().less(at.now).digits()));
    let words = fill(&WORDS.screen.lines.quit_keys, &[("length", &left)]);
    let rows = rows + 1 + stage.put_wrapped(below(area, rows + 1), &words, look.text());
    // The class keeps running, so its countdown stays visible.
    let digits = below(area, area.height.saturating_sub(Size::Large(stage.room.digits).rows()).max(rows));
    work::count(stage, digits, at, at.left(), at.span.length(), Fill::Solid);
}

/// Draws a line with the name of the running span and its time left.
fn running(stage: &mut Stage, body: Rect, at: &At) {
    let words = format!("{} · {}", at.name(at.span), work::digits(at.left()));
    let style = stage.look.hue(at.span.block);
    stage.put_wrapped(body, &words, style);
}

/// Says how large the terminal must be, below the running span if there is one.
pub(super) fn too_small(stage: &mut Stage, at: Option<&At>) {
    let mut area = stage.room.area;
    if let Some(at) = at {
        let running = format!("{} · {}", at.name(at.span), work::digits(at.left()));
        let style = stage.look.strong();
        area = below(area, stage.put_wrapped(area, &running, style));
    }
    wanted(stage, area, &WORDS.screen.lines.too_small);
}

/// Says how large the window must be, and how large it is.
pub(super) fn wanted(stage: &mut Stage, area: Rect, wording: &str) {
    let (columns, rows) = SMALLEST;
    let Rect { width, height, .. } = stage.room.area;
    let numbers = [("columns", columns), ("rows", rows), ("width", width), ("height", height)];
    let numbers = numbers.map(|(name, number)| (name, number.to_string()));
    let words = fill(wording, &numbers.each_ref().map(|(name, number)| (*name, number.as_str())));
    stage.put_wrapped(area, &words, stage.look.text());
}
