//! Sheets as PDF: black on white, in the fonts that come with the program.

mod cards;
mod flow;
mod run_sheet;
mod typeset;

use std::collections::BTreeSet;

use krilla::Document;
use krilla::color::luma;
use krilla::geom::{PathBuilder, Rect, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use strum::{Display, EnumIter, EnumString, IntoStaticStr};

use super::{RunSheet, StationCard};
use flow::{BoxFill, PageArea, PlacedStrip, SheetSection, StripElement, pages};
use typeset::{TextStyle, Typesetter};

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Display, EnumString, EnumIter, IntoStaticStr)]
#[strum(serialize_all = "snake_case")]
pub enum PaperSize {
    /// 210 x 297 mm.
    #[default]
    A4,
    /// 8.5 x 11 inches.
    Letter,
}

impl PaperSize {
    /// Width and height in points of 1/72 inch.
    pub fn points(self) -> (f32, f32) {
        match self {
            PaperSize::A4 => (595.28, 841.89),
            PaperSize::Letter => (612.0, 792.0),
        }
    }
}

/// A finished document.
#[derive(Debug)]
pub struct PdfDocument {
    pub bytes: Vec<u8>,
    pub pages: usize,
    /// Characters that the fonts do not have. Each is printed as a box, and the text can still be searched.
    pub missing: BTreeSet<char>,
    /// Whether prompts were left out, because these pages had no room for them.
    pub prompts_left_out: bool,
}

/// Why a document cannot be made.
#[derive(Clone, Debug, thiserror::Error)]
pub enum PdfError {
    #[error("the paper size is not valid")]
    PaperSize,
    #[error("the document cannot be made: {0:?}")]
    Document(krilla::error::KrillaError),
}

/// The smallest size of any text, in points.
const TEXT: f32 = 14.0;
/// The smallest size of the lines that a standing coach reads, in points.
const KEY: f32 = 20.0;
/// The margin of a page, in points: more than printers need (common practice, no source).
const MARGIN: f32 = 26.0;
/// By how much the smallest sizes may be enlarged, as factors, the largest first.
const ZOOMS: [f32; 7] = [1.6, 1.5, 1.4, 1.3, 1.2, 1.1, 1.0];
/// The height of the footer, in points. Only documents of several pages have one.
const FOOT: f32 = TEXT * 1.4;

/// A run sheet on the fewest pages that hold it with one prompt for each station. It has as many prompts as these pages
/// have room for, and is as large as they allow.
///
/// # Errors
/// When the document cannot be made.
pub fn run_sheet_pdf(sheet: &RunSheet, paper: PaperSize) -> Result<PdfDocument, PdfError> {
    let mut typesetter = Typesetter::new();
    let lines = sheet.blocks.iter().flat_map(|block| &block.lines);
    let most = lines.map(|line| line.prompts.len()).max().unwrap_or(0);
    let least = if sheet.all_prompts { most } else { most.min(1) };
    let mut lay = |zoom: f32, columns: usize, prompts: usize| {
        LaidOutSheet::of(&sheet.title, paper, zoom, |frame| {
            run_sheet::sections(sheet, &mut typesetter, frame, columns, prompts)
        })
    };
    let narrow = lay(1.0, 2, least);
    let wide = lay(1.0, 1, least);
    let fewest = narrow.pages.len().min(wide.pages.len());
    let mut best = if wide.pages.len() == fewest { wide } else { narrow };
    let mut prompts = least;
    for more in (least + 1..=most).rev() {
        let fits = [1, 2].into_iter().map(|columns| lay(1.0, columns, more)).find(|laid| laid.pages.len() <= fewest);
        if let Some(laid) = fits {
            (best, prompts) = (laid, more);
            break;
        }
    }
    // One column is easier to follow than two, and is used where it needs no more pages.
    let columns = best.sections.iter().map(|section| section.columns).max().unwrap_or(1);
    let mut larger = ZOOMS.into_iter().filter(|&zoom| zoom > 1.0).map(|zoom| lay(zoom, columns, prompts));
    let larger = larger.find(|laid| laid.pages.len() <= fewest);
    let laid = larger.unwrap_or(best);
    let pdf = document(&sheet.title, &[laid], paper, typesetter)?;
    Ok(PdfDocument { prompts_left_out: prompts < most, ..pdf })
}

