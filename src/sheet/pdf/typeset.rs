//! Text set in lines of a width: shaped, wrapped and drawn with the fonts that come with the program.

use std::borrow::Cow;
use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;
use std::sync::Arc;

use krilla::geom::Point;
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use parley::fontique::{Blob, Collection, CollectionOptions, SourceCache};
use parley::{
    Alignment, AlignmentOptions, FontContext, FontFamily, FontFamilyName, FontWeight, Layout, LayoutContext,
    LineHeight, OverflowWrap, StyleProperty,
};

use super::solid;

/// Fonts in the order in which a letter is looked for.
const FONTS: [&[u8]; 3] = [
    include_bytes!("../../../assets/fonts/Inter-Regular.ttf"),
    include_bytes!("../../../assets/fonts/Inter-Bold.ttf"),
    include_bytes!("../../../assets/fonts/DejaVuSans.ttf"),
];
const FAMILIES: [FontFamilyName<'static>; 2] =
    [FontFamilyName::Named(Cow::Borrowed("Inter")), FontFamilyName::Named(Cow::Borrowed("DejaVu Sans"))];

/// Sets text.
pub(super) struct Typesetter {
    fonts: FontContext,
    layouts: LayoutContext<()>,
    /// The same fonts for the document, by their number.
    drawn: HashMap<u64, Font>,
    /// Letters that no font has: a box stands for each.
    pub missing: BTreeSet<char>,
}

/// A text set in lines.
pub(super) struct Set {
    layout: Layout<()>,
    text: String,
}

/// How a text is set.
#[derive(Clone, Copy)]
pub(super) struct Style {
    /// In points.
    pub size: f32,
    pub bold: bool,
}

impl Typesetter {
    pub fn new() -> Typesetter {
        let mut collection = Collection::new(CollectionOptions { shared: false, system_fonts: false });
        for font in FONTS {
            collection.register_fonts(Blob::new(Arc::new(font)), None);
        }
        let fonts = FontContext { collection, source_cache: SourceCache::default() };
        Typesetter { fonts, layouts: LayoutContext::new(), drawn: HashMap::new(), missing: BTreeSet::new() }
    }

    /// Sets a text no wider than `width`, breaking inside words where it must.
    pub fn set(&mut self, text: &str, style: Style, width: f32) -> Rc<Set> {
        let text = printable(text);
        let mut builder = self.layouts.ranged_builder(&mut self.fonts, &text, 1.0, false);
        builder.push_default(StyleProperty::FontFamily(FontFamily::List(Cow::Borrowed(&FAMILIES))));
        builder.push_default(StyleProperty::FontSize(style.size));
        builder.push_default(StyleProperty::FontWeight(FontWeight::new(if style.bold { 700.0 } else { 400.0 })));
        builder.push_default(StyleProperty::LineHeight(LineHeight::FontSizeRelative(1.25)));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::Anywhere));
        let mut layout = builder.build(&text);
        layout.break_all_lines(Some(width.max(1.0)));
        layout.align(Alignment::Start, AlignmentOptions::default());
        Rc::new(Set { layout, text })
    }

    /// Draws one line of a set text with its top left corner here.
    pub fn draw(&mut self, surface: &mut Surface<'_>, set: &Set, line: usize, x: f32, y: f32) {
        let Some(line) = set.layout.get(line) else { return };
        let metrics = line.metrics();
        let baseline = y + metrics.baseline - metrics.block_min_coord;
        let mut pen = x + metrics.offset;
        surface.set_stroke(None);
        surface.set_fill(Some(solid()));
        for run in line.runs() {
            let (size, begins) = (run.font_size(), pen);
            let mut glyphs: Vec<KrillaGlyph> = Vec::new();
            for cluster in run.visual_clusters() {
                if cluster.is_ligature_continuation() {
                    if let Some(glyph) = glyphs.last_mut() {
                        glyph.text_range.end = glyph.text_range.end.max(cluster.text_range().end);
                    }
                    continue;
                }
                for glyph in cluster.glyphs() {
                    if glyph.id == 0 {
                        self.missing.extend(set.text.get(cluster.text_range()).unwrap_or_default().chars().take(1));
                    }
                    let (advance, right, up) = (glyph.advance / size, glyph.x / size, glyph.y / size);
                    let id = GlyphId::new(glyph.id);
                    glyphs.push(KrillaGlyph::new(id, advance, right, up, 0.0, cluster.text_range(), None));
                    pen += glyph.advance;
                }
            }
            let font = run.font();
            let drawn = match self.drawn.entry(font.data.id()) {
                Entry::Occupied(known) => Some(known.get().clone()),
                Entry::Vacant(free) => {
                    Font::new(font.data.data().to_vec().into(), font.index).map(|font| free.insert(font).clone())
                }
            };
            if let Some(drawn) = drawn.filter(|_| !glyphs.is_empty()) {
                surface.draw_glyphs(Point::from_xy(begins, baseline), &glyphs, drawn, &set.text, size, false);
            }
        }
    }
}

impl Set {
    pub fn lines(&self) -> usize {
        self.layout.len()
    }

    /// How high a line is; 0 where there is none.
    pub fn line_height(&self, line: usize) -> f32 {
        self.layout.get(line).map_or(0.0, |line| line.metrics().line_height)
    }

    /// How wide the longest line is.
    pub fn width(&self) -> f32 {
        self.layout.width()
    }
}

/// A text without what cannot be printed: controls become spaces, and marks that turn the direction of writing go.
fn printable(text: &str) -> String {
    let turns =
        |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    let breaks = |c: char| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}');
    text.chars().filter(|&c| !turns(c)).map(|c| if breaks(c) { ' ' } else { c }).collect()
}
