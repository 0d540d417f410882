//! The two strips, both to scale: the session by block, and the current block by span. A sign marks each difference
//! from the plan, so that neither colour nor length alone shows it.

use std::ops::Range;
use std::time::Duration;

use ratatui::buffer::Cell;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

use super::end_and_spare;
use super::scene::{SceneContext, switch_of_all};
use crate::drawing::apportion;
use crate::drawing::canvas::{Canvas, SOLID, SOLID_LAST, column};
use crate::drawing::lettering::FillStyle;
use crate::drawing::text;
use crate::lead::ScreenView;
use class::change::SpanDeviation;
use class::schedule::{Span, SpanPurpose};
use class::session::block_letter;
use class::time::Tick;
use class::words::{WORDS, fill};

/// A stretch of a strip.
struct StripSegment<'a> {
    from: Tick,
    until: Tick,
    block: usize,
    /// The fill at a tick of the stretch.
    fill: Box<dyn Fn(Tick) -> FillStyle + 'a>,
    /// The letter in its first cell.
    letter: Option<String>,
    /// How it differs from the plan.
    deviation: SpanDeviation,
    /// Whether a gap separates it from the next piece.
    ends: bool,
}

/// Longer than planned, or inserted.
const LONGER: &str = "+";
const SHORTER: &str = "−";
/// Something else than planned, equally long.
const OTHER: &str = "≠";
/// Something is left out here.
const LEFT_OUT: &str = "×";
/// A smaller difference is not shown.
pub(super) const SEEN: Tick = Tick::SECOND;

/// What the signs mean.
pub(super) fn signs_explained() -> String {
    let signs = [("longer", LONGER), ("shorter", SHORTER), ("other", OTHER), ("left_out", LEFT_OUT)];
    fill(&WORDS.screen.lines.signs, &signs)
}

/// The sign of a piece.
fn sign(mark: &SpanDeviation) -> Option<&'static str> {
    match mark.length_change {
        by if by.unsigned_abs() < SEEN.0 => mark.instead_of.map(|_| OTHER),
        by if by > 0 => Some(LONGER),
        _ => Some(SHORTER),
    }
}

/// How a span differs from the plan. The class does not see in the far view what the coach had to change.
fn deviation_of(at: &SceneContext, span: usize) -> SpanDeviation {
    let mark = at.moment.changed.deviations.get(span).filter(|_| at.moment.view != ScreenView::Far);
    let mut mark = mark.copied().unwrap_or_default();
    if at.schedule.spans[span].purpose != SpanPurpose::Work {
        mark.instead_of = None;
    }
    mark
}

/// The fill of a span at one of its ticks.
fn fill_at(span: &Span, now: Tick) -> FillStyle {
    match span.purpose {
        SpanPurpose::Transition => FillStyle::Hatched,
        SpanPurpose::Work if now < span.work_start() => FillStyle::Hatched,
        SpanPurpose::Work => match (switch_of_all(span), span.right_start()) {
            (Some(switch_at), Some(right_at)) if switch_at <= now && now < right_at => FillStyle::Hatched,
            _ => FillStyle::Solid,
        },
        _ => FillStyle::Outlined,
    }
}

/// Draws the session by block into an area: blocks solid, rests between blocks outlined, spare time dotted.
pub(super) fn session(canvas: &mut Canvas, area: Rect, at: &SceneContext) {
    let mut pieces: Vec<StripSegment> = Vec::new();
    for (index, span) in at.schedule.spans.iter().enumerate() {
        let between = span.purpose == SpanPurpose::BlockRest;
        let mut mark = deviation_of(at, index);
        if !between {
            // What is left out makes the block shorter.
            mark.length_change -= (mark.gone_before.0 + mark.gone_after.0) as i64;
            (mark.gone_before, mark.gone_after) = (Tick::ZERO, Tick::ZERO);
            // Changes that cancel each other out still differ from the plan.
            mark.instead_of = mark.instead_of.or(sign(&mark).map(|_| span.activity));
        }
        if let Some(piece) = pieces.last_mut()
            && piece.block == span.block
            && !between
        {
            piece.until = span.end;
            piece.deviation.length_change += mark.length_change;
            piece.deviation.instead_of = piece.deviation.instead_of.or(mark.instead_of);
            continue;
        }
        let fill = if between { FillStyle::Outlined } else { FillStyle::Solid };
        pieces.push(StripSegment {
            from: span.start,
            until: span.end,
            block: span.block,
            fill: Box::new(move |_| fill),
            letter: (!between).then(|| block_letter(span.block)),
            deviation: mark,
            ends: true,
        });
    }
    let total = at.schedule.total();
    let spare = at.moment.spare.and_then(|spare| Duration::try_from(spare).ok()).unwrap_or_default();
    let [strip, rest] = apportion(&[total.0, Tick::of(spare).0], area.width)[..] else { return };
    draw(canvas, Rect { width: strip, ..area }, at, &pieces);
    slot_end(canvas, Rect { width: strip, ..area }, at);
    let dots = "┈".repeat(usize::from(rest));
    let line = canvas.look.line();
    text::put(canvas.buffer, area.x + strip, area.y + area.height.saturating_sub(1) / 2, &dots, line, area.right());
}

