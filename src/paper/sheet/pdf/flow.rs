//! Puts strips into columns, one below the other, and onto pages.
//!
//! A strip is one line of text or one figure, as wide as its column. A strip is never cut, so a text of any length fits
//! on pages.

use std::rc::Rc;

use super::typeset::TypesetText;

/// One strip.
pub(super) struct SheetStrip {
    pub height: f32,
    pub elements: Vec<StripElement>,
    /// Whether it stays in the same column as the next strip, if that is possible.
    pub keep: bool,
}

/// Something drawn on a strip. Positions are counted from its left and top, in points.
pub(super) enum StripElement {
    Line {
        set: Rc<TypesetText>,
        line: usize,
        x: f32,
        y: f32,
        /// White text, on a black box.
        white: bool,
    },
    Box {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        fill: BoxFill,
    },
    /// Lines from point to point.
    Stroke {
        points: Vec<(f32, f32)>,
        weight: f32,
    },
}

/// How a box is filled.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum BoxFill {
    Solid,
    Hatched,
    Outline,
}

/// Strips that fill columns of equal width.
pub(super) struct SheetSection {
    pub strips: Vec<SheetStrip>,
    pub columns: usize,
}

/// The position of a strip on its page, in points.
pub(super) struct PlacedStrip {
    pub section: usize,
    pub strip: usize,
    pub x: f32,
    pub y: f32,
}

/// The space on a page, in points.
#[derive(Clone, Copy)]
pub(super) struct PageArea {
    pub width: f32,
    pub height: f32,
}

/// Space between two columns, in points.
const BETWEEN: f32 = 16.0;

impl PageArea {
    /// The width of one column, if there are this many.
    pub(super) fn column(self, columns: usize) -> f32 {
        (self.width - BETWEEN * (columns - 1) as f32) / columns as f32
    }
}

impl SheetStrip {
    pub(super) fn of(height: f32, marks: Vec<StripElement>) -> SheetStrip {
        SheetStrip { height, elements: marks, keep: false }
    }

    /// Empty space before the next strip. It is left out at the top of a page.
    pub(super) fn gap(height: f32) -> SheetStrip {
        SheetStrip { height, elements: Vec::new(), keep: true }
    }

    /// The same strip, kept in the same column as the next.
    pub(super) fn kept(self) -> SheetStrip {
        SheetStrip { keep: true, ..self }
    }
}

impl StripElement {
    /// A horizontal line.
    pub(super) fn rule(x: f32, y: f32, width: f32, weight: f32) -> StripElement {
        StripElement::Stroke { points: vec![(x, y), (x + width, y)], weight }
    }

    /// A line of a text, in black.
    pub(super) fn line(set: &Rc<TypesetText>, line: usize, x: f32, y: f32) -> StripElement {
        StripElement::Line { set: set.clone(), line, x, y, white: false }
    }
}

/// Texts side by side on one baseline, each with its own left edge. There is one strip for each line, and all are kept
/// together with what follows.
pub(super) fn columns(texts: &[(Rc<TypesetText>, f32)]) -> Vec<SheetStrip> {
    let lines = texts.iter().map(|(set, _)| set.lines()).max().unwrap_or(0);
    let strip = |line: usize| {
        let here: Vec<&(Rc<TypesetText>, f32)> = texts.iter().filter(|(set, _)| line < set.lines()).collect();
        let above = here.iter().map(|(set, _)| set.baseline(line)).fold(0.0, f32::max);
        let below = here.iter().map(|(set, _)| set.line_height(line) - set.baseline(line)).fold(0.0, f32::max);
        let mark = |(set, x): &&(Rc<TypesetText>, f32)| StripElement::line(set, line, *x, above - set.baseline(line));
        SheetStrip::of(above + below, here.iter().map(mark).collect()).kept()
    };
    (0..lines).map(strip).collect()
}

/// Ends a group: what comes after its last strip may be in another column.
pub(super) fn end_group(strips: &mut [SheetStrip]) {
    if let Some(last) = strips.last_mut() {
        last.keep = false;
    }
}

