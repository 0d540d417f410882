//! Sheets as PDF: black on white, in the fonts that come with the program.

mod cards;
mod flow;
mod run_sheet;
mod typeset;

use std::collections::BTreeSet;

use krilla::Document;
use krilla::color::luma;
use krilla::geom::{PathBuilder, Rect};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use strum::{Display, EnumIter, EnumString, IntoStaticStr};

use super::{Card, RunSheet};
use flow::{BoxFill, Mark, Strip, pages};
use typeset::{Style, Typesetter};

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Display, EnumString, EnumIter, IntoStaticStr)]
#[strum(serialize_all = "snake_case")]
pub enum Paper {
    /// 210 x 297 mm.
    #[default]
    A4,
    /// 8.5 x 11 inches.
    Letter,
}

impl Paper {
    /// Width and height in points of 1/72 inch.
    pub fn points(self) -> (f32, f32) {
        match self {
            Paper::A4 => (595.28, 841.89),
            Paper::Letter => (612.0, 792.0),
        }
    }
}

/// A finished document.
#[derive(Debug)]
pub struct Pdf {
    pub bytes: Vec<u8>,
    pub pages: usize,
    /// Letters that the fonts do not have: a box stands for each, and the text can be searched all the same.
    pub missing: BTreeSet<char>,
}

/// The smallest text, in points, and the smallest of the lines that are read from standing: nothing is set smaller.
const TEXT: f32 = 14.0;
const KEY: f32 = 20.0;
/// White around a page, in points: more than printers need (common practice, no source).
const MARGIN: f32 = 34.0;
/// How large a sheet may be set, from the largest to the floor.
const SCALES: [f32; 5] = [1.4, 1.3, 1.2, 1.1, 1.0];

/// A run sheet, as large as the fewest pages allow.
///
/// # Errors
/// One line, when the document cannot be made.
pub fn run_sheet_pdf(sheet: &RunSheet, paper: Paper) -> Result<Pdf, String> {
    let mut typesetter = Typesetter::new();
    let width = paper.points().0 - 2.0 * MARGIN;
    let mut strips = run_sheet::strips(sheet, &mut typesetter, width, 1.0);
    let fewest = pages(&strips, room(paper)).len();
    for scale in SCALES {
        let larger = run_sheet::strips(sheet, &mut typesetter, width, scale);
        if pages(&larger, room(paper)).len() <= fewest {
            strips = larger;
            break;
        }
    }
    document(&sheet.title, &strips, paper, typesetter)
}

/// Cards, each on a page of its own and as large as that allows; one too long at the floor goes on on another.
///
/// # Errors
/// One line, when the document cannot be made.
pub fn cards_pdf(title: &str, cards: &[Card], paper: Paper) -> Result<Pdf, String> {
    let mut typesetter = Typesetter::new();
    let width = paper.points().0 - 2.0 * MARGIN;
    let mut strips = Vec::new();
    for card in cards {
        let mut laid = Vec::new();
        for scale in SCALES {
            laid = cards::strips(card, &mut typesetter, width, scale);
            if pages(&laid, room(paper)).len() <= 1 {
                break;
            }
        }
        strips.extend(laid);
    }
    document(title, &strips, paper, typesetter)
}

/// The height for strips: the page without its margins and the line at its foot.
fn room(paper: Paper) -> f32 {
    paper.points().1 - 2.0 * MARGIN - FOOT
}

const FOOT: f32 = TEXT * 1.25;

fn document(title: &str, strips: &[Strip], paper: Paper, mut typesetter: Typesetter) -> Result<Pdf, String> {
    let (width, height) = paper.points();
    let pages = pages(strips, room(paper));
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.to_owned()).creator("forecall".to_owned()));
    for (number, range) in pages.iter().enumerate() {
        let settings = PageSettings::from_wh(width, height).ok_or("no such paper")?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        let mut y = MARGIN;
        for strip in &strips[range.clone()] {
            strip.marks.iter().for_each(|mark| draw(&mut surface, &mut typesetter, mark, MARGIN, y));
            y += strip.height;
        }
        if pages.len() > 1 {
            let words = format!("page {} of {}", number + 1, pages.len());
            let set = typesetter.set(&words, Style { size: TEXT, bold: false }, width);
            typesetter.draw(&mut surface, &set, 0, width - MARGIN - set.width(), height - MARGIN - FOOT);
        }
        surface.finish();
        page.finish();
    }
    let bytes = document.finish().map_err(|error| format!("the document cannot be made: {error:?}"))?;
    Ok(Pdf { bytes, pages: pages.len(), missing: typesetter.missing })
}

fn draw(surface: &mut Surface<'_>, typesetter: &mut Typesetter, mark: &Mark, left: f32, top: f32) {
    match mark {
        Mark::Line { set, line, x, y } => typesetter.draw(surface, set, *line, left + x, top + y),
        Mark::Stroke { points, weight } => {
            let points: Vec<(f32, f32)> = points.iter().map(|(x, y)| (left + x, top + y)).collect();
            stroke(surface, &points, *weight);
        }
        Mark::Box { x, y, width, height, fill } => {
            let (x, y) = (left + x, top + y);
            let mut path = PathBuilder::new();
            Rect::from_xywh(x, y, *width, *height).into_iter().for_each(|rect| path.push_rect(rect));
            let Some(path) = path.finish() else { return };
            if *fill == BoxFill::Hatched {
                surface.push_clip_path(&path, &FillRule::NonZero);
                let mut from = x - height;
                while from < x + width {
                    stroke(surface, &[(from, y + height), (from + height, y)], 0.6);
                    from += 4.0;
                }
                surface.pop();
            }
            surface.set_fill((*fill == BoxFill::Solid).then(solid));
            surface.set_stroke(Some(pen(0.5)));
            surface.draw_path(&path);
        }
    }
}

fn stroke(surface: &mut Surface<'_>, points: &[(f32, f32)], weight: f32) {
    let mut path = PathBuilder::new();
    for (number, &(x, y)) in points.iter().enumerate() {
        if number == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
    }
    let Some(path) = path.finish() else { return };
    surface.set_fill(None);
    surface.set_stroke(Some(pen(weight)));
    surface.draw_path(&path);
}

/// All black.
fn solid() -> Fill {
    Fill { paint: luma::Color::black().into(), opacity: NormalizedF32::ONE, rule: FillRule::default() }
}

fn pen(width: f32) -> Stroke {
    Stroke { paint: luma::Color::black().into(), width, ..Stroke::default() }
}
