//! Large lettering: text drawn in block elements, at the largest size that fits.
//!
//! A cell holds four dots, two by two. They are drawn with the quadrant characters of the Block Elements (U+2580 to
//! U+259F), which terminals draw themselves. The sextants (U+1FB00) would give three rows of dots. But many fonts lack
//! them and would show replacement boxes instead of a name.

use font8x8::{BASIC_FONTS, GREEK_FONTS, LATIN_FONTS, UnicodeFonts};
use ratatui::buffer::Buffer;
use ratatui::layout::{Alignment, Rect};
use ratatui::style::Style;
use unicode_width::UnicodeWidthStr;

use super::{dots::DotPicture, small_letters, text};

/// How large a letter is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LetterSize {
    /// One row, in the terminal's own font.
    Plain,
    /// Three rows, in narrow letters.
    Small,
    /// Four rows times the scale, which is one of [`SCALES`].
    Large(u16),
}

/// The scales of large letters.
pub const SCALES: [u16; 6] = [1, 2, 3, 4, 6, 8];

/// How the inside of a letter is drawn. The fill shows what the time is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FillStyle {
    Solid,
    Outlined,
    Hatched,
}

/// Text broken into lines of one size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lettering {
    pub size: LetterSize,
    pub lines: Vec<String>,
}

impl LetterSize {
    /// The rows of one line, with the space below it.
    pub fn rows(self) -> u16 {
        match self {
            LetterSize::Plain => 1,
            LetterSize::Small => 3,
            LetterSize::Large(scale) => 4 * scale,
        }
    }

    /// The columns that a line takes. None if this size lacks one of its letters.
    pub fn columns(self, line: &str) -> Option<u16> {
        let dots = match self {
            LetterSize::Plain => return Some(u16::try_from(line.width()).unwrap_or(u16::MAX)),
            LetterSize::Small => small_letters::width(line)?,
            LetterSize::Large(scale) => large_width(line)? * usize::from(scale),
        };
        Some(u16::try_from(dots.div_ceil(2)).unwrap_or(u16::MAX))
    }

    /// All sizes from `largest` down.
    pub(crate) fn down_from(largest: LetterSize) -> impl Iterator<Item = LetterSize> {
        let large = SCALES.into_iter().rev().map(LetterSize::Large);
        large.chain([LetterSize::Small, LetterSize::Plain]).filter(move |&size| size <= largest)
    }
}

impl Lettering {
    /// Sets a text at the largest size, up to `largest`, at which all of it fits into `columns` and `rows`. Lines break
    /// between words. A text that fits at no size is set in [`LetterSize::Plain`], on as many rows as it needs: nothing is
    /// ever cut.
    pub fn fit(words: &str, columns: u16, rows: u16, largest: LetterSize) -> Lettering {
        let capitals = words.to_uppercase();
        LetterSize::down_from(largest)
            .filter(|&size| size != LetterSize::Plain)
            .find_map(|size| {
                let lines = broken(&capitals, columns, size)?;
                let needs = lines.len().saturating_mul(usize::from(size.rows()));
                (needs <= usize::from(rows)).then_some(Lettering { size, lines })
            })
            .unwrap_or_else(|| Lettering { size: LetterSize::Plain, lines: text::wrapped(words, columns) })
    }

    /// The rows that the lettering takes.
    pub fn rows(&self) -> u16 {
        u16::try_from(self.lines.len()).unwrap_or(u16::MAX).saturating_mul(self.size.rows())
    }

    /// The columns of the longest line.
    pub fn columns(&self) -> u16 {
        self.lines.iter().filter_map(|line| self.size.columns(line)).max().unwrap_or(0)
    }

    /// Draws the lettering from the top of an area; returns the rows taken.
    pub fn draw(&self, buffer: &mut Buffer, area: Rect, alignment: Alignment, fill: FillStyle, style: Style) -> u16 {
        for (row, line) in (0u16..).zip(&self.lines) {
            let y = area.y.saturating_add(row.saturating_mul(self.size.rows()));
            // An outline is one dot wider on each side.
            let columns = self.size.columns(line).unwrap_or(0) + u16::from(fill == FillStyle::Outlined);
            let spare = area.width.saturating_sub(columns);
            let x = area.x
                + match alignment {
                    Alignment::Left => 0,
                    Alignment::Center => spare / 2,
                    Alignment::Right => spare,
                };
            if self.size == LetterSize::Plain {
                if y < area.bottom() {
                    text::put(buffer, x, y, line, style, area.right());
                }
            } else if let Some(ink) = ink(line, self.size) {
                let ink = match fill {
                    FillStyle::Solid => ink,
                    FillStyle::Outlined => ink.outlined(),
                    // Hatching would make small letters unreadable.
                    FillStyle::Hatched if self.size > LetterSize::Large(1) => ink.hatched(),
                    FillStyle::Hatched => ink,
                };
                ink.draw(buffer, area, x, y, style);
            }
        }
        self.rows()
    }
}

/// Packs words into lines of at most `columns`. None if a single word is too wide or has a letter that is missing.
fn broken(words: &str, columns: u16, size: LetterSize) -> Option<Vec<String>> {
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

/// The dots of a line at a size. None for [`LetterSize::Plain`], and if a letter is missing.
fn ink(line: &str, size: LetterSize) -> Option<DotPicture> {
    match size {
        LetterSize::Plain => None,
        LetterSize::Small => small_letters::ink(line),
        LetterSize::Large(scale) => {
            let mut ink = DotPicture::new(large_width(line)?, 8);
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

/// The width of a line at scale 1, in dots: one dot between letters, none after the last.
fn large_width(line: &str) -> Option<usize> {
    let mut width = 0;
    for letter in line.chars() {
        width += glyph(letter)?.width + 1;
    }
    Some(width.saturating_sub(1))
}

/// A letter of which only the columns from `from` on, `width` of them, are used.
struct Glyph {
    rows: [u8; 8],
    from: usize,
    width: usize,
}

/// The width of a digit in dots. All digits have the same width, so that a countdown does not shift. The width leaves
/// room between digits for outlines.
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