/// Cards, each on its own page and as large as the page allows. A card too long at the smallest size continues on
/// another page.
///
/// # Errors
/// When the document cannot be made.
pub fn cards_pdf(title: &str, cards: &[StationCard], paper: PaperSize) -> Result<PdfDocument, PdfError> {
    let mut typesetter = Typesetter::new();
    let mut lay = |card: &StationCard, zoom: f32| {
        let name = format!("{} {} {}", card.block, card.number, card.movement);
        LaidOutSheet::of(&name, paper, zoom, |frame| {
            vec![SheetSection { strips: cards::strips(card, &mut typesetter, frame), columns: 1 }]
        })
    };
    let mut laid = Vec::new();
    for card in cards {
        let larger = ZOOMS.iter().map(|&zoom| lay(card, zoom)).find(|laid| laid.pages.len() == 1);
        laid.push(larger.unwrap_or_else(|| lay(card, 1.0)));
    }
    document(title, &laid, paper, typesetter)
}

/// Sections on their pages.
struct LaidOutSheet {
    name: String,
    sections: Vec<SheetSection>,
    pages: Vec<Vec<PlacedStrip>>,
    zoom: f32,
}

impl LaidOutSheet {
    /// Lays sections out, enlarged by the factor `zoom`. A single page has no footer.
    fn of(
        name: &str,
        paper: PaperSize,
        zoom: f32,
        sections: impl FnOnce(PageArea) -> Vec<SheetSection>,
    ) -> LaidOutSheet {
        let (width, height) = paper.points();
        let frame =
            |foot| PageArea { width: (width - 2.0 * MARGIN) / zoom, height: (height - 2.0 * MARGIN - foot) / zoom };
        let sections = sections(frame(0.0));
        let mut laid = pages(&sections, frame(0.0));
        if laid.len() > 1 {
            laid = pages(&sections, frame(FOOT));
        }
        LaidOutSheet { name: name.to_owned(), sections, pages: laid, zoom }
    }
}

fn document(
    title: &str,
    laid: &[LaidOutSheet],
    paper: PaperSize,
    mut typesetter: Typesetter,
) -> Result<PdfDocument, PdfError> {
    let (width, height) = paper.points();
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.to_owned()).creator("forecall".to_owned()));
    let mut count = 0;
    for one in laid {
        for (number, placed) in one.pages.iter().enumerate() {
            let settings = PageSettings::from_wh(width, height).ok_or(PdfError::PaperSize)?;
            let mut page = document.start_page_with(settings);
            let mut surface = page.surface();
            surface.push_transform(&Transform::from_row(one.zoom, 0.0, 0.0, one.zoom, MARGIN, MARGIN));
            for at in placed {
                let marks = &one.sections[at.section].strips[at.strip].elements;
                marks.iter().for_each(|mark| draw(&mut surface, &mut typesetter, mark, at.x, at.y));
            }
            surface.pop();
            if one.pages.len() > 1 {
                let words = format!("page {} of {}", number + 1, one.pages.len());
                let (y, right) = (height - MARGIN - FOOT * 0.85, width - MARGIN);
                let set = typesetter.set(&words, TextStyle::plain(TEXT), width);
                let edge = right - set.width();
                typesetter.draw(&mut surface, &set, 0, edge, y, black());
                // Only the first line of a long name is printed.
                let name = typesetter.set(&one.name, TextStyle::plain(TEXT), edge - 2.0 * MARGIN);
                typesetter.draw(&mut surface, &name, 0, MARGIN, y, black());
            }
            surface.finish();
            page.finish();
            count += 1;
        }
    }
    let bytes = document.finish().map_err(PdfError::Document)?;
    Ok(PdfDocument { bytes, pages: count, missing: typesetter.missing, prompts_left_out: false })
}

fn draw(surface: &mut Surface<'_>, typesetter: &mut Typesetter, mark: &StripElement, left: f32, top: f32) {
    match mark {
        StripElement::Line { set, line, x, y, white: on_box } => {
            let fill = if *on_box { white() } else { black() };
            typesetter.draw(surface, set, *line, left + x, top + y, fill);
        }
        StripElement::Stroke { points, weight } => {
            let points: Vec<(f32, f32)> = points.iter().map(|(x, y)| (left + x, top + y)).collect();
            stroke(surface, &points, *weight);
        }
        StripElement::Box { x, y, width, height, fill } => {
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
            surface.set_fill((*fill == BoxFill::Solid).then(black));
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

fn black() -> Fill {
    Fill { paint: luma::Color::black().into(), opacity: NormalizedF32::ONE, rule: FillRule::default() }
}

fn white() -> Fill {
    Fill { paint: luma::Color::white().into(), ..black() }
}

fn pen(width: f32) -> Stroke {
    Stroke { paint: luma::Color::black().into(), width, ..Stroke::default() }
}
