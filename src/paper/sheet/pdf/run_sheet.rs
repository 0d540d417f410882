//! Lays the run sheet out as strips: a header over the whole width, the blocks in columns, a footer.

use super::flow::{BoxFill, PageArea, SheetSection, SheetStrip, StripElement, columns, end_group};
use super::typeset::{TextStyle, Typesetter};
use super::{KEY, TEXT};
use crate::sheet::run_sheet::{RunSheet, SheetBlock, SheetLine};
use crate::sheet::text::{detail_lines, ending};
use class::schedule::SpanPurpose;

/// The height of the bar that shows the class to scale, in points.
const BAR: f32 = 16.0;
/// Space between two texts on one line, in points.
const GUTTER: f32 = 8.0;
/// Space above a block, in points.
const ABOVE_BLOCK: f32 = 8.0;
/// Space above a station, in points.
const ABOVE_LINE: f32 = 4.0;

/// The sections of a sheet with its blocks in this many columns, and with at most this many prompts for each station.
pub(super) fn sections(
    sheet: &RunSheet,
    typesetter: &mut Typesetter,
    frame: PageArea,
    columns: usize,
    prompts: usize,
) -> Vec<SheetSection> {
    let mut whole = StripBuilder { typesetter, width: frame.width };
    let (head, foot) = (whole.head(sheet), whole.foot(sheet));
    let mut column = StripBuilder { typesetter, width: frame.column(columns) };
    let blocks = sheet.blocks.iter().flat_map(|block| column.block(block, sheet.blank, prompts)).collect();
    vec![
        SheetSection { strips: head, columns: 1 },
        SheetSection { strips: blocks, columns },
        SheetSection { strips: foot, columns: 1 },
    ]
}

struct StripBuilder<'a> {
    typesetter: &'a mut Typesetter,
    width: f32,
}

