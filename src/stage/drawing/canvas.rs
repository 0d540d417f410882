//! The surface that a picture is drawn on: the cells, the colours, and the sizes of things.

use ratatui::buffer::Buffer;
use ratatui::layout::{Alignment, Rect};
use ratatui::style::Style;

use super::lettering::{FillStyle, LetterSize, Lettering};
use super::palette::ScreenTheme;
use super::text;
use class::words::KeyWords;

/// The cells, the colours and the sizes to draw with.
pub(crate) struct Canvas<'a> {
    pub(crate) buffer: &'a mut Buffer,
    pub(crate) look: ScreenTheme,
    pub(crate) layout: ScreenLayout,
}

/// How large things are on a screen of this size. A larger screen gets larger lettering, not more items.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ScreenLayout {
    pub(crate) area: Rect,
    /// The area between the edge bars.
    pub(crate) inner: Rect,
    /// The columns of an edge bar.
    pub(crate) edge: u16,
    /// The scale of the digits.
    pub(crate) digits: u16,
    /// The scale of names.
    pub(crate) name: u16,
    /// The rows of a strip.
    pub(crate) strip: u16,
    /// The rows of the tempo guide and of the text beside it.
    pub(crate) guide: u16,
    /// Whether there is room for empty rows.
    pub(crate) airy: bool,
}

impl ScreenLayout {
    pub(crate) fn of(area: Rect) -> ScreenLayout {
        let edge = (area.width / 50).clamp(1, 4);
        let scale =
            |wanted: u16| super::lettering::SCALES.into_iter().rev().find(|&scale| scale <= wanted).unwrap_or(1);
        ScreenLayout {
            area,
            inner: Rect {
                x: area.x + (edge + 1).min(area.width),
                width: area.width.saturating_sub(2 * (edge + 1)),
                ..area
            },
            edge,
            digits: scale(((area.height + 6) / 12).min(area.width / 26).max(2)),
            name: scale((area.height + 6) / 20),
            strip: match area.height {
                0..32 => 1,
                32..55 => 2,
                _ => 3,
            },
            guide: match area.height {
                0..30 => 1,
                30..40 => 2,
                _ => 3,
            },
            airy: area.height >= 22,
        }
    }
}

impl Canvas<'_> {
    /// Writes text at a cell; returns the column after it.
    pub(crate) fn put(&mut self, x: u16, y: u16, words: &str, style: Style) -> u16 {
        text::put(self.buffer, x, y, words, style, self.layout.inner.right())
    }

    /// Writes text that ends before the column `right`.
    pub(crate) fn put_right(&mut self, right: u16, y: u16, words: &str, style: Style) {
        let x = right.saturating_sub(text::columns(words));
        text::put(self.buffer, x, y, words, style, right);
    }

    /// Writes text over as many rows as it needs; returns the rows taken.
    pub(crate) fn put_wrapped(&mut self, area: Rect, words: &str, style: Style) -> u16 {
        let lines = text::wrapped(words, area.width);
        for (row, line) in (0..area.height).zip(&lines) {
            text::put(self.buffer, area.x, area.y + row, line, style, area.right());
        }
        u16::try_from(lines.len()).unwrap_or(u16::MAX).min(area.height)
    }

    /// Writes as many keys in a line as there is room for. The last `kept` keys are never left out.
    pub(crate) fn keys(&mut self, y: u16, keys: &[&KeyWords], kept: usize) {
        let wide = |key: &KeyWords| text::columns(&key.label) + 1 + text::columns(&key.short);
        let (may, must) = keys.split_at(keys.len().saturating_sub(kept));
        let inner = self.layout.inner;
        let mut room = inner.width.saturating_sub(must.iter().map(|key| wide(key) + 2).sum::<u16>().saturating_sub(2));
        let fits = |key: &&&KeyWords| {
            let left = room.checked_sub(wide(key) + 2);
            room = left.unwrap_or(room);
            left.is_some()
        };
        let shown: Vec<&KeyWords> = may.iter().filter(fits).copied().collect();
        let mut x = inner.x;
        for key in shown.into_iter().chain(must.iter().copied()) {
            x = self.put(x, y, &key.label, self.look.strong()) + 1;
            x = self.put(x, y, &key.short, self.look.faint()) + 2;
        }
    }

    /// Draws a heading, a word and more about it, in lettering if names are large too; returns the rows taken.
    pub(crate) fn heading(&mut self, area: Rect, word: &str, more: &str) -> u16 {
        let (strong, faint) = (self.look.strong(), self.look.faint());
        let line = format!("{word}  {more}").to_uppercase();
        if self.layout.name > 1 && LetterSize::Small.columns(&line).is_some_and(|columns| columns <= area.width) {
            let word = Lettering::fit(word, area.width, 3, LetterSize::Small);
            word.draw(self.buffer, area, Alignment::Left, FillStyle::Solid, strong);
            self.letter(Rect { height: 3, ..beside(area, word.columns() + 3) }, more, LetterSize::Small, faint);
            return 3;
        }
        let x = self.put(area.x, area.y, word, strong) + 2;
        let lines = self.put_wrapped(beside(area, x - area.x), more, faint);
        lines.max(1)
    }

    /// Draws text as large as an area allows, up to `largest`; returns the rows taken.
    pub(crate) fn letter(&mut self, area: Rect, words: &str, largest: LetterSize, style: Style) -> u16 {
        self.letter_in(area, words, largest, Alignment::Left, FillStyle::Solid, style)
    }

    /// Draws text like `letter`, with alignment and fill.
    pub(crate) fn letter_in(
        &mut self,
        area: Rect,
        words: &str,
        largest: LetterSize,
        alignment: Alignment,
        fill: FillStyle,
        style: Style,
    ) -> u16 {
        let lettering = Lettering::fit(words, area.width, area.height, largest);
        lettering.draw(self.buffer, area, alignment, fill, style)
    }
}

/// The part of an area below its first `rows` rows.
pub(crate) fn below(area: Rect, rows: u16) -> Rect {
    let rows = rows.min(area.height);
    Rect { y: area.y + rows, height: area.height - rows, ..area }
}

/// The part of an area to the right of its first `columns` columns.
pub(crate) fn beside(area: Rect, columns: u16) -> Rect {
    let columns = columns.min(area.width);
    Rect { x: area.x + columns, width: area.width - columns, ..area }
}

/// A solid cell of a strip.
pub(crate) const SOLID: &str = "█";
/// The last cell of a solid piece: a thin gap tells it from the next piece.
pub(crate) const SOLID_LAST: &str = "▉";

/// One column of a strip.
pub(crate) fn column(canvas: &mut Canvas, area: Rect, x: u16, fill: FillStyle, last: bool, style: Style) {
    for y in area.y..area.bottom() {
        let symbol = match (fill, area.height) {
            // A thin gap tells one piece from the next without a cell of its own.
            (FillStyle::Solid, _) if last => SOLID_LAST,
            (FillStyle::Solid, _) => SOLID,
            (FillStyle::Hatched, _) => "▒",
            (FillStyle::Outlined, 1) => "═",
            (FillStyle::Outlined, _) if y == area.y => "▔",
            (FillStyle::Outlined, _) if y + 1 == area.bottom() => "▁",
            (FillStyle::Outlined, _) => " ",
        };
        text::put(canvas.buffer, x, y, symbol, style, area.right());
    }
}
