//! Large lettering: text drawn in block elements, at the largest size the room allows.
//!
//! A cell is four dots, two by two, drawn with the quadrant characters of the Block Elements (U+2580 to U+259F),
//! which terminals draw themselves. The sextants of U+1FB00 would give three rows of dots, but many fonts lack
//! them, and a name in replacement boxes is worse than a name a little taller.

use font8x8::{BASIC_FONTS, GREEK_FONTS, LATIN_FONTS, UnicodeFonts};
use ratatui::buffer::Buffer;
use ratatui::layout::{Alignment, Rect};
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use super::{ink::Ink, small, text};

/// How large a letter is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Size {
    /// One row, as the terminal's own font has it.
    Plain,
    /// Three rows, narrow.
    Small,
    /// Four rows for each step of the scale, one of [`SCALES`].
    Large(u16),
}

/// The steps in which lettering grows.
pub const SCALES: [u16; 6] = [1, 2, 3, 4, 6, 8];

/// What the inside of a letter looks like; it tells the purpose of the time it stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    Solid,
    Outlined,
    Hatched,
}

/// Text broken into lines of one size, so that it fits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lettering {
    pub size: Size,
    pub lines: Vec<String>,
}

impl Size {
    /// The rows of one line, the space below it included.
    pub fn rows(self) -> u16 {
        match self {
            Size::Plain => 1,
            Size::Small => 3,
            Size::Large(scale) => 4 * scale,
        }
    }

    /// The columns that a line takes; None where this size has no letter for some of it.
    pub fn columns(self, line: &str) -> Option<u16> {
        let dots = match self {
            Size::Plain => return Some(u16::try_from(line.width()).unwrap_or(u16::MAX)),
            Size::Small => small::width(line)?,
            Size::Large(scale) => large_width(line)? * usize::from(scale),
        };
        Some(u16::try_from(dots.div_ceil(2)).unwrap_or(u16::MAX))
    }

    /// All sizes up to one, from the largest.
    pub(crate) fn down_from(largest: Size) -> impl Iterator<Item = Size> {
        let large = SCALES.into_iter().rev().map(Size::Large);
        large.chain([Size::Small, Size::Plain]).filter(move |&size| size <= largest)
    }
}

impl Lettering {
    /// The text at the largest size, up to `largest`, at which all of it fits into so many columns and rows,
    /// broken between words where it must be. What fits at no size is set in the plain one, on as many rows as
    /// that takes: nothing is ever cut.
    pub fn fit(words: &str, columns: u16, rows: u16, largest: Size) -> Lettering {
        let capitals = words.to_uppercase();
        Size::down_from(largest)
            .filter(|&size| size != Size::Plain)
            .find_map(|size| {
                let lines = broken(&capitals, columns, size)?;
                let needs = lines.len().saturating_mul(usize::from(size.rows()));
                (needs <= usize::from(rows)).then_some(Lettering { size, lines })
            })
            .unwrap_or_else(|| Lettering { size: Size::Plain, lines: text::wrapped(words, columns) })
    }

    /// The rows it takes.
    pub fn rows(&self) -> u16 {
        u16::try_from(self.lines.len()).unwrap_or(u16::MAX).saturating_mul(self.size.rows())
    }

    /// The columns of its longest line.
    pub fn columns(&self) -> u16 {
        self.lines.iter().filter_map(|line| self.size.columns(line)).max().unwrap_or(0)
    }

    /// Draws it from the top of an area; returns the rows taken.
    pub fn draw(&self, buffer: &mut Buffer, area: Rect, alignment: Alignment, fill: Fill, style: Style) -> u16 {
        for (row, line) in (0u16..).zip(&self.lines) {
            let y = area.y.saturating_add(row.saturating_mul(self.size.rows()));
            // The outline is a dot wider on each side.
            let columns = self.size.columns(line).unwrap_or(0) + u16::from(fill == Fill::Outlined);
            let spare = area.width.saturating_sub(columns);
            let x = area.x
                + match alignment {
                    Alignment::Left => 0,
                    Alignment::Center => spare / 2,
                    Alignment::Right => spare,
                };
            if self.size == Size::Plain {
                if y < area.bottom() {
                    text::put(buffer, x, y, line, style, area.right());
                }
            } else if let Some(ink) = ink(line, self.size) {
                let ink = match fill {
                    Fill::Solid => ink,
                    Fill::Outlined => ink.outlined(),
                    // Small letters would fall apart.
                    Fill::Hatched if self.size > Size::Large(1) => ink.hatched(),
                    Fill::Hatched => ink,
                };
                ink.draw(buffer, area, x, y, style);
            }
        }
        self.rows()
    }
}

/// Words packed into lines of so many columns; None where one word alone is too wide or has no letter.
fn broken(words: &str, columns: u16, size: Size) -> Option<Vec<String>> {
    let mut lines: Vec<String> = Vec::new();
    for given in words.lines() {
        let first = lines.len();
        for word in given.split_whitespace() {
            if size.columns(word)? > columns {
                return None;
            }
            if let Some(line) = lines[first..].last_mut() {
                let longer = format!("{line} {word}");
                if size.columns(&longer)? <= columns {
                    *line = longer;
                    continue;
                }
            }
            lines.push(word.to_owned());
        }
    }
    Some(lines)
}

/// The dots of a line, at its size.
fn ink(line: &str, size: Size) -> Option<Ink> {
    match size {
        Size::Plain => None,
        Size::Small => small::ink(line),
        Size::Large(scale) => {
            let mut ink = Ink::new(large_width(line)?, 8);
            let mut x = 0;
            for letter in line.chars() {
                let glyph = glyph(letter)?;
                for (y, row) in glyph.rows.iter().enumerate() {
                    for dot in (0..glyph.width).filter(|dot| row >> (dot + glyph.from) & 1 == 1) {
                        ink.set(x + dot, y);
                    }
                }
                x += glyph.width + 1;
            }
            Some(ink.scaled(scale))
        }
    }
}

/// The dots that a line of scale 1 is wide: one between letters, none after the last.
fn large_width(line: &str) -> Option<usize> {
    let mut width = 0;
    for letter in line.chars() {
        width += glyph(letter)?.width + 1;
    }
    Some(width.saturating_sub(1))
}

/// A letter without the empty columns at its sides.
struct Glyph {
    rows: [u8; 8],
    from: usize,
    width: usize,
}

/// Digits are all as wide as each other, so that a countdown does not shift, and far enough apart to be outlined.
const DIGIT: usize = 8;
const SPACE: usize = 3;

fn glyph(letter: char) -> Option<Glyph> {
    if letter == ' ' {
        return Some(Glyph { rows: [0; 8], from: 0, width: SPACE });
    }
    let rows = BASIC_FONTS.get(letter).or_else(|| LATIN_FONTS.get(letter)).or_else(|| GREEK_FONTS.get(letter))?;
    let all = rows.iter().fold(0u8, |all, row| all | row);
    if all == 0 {
        return None;
    }
    if letter.is_ascii_digit() {
        return Some(Glyph { rows, from: 0, width: DIGIT });
    }
    if letter == ':' {
        return Some(Glyph { rows: rows.map(|row| row >> 1), from: 0, width: 4 });
    }
    let from = all.trailing_zeros() as usize;
    Some(Glyph { rows, from, width: 8 - from - all.leading_zeros() as usize })
}