impl StripBuilder<'_> {
    fn head(&mut self, sheet: &RunSheet) -> Vec<SheetStrip> {
        let mut strips = self.paragraph(&sheet.title, TextStyle::bold(KEY * 1.2));
        strips.extend(self.paragraph(&sheet.facts, TextStyle::plain(TEXT)));
        strips.push(self.bar(sheet));
        strips
    }

    /// Kit, cautions and the emergency text, one paragraph each.
    fn foot(&mut self, sheet: &RunSheet) -> Vec<SheetStrip> {
        let mut strips = vec![SheetStrip::gap(ABOVE_BLOCK), self.rule()];
        for (heading, lines) in ending(sheet) {
            let words = match heading {
                // No line breaks between a count and its item.
                "Kit" => lines.iter().map(|line| line.replace(' ', "\u{a0}")).collect::<Vec<_>>().join(" · "),
                _ => lines.join(" "),
            };
            let words = format!("{heading}  {words}");
            strips.extend(self.paragraph(&words, TextStyle::label(TEXT, heading.len())));
            end_group(&mut strips);
            strips.push(SheetStrip::gap(ABOVE_LINE));
        }
        strips
    }

    /// A block. Its heading stays with the first station.
    fn block(&mut self, block: &SheetBlock, blank: bool, prompts: usize) -> Vec<SheetStrip> {
        let mut strips = vec![SheetStrip::gap(ABOVE_BLOCK), self.rule()];
        strips.extend(self.heading(block));
        for about in &block.about {
            strips.extend(self.paragraph(about, TextStyle::plain(TEXT)));
        }
        for line in &block.lines {
            strips.push(SheetStrip::gap(ABOVE_LINE));
            strips.extend(self.line(line, prompts));
            if blank {
                strips.push(self.blank());
            }
            end_group(&mut strips);
        }
        strips
    }

    /// The letter in a box, the name, and when the block starts.
    fn heading(&mut self, block: &SheetBlock) -> Vec<SheetStrip> {
        let style = TextStyle::bold(KEY);
        let letter = self.typesetter.set(&block.letter, style, self.width);
        let (wide, high) = (letter.width() + GUTTER, letter.line_height(0));
        let begins = self.typesetter.set(&block.begins, style, self.width);
        let (left, edge) = (wide + GUTTER, self.width - begins.width());
        let name = self.typesetter.set(&block.name, style, edge - left - GUTTER);
        let mut strips = columns(&[(name, left), (begins, edge)]);
        if let Some(first) = strips.first_mut() {
            first.height += 3.0;
            let y = first.height - high - 3.0;
            first.elements.push(StripElement::Box { x: 0.0, y, width: wide, height: high, fill: BoxFill::Solid });
            first.elements.push(StripElement::Line { set: letter, line: 0, x: GUTTER / 2.0, y, white: true });
        }
        strips
    }

    /// A station: its movement in the large size and its start, and below them everything else.
    fn line(&mut self, line: &SheetLine, prompts: usize) -> Vec<SheetStrip> {
        let begins = self.typesetter.set(&line.begins, TextStyle::bold(TEXT), self.width);
        let edge = self.width - begins.width();
        let name = self.typesetter.set(&line.movement, TextStyle::bold(KEY), edge - GUTTER);
        let mut strips = columns(&[(name, 0.0), (begins, edge)]);
        for words in detail_lines(line, prompts) {
            strips.extend(self.paragraph(&words, TextStyle::plain(TEXT)));
        }
        strips
    }

    fn paragraph(&mut self, text: &str, style: TextStyle) -> Vec<SheetStrip> {
        columns(&[(self.typesetter.set(text, style, self.width), 0.0)])
    }

    fn rule(&self) -> SheetStrip {
        SheetStrip::of(4.0, vec![StripElement::rule(0.0, 1.0, self.width, 1.5)]).kept()
    }

    /// Room to write a load and notes.
    fn blank(&mut self) -> SheetStrip {
        let height = TEXT * 1.8;
        let third = self.width / 3.0;
        let mut marks = Vec::new();
        for (words, from, until) in [("load", 0.0, third - GUTTER), ("notes", third, self.width)] {
            let set = self.typesetter.set(words, TextStyle::plain(TEXT), self.width);
            let (x, y) = (from + set.width() + 4.0, height - set.line_height(0));
            marks.push(StripElement::rule(x, height - 3.0, (until - x).max(1.0), 0.6));
            marks.push(StripElement::line(&set, 0, from, y));
        }
        SheetStrip::of(height, marks).kept()
    }

    /// The bar that shows the class to scale: work is solid, rest outlined, briefings and changeovers hatched. A letter
    /// marks the start of each block.
    fn bar(&mut self, sheet: &RunSheet) -> SheetStrip {
        let total: u64 = sheet.strip.iter().map(|stretch| stretch.length.0).sum();
        let letters = TEXT * 1.25;
        let scale = self.width / total.max(1) as f32;
        let mut marks = Vec::new();
        let (mut at, mut free) = (0.0, 0.0);
        for stretch in &sheet.strip {
            let width = stretch.length.0 as f32 * scale;
            let fill = match stretch.purpose {
                SpanPurpose::Work => BoxFill::Solid,
                SpanPurpose::Rest | SpanPurpose::RoundRest | SpanPurpose::BlockRest => BoxFill::Outline,
                SpanPurpose::Briefing | SpanPurpose::Transition => BoxFill::Hatched,
            };
            // A thin white gap separates two spans of work in a row.
            let gap = if width > 3.0 { 1.2 } else { 0.0 };
            marks.push(StripElement::Box { x: at, y: letters, width: (width - gap).max(0.1), height: BAR, fill });
            if let Some(letter) = &stretch.letter {
                let set = self.typesetter.set(letter, TextStyle::bold(TEXT), self.width);
                // There is no room for the letters of all short blocks.
                if at >= free && at + set.width() <= self.width {
                    free = at + set.width() + 4.0;
                    marks.push(StripElement::line(&set, 0, at, 0.0));
                }
            }
            at += width;
        }
        SheetStrip::of(letters + BAR + 6.0, marks)
    }
}