/// Places sections one below the other, on as many pages as they need. Where a section ends, its columns are made
/// equally high. A group that fits in one column is not split.
pub(super) fn pages(sections: &[SheetSection], frame: PageArea) -> Vec<Vec<PlacedStrip>> {
    let mut pages = vec![Vec::new()];
    let mut y = 0.0;
    for (number, section) in sections.iter().enumerate() {
        let mut at = 0;
        while at < section.strips.len() {
            let flow = ColumnFlow { section, whole: frame.height, top: y == 0.0 };
            let room = frame.height - y;
            let rest = flow.fill(at, flow.even_height(at, room).unwrap_or(room));
            let page = pages.len() - 1;
            let mut lowest: f32 = 0.0;
            for (column, filled) in rest.iter().enumerate() {
                let x = (frame.column(section.columns) + BETWEEN) * column as f32;
                let placed = |&(strip, down): &(usize, f32)| PlacedStrip { section: number, strip, x, y: y + down };
                pages[page].extend(filled.placed.iter().map(placed));
                lowest = lowest.max(filled.height);
            }
            let end = rest.last().map_or(at, |filled| filled.end);
            y += lowest;
            if end < section.strips.len() {
                // If even an empty page took nothing, the strip is higher than a page. It is placed all the same.
                if end == at && y == 0.0 {
                    pages[page].push(PlacedStrip { section: number, strip: at, x: 0.0, y });
                    at += 1;
                }
                pages.push(Vec::new());
                y = 0.0;
            }
            at = at.max(end);
        }
    }
    pages
}

/// Fills a section into columns.
struct ColumnFlow<'a> {
    section: &'a SheetSection,
    /// The height of a whole column.
    whole: f32,
    /// Whether the columns start at the top of a page.
    top: bool,
}

/// The contents of one column.
struct FilledColumn {
    /// The index of each strip, and its distance from the top of the column.
    placed: Vec<(usize, f32)>,
    /// The first strip that is not in it.
    end: usize,
    height: f32,
}

impl ColumnFlow<'_> {
    /// The smallest height at which the columns hold everything from strip `at` on. None if a height of `room` is too
    /// small.
    fn even_height(&self, at: usize, room: f32) -> Option<f32> {
        let holds = |height| self.fill(at, height).last().is_some_and(|filled| filled.end == self.section.strips.len());
        if !holds(room) {
            return None;
        }
        let (mut low, mut high) = (0.0, room);
        while self.section.columns > 1 && high - low > 1.0 {
            let middle = f32::midpoint(low, high);
            if holds(middle) { high = middle } else { low = middle }
        }
        Some(high)
    }

    /// All columns, filled one after the other.
    fn fill(&self, mut at: usize, room: f32) -> Vec<FilledColumn> {
        let fill = |_| {
            let filled = self.column(at, room);
            at = filled.end;
            filled
        };
        (0..self.section.columns).map(fill).collect()
    }

    fn column(&self, at: usize, room: f32) -> FilledColumn {
        let strips = &self.section.strips;
        let mut filled = FilledColumn { placed: Vec::new(), end: at, height: 0.0 };
        while filled.end < strips.len() {
            let end =
                (filled.end..strips.len()).find(|&strip| !strips[strip].keep).map_or(strips.len(), |last| last + 1);
            let group: f32 = strips[filled.end..end].iter().map(|strip| strip.height).sum();
            let breaks = group > self.whole;
            if filled.height + group > room && !breaks {
                break;
            }
            while filled.end < end {
                let strip = &strips[filled.end];
                let is_gap = strip.elements.is_empty();
                if !is_gap && filled.height + strip.height > room {
                    return filled;
                }
                if !is_gap {
                    filled.placed.push((filled.end, filled.height));
                }
                if !(is_gap && self.top && filled.placed.is_empty()) {
                    filled.height += strip.height;
                }
                filled.end += 1;
            }
        }
        filled
    }
}
