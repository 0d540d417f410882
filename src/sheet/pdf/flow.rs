//! Strips of a page, one under the other, and which page each falls on.
//!
//! A strip is one line of text, or one figure, over the whole width, and is never cut: nothing is too long for a page.

use std::ops::Range;
use std::rc::Rc;

use super::typeset::Set;

/// One strip.
pub(super) struct Strip {
    pub height: f32,
    pub marks: Vec<Mark>,
    /// It stays on one page with the next, where that can be.
    pub keep: bool,
    /// It begins a page.
    pub fresh: bool,
}

/// Something on a strip; places are from its left and top, in points.
pub(super) enum Mark {
    Line {
        set: Rc<Set>,
        line: usize,
        x: f32,
        y: f32,
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

/// What is in a box.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum BoxFill {
    Solid,
    Hatched,
    Outline,
}

impl Strip {
    pub fn of(height: f32, marks: Vec<Mark>) -> Strip {
        Strip { height, marks, keep: false, fresh: false }
    }

    /// Empty space.
    pub fn gap(height: f32) -> Strip {
        Strip::of(height, Vec::new())
    }

    /// The same, on one page with the next.
    pub fn kept(self) -> Strip {
        Strip { keep: true, ..self }
    }
}

impl Mark {
    /// A level line.
    pub fn rule(x: f32, y: f32, width: f32, weight: f32) -> Mark {
        Mark::Stroke { points: vec![(x, y), (x + width, y)], weight }
    }
}

/// Texts side by side, each from its own left edge: a strip for each line, kept together and with what follows.
pub(super) fn columns(texts: &[(Rc<Set>, f32)]) -> Vec<Strip> {
    let lines = texts.iter().map(|(set, _)| set.lines()).max().unwrap_or(0);
    let strip = |line: usize| {
        let height = texts.iter().map(|(set, _)| set.line_height(line)).fold(0.0, f32::max);
        let here = texts.iter().filter(|(set, _)| line < set.lines());
        let mark = |(set, x): &(Rc<Set>, f32)| {
            let y = height - set.line_height(line);
            Mark::Line { set: set.clone(), line, x: *x, y }
        };
        Strip::of(height, here.map(mark).collect()).kept()
    };
    (0..lines).map(strip).collect()
}

/// Lets the last strip of a group go: what comes next may be on another page.
pub(super) fn end_group(strips: &mut [Strip]) {
    if let Some(last) = strips.last_mut() {
        last.keep = false;
    }
}

/// The strips of each page of this height. A group that is kept together and fits a page is not broken.
pub(super) fn pages(strips: &[Strip], height: f32) -> Vec<Range<usize>> {
    let mut pages = Vec::new();
    let (mut first, mut used, mut at) = (0, 0.0, 0);
    while at < strips.len() {
        let end = (at..strips.len()).find(|&strip| !strips[strip].keep).map_or(strips.len(), |last| last + 1);
        let group: f32 = strips[at..end].iter().map(|strip| strip.height).sum();
        if at > first && (strips[at].fresh || (used + group > height && group <= height)) {
            pages.push(first..at);
            (first, used) = (at, 0.0);
        }
        for (strip, one) in strips.iter().enumerate().take(end).skip(at) {
            if used + one.height > height && strip > first {
                pages.push(first..strip);
                (first, used) = (strip, 0.0);
            }
            used += one.height;
        }
        at = end;
    }
    if first < strips.len() {
        pages.push(first..strips.len());
    }
    pages
}
