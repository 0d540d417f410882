//! The notice that the window is too small.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use class::words::fill;

/// The smallest window that a class can be led from, in columns and rows.
pub const SMALLEST: (u16, u16) = (60, 18);

/// How large a window has to be that is too small, and how large it is.
pub(crate) fn too_small(canvas: &mut Canvas, area: Rect, wording: &str) {
    let (columns, rows) = SMALLEST;
    let Rect { width, height, .. } = canvas.layout.area;
    let numbers = [("columns", columns), ("rows", rows), ("width", width), ("height", height)];
    let numbers = numbers.map(|(name, number)| (name, number.to_string()));
    let words = fill(wording, &numbers.each_ref().map(|(name, number)| (*name, number.as_str())));
    canvas.put_wrapped(area, &words, canvas.look.text());
}