/// Marks where the slot ends, if the class ends later. The class does not see this mark in the far view.
fn slot_end(canvas: &mut Canvas, strip: Rect, at: &SceneContext) {
    let total = at.schedule.total();
    let over = end_and_spare::over(at.moment).filter(|over| *over >= SEEN && at.moment.view != ScreenView::Far);
    let Some(ends) = over.map(|over| total.saturating_sub(over)) else { return };
    let x = strip.x + (u128::from(ends.0) * u128::from(strip.width) / u128::from(total.0.max(1))) as u16;
    let style = canvas.look.strong();
    for y in strip.y..strip.bottom() {
        text::put(canvas.buffer, x, y, "╏", style, strip.right());
    }
}

/// Draws the current block by span into an area.
pub(super) fn block(canvas: &mut Canvas, area: Rect, at: &SceneContext) {
    let spans = &at.schedule.spans;
    let first = spans[..at.index].iter().rposition(|span| span.block != at.span.block).map_or(0, |index| index + 1);
    let count = spans[first..].iter().take_while(|span| span.block == at.span.block).count();
    let here = &spans[first..first + count];
    let pieces: Vec<StripSegment> = (first..)
        .zip(here)
        .zip(here.iter().skip(1).map(Some).chain([None]))
        .map(|((index, span), next)| StripSegment {
            from: span.start,
            until: span.end,
            block: span.block,
            fill: Box::new(|now| fill_at(span, now)),
            letter: None,
            deviation: deviation_of(at, index),
            ends: next.is_some_and(|next| next.purpose == span.purpose),
        })
        .collect();
    draw(canvas, area, at, &pieces);
}

fn draw(canvas: &mut Canvas, area: Rect, at: &SceneContext, pieces: &[StripSegment]) {
    let lengths: Vec<u64> = pieces.iter().map(|piece| piece.until.0 - piece.from.0).collect();
    let mut x = area.x;
    let mut caret = None;
    let middle_row = area.y + area.height.saturating_sub(1) / 2;
    let mut signs: Vec<StripSign> = Vec::new();
    for (piece, cells) in pieces.iter().zip(apportion(&lengths, area.width)) {
        let length = piece.until.0 - piece.from.0;
        // The caret stands in the last cell once the class is over.
        if piece.from <= at.now && cells > 0 {
            let gone = (u128::from(at.now.saturating_sub(piece.from).0) * u128::from(cells) / u128::from(length.max(1)))
                as u16;
            caret = Some(x + gone.min(cells - 1));
        }
        for cell in 0..cells {
            let middle = u128::from(length) * (u128::from(cell) * 2 + 1) / (u128::from(cells) * 2);
            let middle = Tick(piece.from.0 + middle as u64);
            let hue = if middle < at.now { canvas.look.spent(piece.block) } else { canvas.look.hue(piece.block) };
            let last = piece.ends && cell + 1 == cells;
            column(canvas, area, x + cell, (piece.fill)(middle), last, hue);
        }
        let mut free = x;
        if let Some(letter) = &piece.letter
            && cells > text::columns(letter)
        {
            let style = canvas.look.on_hue(piece.block);
            free = text::put(canvas.buffer, x, middle_row, letter, style, x + cells);
        }
        signs.extend(signs_of(piece, free, x + cells));
        x += cells;
    }
    for sign in signs {
        // Keep the sign off the caret if possible.
        let free = |x: &u16| Some(*x) != caret;
        let near =
            [sign.x, sign.x + 1, sign.x.saturating_sub(1)].into_iter().filter(|x| sign.room.contains(x)).find(free);
        let Some(x) = near else { continue };
        // On a solid cell the sign is cut out, so that the cell still looks solid.
        let below = canvas.buffer.cell((x, middle_row)).map(Cell::symbol);
        let solid = below.is_some_and(|symbol| [SOLID, SOLID_LAST].contains(&symbol));
        let style = match solid {
            true if x < caret.unwrap_or(area.x) => canvas.look.spent(sign.block).add_modifier(Modifier::REVERSED),
            true => canvas.look.on_hue(sign.block),
            false => canvas.look.strong(),
        };
        text::put(canvas.buffer, x, middle_row, sign.symbol, style, area.right());
    }
    if let Some(x) = caret {
        let style = canvas.look.strong();
        for y in area.y..area.bottom() {
            text::put(canvas.buffer, x, y, "┃", style, area.right());
        }
    }
}

/// A sign and the cells that it may stand in.
struct StripSign {
    symbol: &'static str,
    x: u16,
    room: Range<u16>,
    block: usize,
}

/// The signs of a piece, with the cells that are free for them. The sign for something left out stands at an edge. The
/// other sign stands right after the letter or, without a letter, in the middle.
fn signs_of(piece: &StripSegment, free: u16, until: u16) -> Vec<StripSign> {
    let edge = |gone: Tick, x: u16| (gone >= SEEN).then_some((LEFT_OUT, x));
    let middle = if piece.letter.is_some() { free } else { free + (until.saturating_sub(free) / 2) };
    let signs = [
        edge(piece.deviation.gone_before, free),
        edge(piece.deviation.gone_after, until.saturating_sub(1)),
        sign(&piece.deviation).map(|symbol| (symbol, middle)),
    ];
    let room = free..until;
    let block = piece.block;
    signs.into_iter().flatten().map(|(symbol, x)| StripSign { symbol, x, room: room.clone(), block }).collect()
}
