//! Sets text: shapes it, wraps it at a width and draws it, with the fonts that come with the program.

use std::borrow::Cow;
use std::collections::hash_map::Entry;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;
use std::sync::Arc;

use krilla::geom::Point;
use krilla::paint::Fill;
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use parley::fontique::{Blob, Collection, CollectionOptions, SourceCache};
use parley::{
    Alignment, AlignmentOptions, FontContext, FontFamily, FontFamilyName, FontWeight, Layout, LayoutContext,
    LineHeight, OverflowWrap, StyleProperty,
};

/// The fonts, in the order in which a character is looked for.
const FONTS: [&[u8]; 3] = [
    include_bytes!("../../../../assets/fonts/Inter-Regular.ttf"),
    include_bytes!("../../../../assets/fonts/Inter-Bold.ttf"),
    include_bytes!("../../../../assets/fonts/DejaVuSans.ttf"),
];
/// The height of a line, as a factor of the text size.
const LINE: f32 = 1.17;
const FAMILIES: [FontFamilyName<'static>; 2] =
    [FontFamilyName::Named(Cow::Borrowed("Inter")), FontFamilyName::Named(Cow::Borrowed("DejaVu Sans"))];

/// Sets text.
pub(super) struct Typesetter {
    fonts: FontContext,
    layouts: LayoutContext<()>,
    /// The texts shaped so far, because a sheet is laid out several times to find the best fit.
    shaped: HashMap<(String, TextStyle), Rc<ShapedText>>,
    /// The fonts in the form that the document needs, by their number.
    drawn: HashMap<u64, Font>,
    /// Characters that no font has. Each is drawn as a box.
    pub missing: BTreeSet<char>,
}

/// A text in glyphs, not yet in lines.
struct ShapedText {
    layout: Layout<()>,
    text: Rc<str>,
}

/// A text set in lines.
pub(super) struct TypesetText {
    layout: Layout<()>,
    text: Rc<str>,
}

/// How a text is set.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct TextStyle {
    /// Size in tenths of a point.
    size: u16,
    /// How many bytes from the start are bold.
    bold: usize,
}

impl TextStyle {
    /// Regular text. `size`: in points, rounded to a tenth.
    pub(super) fn plain(size: f32) -> TextStyle {
        TextStyle { size: (size * 10.0).round() as u16, bold: 0 }
    }

    pub(super) fn bold(size: f32) -> TextStyle {
        TextStyle { bold: usize::MAX, ..TextStyle::plain(size) }
    }

    /// Regular text whose first `bytes` bytes are bold.
    pub(super) fn label(size: f32, bytes: usize) -> TextStyle {
        TextStyle { bold: bytes, ..TextStyle::plain(size) }
    }
}

impl Typesetter {
    pub(super) fn new() -> Typesetter {
        let mut collection = Collection::new(CollectionOptions { shared: false, system_fonts: false });
        for font in FONTS {
            collection.register_fonts(Blob::new(Arc::new(font)), None);
        }
        let fonts = FontContext { collection, source_cache: SourceCache::default() };
        let layouts = LayoutContext::new();
        Typesetter { fonts, layouts, shaped: HashMap::new(), drawn: HashMap::new(), missing: BTreeSet::new() }
    }

    /// Sets a text no wider than `width`, breaking inside words where it must.
    pub(super) fn set(&mut self, text: &str, style: TextStyle, width: f32) -> Rc<TypesetText> {
        let shaped = match self.shaped.entry((text.to_owned(), style)) {
            Entry::Occupied(known) => known.get().clone(),
            Entry::Vacant(free) => {
                let shaped = shape(&mut self.layouts, &mut self.fonts, text, style);
                free.insert(Rc::new(shaped)).clone()
            }
        };
        let mut layout = shaped.layout.clone();
        layout.break_all_lines(Some(width.max(1.0)));
        layout.align(Alignment::Start, AlignmentOptions::default());
        Rc::new(TypesetText { layout, text: shaped.text.clone() })
    }

    /// Draws one line of a set text with its top left corner at `x` and `y`, in points.
    pub(super) fn draw(
        &mut self,
        surface: &mut Surface<'_>,
        set: &TypesetText,
        line: usize,
        x: f32,
        y: f32,
        fill: Fill,
    ) {
        let Some(line) = set.layout.get(line) else { return };
        let metrics = line.metrics();
        let baseline = y + metrics.baseline - metrics.block_min_coord;
        let mut pen = x + metrics.offset;
        surface.set_stroke(None);
        surface.set_fill(Some(fill));
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

impl TypesetText {
    pub(super) fn lines(&self) -> usize {
        self.layout.len()
    }

    /// The height of a line; 0 if there is no such line.
    pub(super) fn line_height(&self, line: usize) -> f32 {
        self.layout.get(line).map_or(0.0, |line| line.metrics().line_height)
    }

    /// How far the baseline of a line is below its top.
    pub(super) fn baseline(&self, line: usize) -> f32 {
        self.layout.get(line).map_or(0.0, |line| line.metrics().baseline - line.metrics().block_min_coord)
    }

    /// The width of the longest line.
    pub(super) fn width(&self) -> f32 {
        self.layout.width()
    }
}

fn shape(layouts: &mut LayoutContext<()>, fonts: &mut FontContext, text: &str, style: TextStyle) -> ShapedText {
    let text: Rc<str> = printable(text).into();
    let bold = FontWeight::new(700.0);
    let mut builder = layouts.ranged_builder(fonts, &text, 1.0, false);
    builder.push_default(StyleProperty::FontFamily(FontFamily::List(Cow::Borrowed(&FAMILIES))));
    builder.push_default(StyleProperty::FontSize(f32::from(style.size) / 10.0));
    builder.push_default(StyleProperty::LineHeight(LineHeight::FontSizeRelative(LINE)));
    builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::Anywhere));
    if style.bold >= text.len() {
        builder.push_default(StyleProperty::FontWeight(bold));
    } else if style.bold > 0 && text.is_char_boundary(style.bold) {
        builder.push(StyleProperty::FontWeight(bold), 0..style.bold);
    }
    ShapedText { layout: builder.build(&text), text }
}

/// A text that can be printed: control characters become spaces, and marks that change the direction of writing are
/// dropped.
fn printable(text: &str) -> String {
    let turns =
        |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    let breaks = |c: char| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}');
    text.chars().filter(|&c| !turns(c)).map(|c| if breaks(c) { ' ' } else { c }).collect()
}
