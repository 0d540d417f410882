//! The run sheet as strips.

use super::flow::{BoxFill, Mark, Strip, columns, end_group};
use super::typeset::{Style, Typesetter};
use super::{KEY, TEXT};
use crate::schedule::Purpose;
use crate::sheet::run_sheet::{RunSheet, SheetBlock, SheetLine};
use crate::sheet::text::{beneath, ending};

/// The height of the class to scale, in points.
const BAR: f32 = 18.0;
/// White between two columns.
const GUTTER: f32 = 10.0;

/// All strips of a sheet of a width, `scale` times as large as at the floor.
pub(super) fn strips(sheet: &RunSheet, typesetter: &mut Typesetter, width: f32, scale: f32) -> Vec<Strip> {
    Setting { typesetter, width, text: TEXT * scale, key: KEY * scale }.all(sheet)
}

struct Setting<'a> {
    typesetter: &'a mut Typesetter,
    width: f32,
    /// Sizes of the two kinds of lines.
    text: f32,
    key: f32,
}

impl Setting<'_> {
    fn all(&mut self, sheet: &RunSheet) -> Vec<Strip> {
        let mut strips = self.paragraph(&sheet.title, self.key * 1.2, true, 0.0);
        strips.extend(self.paragraph(&sheet.facts, self.text, false, 0.0));
        strips.push(self.bar(sheet));
        let lines = sheet.blocks.iter().flat_map(|block| &block.lines).map(|line| &line.begins);
        let times: Vec<&String> = sheet.blocks.iter().map(|block| &block.begins).chain(lines).collect();
        let left = times.iter().map(|time| self.width_of(time)).fold(0.0, f32::max) + GUTTER;
        for block in &sheet.blocks {
            strips.extend(self.block(block, left, sheet.blank));
        }
        for (heading, lines) in ending(sheet) {
            strips.push(self.rule());
            strips.extend(self.paragraph(heading, self.key, true, 0.0));
            for line in lines {
                strips.extend(self.paragraph(&format!("· {line}"), self.text, false, 0.0));
                end_group(&mut strips);
            }
        }
        strips
    }

    /// The heading stays with the first station.
    fn block(&mut self, block: &SheetBlock, left: f32, blank: bool) -> Vec<Strip> {
        let mut strips = vec![self.rule()];
        strips.extend(self.key_line(&block.begins, &block.name, &block.length, left));
        for about in &block.about {
            strips.extend(self.paragraph(about, self.text, false, left));
        }
        strips.push(Strip::gap(self.text * 0.3).kept());
        for line in &block.lines {
            strips.extend(self.line(line, left, blank));
        }
        strips
    }

    fn line(&mut self, line: &SheetLine, left: f32, blank: bool) -> Vec<Strip> {
        let mut strips = self.key_line(&line.begins, &line.movement, &line.length, left);
        for words in beneath(line) {
            strips.extend(self.paragraph(&words, self.text, false, left));
        }
        if blank {
            strips.push(self.blank(left));
        }
        strips.push(Strip::gap(self.text * 0.3));
        strips
    }

    /// When, what and how long, in the lettering that is read from standing.
    fn key_line(&mut self, begins: &str, what: &str, length: &str, left: f32) -> Vec<Strip> {
        let style = Style { size: self.key, bold: true };
        let right = self.typesetter.set(length, style, self.width * 0.3);
        let edge = self.width - right.width();
        let middle = self.typesetter.set(what, style, edge - GUTTER - left);
        let begins = self.typesetter.set(begins, style, left);
        columns(&[(begins, 0.0), (middle, left), (right, edge)])
    }

    fn paragraph(&mut self, text: &str, size: f32, bold: bool, left: f32) -> Vec<Strip> {
        let set = self.typesetter.set(text, Style { size, bold }, self.width - left);
        columns(&[(set, left)])
    }

    fn width_of(&mut self, text: &str) -> f32 {
        self.typesetter.set(text, Style { size: self.key, bold: true }, self.width).width().ceil() + 1.0
    }

    fn rule(&self) -> Strip {
        Strip::of(10.0, vec![Mark::rule(0.0, 6.0, self.width, 1.2)]).kept()
    }

    /// Room to write a load and notes.
    fn blank(&mut self, left: f32) -> Strip {
        let style = Style { size: self.text, bold: false };
        let height = self.text * 1.8;
        let third = left + (self.width - left) / 3.0;
        let mut marks = Vec::new();
        for (words, from, until) in [("load", left, third - GUTTER), ("notes", third, self.width)] {
            let set = self.typesetter.set(words, style, self.width);
            let (x, y) = (from + set.width() + 4.0, height - set.line_height(0));
            marks.push(Mark::rule(x, height - 3.0, (until - x).max(1.0), 0.6));
            marks.push(Mark::Line { set, line: 0, x: from, y });
        }
        Strip::of(height, marks).kept()
    }

    /// The class to scale: work solid, rest outlined, getting from one to the next hatched; a letter where a block begins.
    fn bar(&mut self, sheet: &RunSheet) -> Strip {
        let total: u64 = sheet.strip.iter().map(|stretch| stretch.length.0).sum();
        let letters = self.text * 1.25;
        let scale = self.width / total.max(1) as f32;
        let mut marks = Vec::new();
        let (mut at, mut free) = (0.0, 0.0);
        for stretch in &sheet.strip {
            let width = stretch.length.0 as f32 * scale;
            let fill = match stretch.purpose {
                Purpose::Work => BoxFill::Solid,
                Purpose::Rest | Purpose::RoundRest | Purpose::BlockRest => BoxFill::Outline,
                Purpose::Briefing | Purpose::Transition => BoxFill::Hatched,
            };
            // A hair of white tells two works apart that follow each other.
            let gap = if width > 3.0 { 1.2 } else { 0.0 };
            marks.push(Mark::Box { x: at, y: letters, width: (width - gap).max(0.1), height: BAR, fill });
            if let Some(letter) = &stretch.letter {
                let set = self.typesetter.set(letter, Style { size: self.text, bold: true }, self.width);
                // Where blocks are short there is no room for every letter.
                if at >= free && at + set.width() <= self.width {
                    free = at + set.width() + 4.0;
                    marks.push(Mark::Line { set, line: 0, x: at, y: 0.0 });
                }
            }
            at += width;
        }
        Strip::of(letters + BAR + 4.0, marks)
    }
}
