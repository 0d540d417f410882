//! The screens of rests and briefings: the time left, and what comes next with everything the coach may say about it.

use ratatui::layout::{Alignment, Rect};

use super::scene::{Scene, SceneContext};
use super::upcoming::UpcomingWork;
use super::{prompts, spoken, work};
use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering};
use crate::drawing::pane;
use crate::drawing::pane::PaneEntry;
use class::cue::purpose_words;
use class::schedule::SpanPurpose;
use class::session::block_letter;
use class::words::WORDS;

pub(super) fn draw(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let room = canvas.layout;
    let digit_rows = (4 * room.digits).min(body.height);
    let upper = Rect { height: body.height.saturating_sub(digit_rows + u16::from(room.airy)), ..body };
    let lower = below(body, body.height.saturating_sub(digit_rows));
    coming(canvas, upper, at);
    let columns = work::count(canvas, lower, at, at.left(), at.span.length(), FillStyle::Outlined);
    let beside_digits = beside(lower, columns + 3);
    let name = purpose_words(at.span.purpose);
    let rows = canvas.heading(beside_digits, name, "");
    everything(canvas, below(beside_digits, rows + 1), at, at.now.saturating_sub(at.span.start).0 / 1000);
}

/// Draws what comes next: its name, and what changes.
pub(super) fn coming(canvas: &mut Canvas, area: Rect, at: &SceneContext) {
    let room = canvas.layout;
    let look = canvas.look;
    let coming = match at.span.purpose {
        SpanPurpose::Work => UpcomingWork::of(at, at.span),
        _ => UpcomingWork::after(at),
    };
    let mut more = Vec::new();
    if let Some(block) = coming.block.filter(|&block| block != at.span.block) {
        more.push(format!("{} · {}", block_letter(block), at.schedule.session.blocks[block].name));
    }
    if !coming.full.eq_ignore_ascii_case(&coming.name) {
        more.push(coming.full.to_owned());
    }
    let rows = canvas.heading(area, &WORDS.screen.signs.next, &more.join(" · "));
    let area = below(area, rows);
    let change = coming.change.join(", ");
    let largest = LetterSize::Large(room.name);
    let wanted = Lettering::fit(&change, area.width, area.height.saturating_sub(largest.rows()), largest).rows();
    let for_name = Rect { height: area.height.saturating_sub(if change.is_empty() { 0 } else { wanted }), ..area };
    let style = coming.block.map_or(look.text(), |block| look.hue(block));
    let rows = canvas.letter(for_name, &coming.name, largest, style);
    let area = below(area, rows);
    let lettering = Lettering::fit(&change, area.width, area.height, largest);
    let air = u16::from(area.height > lettering.rows());
    lettering.draw(canvas.buffer, below(area, air), Alignment::Left, FillStyle::Solid, look.text());
}

/// Draws what is said in this span, and everything to say about the work ahead.
pub(super) fn everything(canvas: &mut Canvas, area: Rect, at: &SceneContext, seconds: u64) {
    let Some(ahead) = at.ahead() else { return };
    let begins = matches!(at.span.purpose, SpanPurpose::Briefing | SpanPurpose::BlockRest) || at.scene == Scene::Gate;
    let note = at.block_at(ahead).note.as_ref().filter(|_| begins);
    let mut entries: Vec<PaneEntry> =
        note.map(|note| PaneEntry::new(&*WORDS.screen.pane.note, note)).into_iter().collect();
    entries.extend(spoken::entries(at));
    entries.extend(prompts::settling(at, ahead));
    pane::draw(canvas, area, &entries, seconds);
}
