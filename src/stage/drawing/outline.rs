//! A class in outline: its blocks to scale, and the spare time of its slot.

use ratatui::layout::Rect;

use super::apportion::apportion;
use super::canvas::Canvas;
use super::canvas::column;
use super::lettering::FillStyle;
use super::text;
use class::outline::ClassOutline;
use class::session::block_letter;
use class::time::Tick;

/// Draws an outline into an area whose full width represents `longest`. Blocks are solid, rests between blocks are
/// outlined, spare time is dotted. If the class is longer than its slot, a line marks the end of the slot.
pub(crate) fn draw(canvas: &mut Canvas, area: Rect, outline: &ClassOutline, longest: Tick) {
    let cells = |length: Tick| (u128::from(length.0) * u128::from(area.width) / u128::from(longest.0.max(1))) as u16;
    let width = cells(outline.total).max(1).min(area.width);
    let lengths: Vec<u64> = outline.parts.iter().map(|part| part.length.0).collect();
    let middle = area.y + area.height.saturating_sub(1) / 2;
    let mut x = area.x;
    for (part, cells) in outline.parts.iter().zip(apportion(&lengths, width)) {
        let (fill, hue) =
            (if part.is_rest() { FillStyle::Outlined } else { FillStyle::Solid }, canvas.look.hue(part.block));
        for cell in 0..cells {
            column(canvas, area, x + cell, fill, cell + 1 == cells, hue);
        }
        let letter = block_letter(part.block);
        if !part.is_rest() && cells > text::columns(&letter) {
            let style = canvas.look.on_hue(part.block);
            text::put(canvas.buffer, x, middle, &letter, style, x + cells);
        }
        x += cells;
    }
    let Some(slot) = outline.slot else { return };
    let ends = area.x + cells(slot).min(area.width);
    if ends > x {
        let dots = "┈".repeat(usize::from(ends - x));
        text::put(canvas.buffer, x, middle, &dots, canvas.look.line(), area.right());
    } else if slot < outline.total {
        for y in area.y..area.bottom() {
            text::put(canvas.buffer, ends.min(x.saturating_sub(1)), y, "┃", canvas.look.strong(), area.right());
        }
    }
}
