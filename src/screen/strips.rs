//! The two strips, both to scale: the session by block, and this block by span.

use ratatui::layout::Rect;
use ratatui::style::Style;

use super::apportion::apportion;
use super::lettering::Fill;
use super::scene::{At, switch_of_all};
use super::stage::Stage;
use super::text;
use crate::schedule::{Purpose, Span};
use crate::session::block_letter;
use crate::time::Tick;

/// A stretch of a strip.
struct Piece<'a> {
    from: Tick,
    until: Tick,
    block: usize,
    /// What it is for at a tick of it.
    fill: Box<dyn Fn(Tick) -> Fill + 'a>,
    /// Stands in its first cell.
    letter: Option<String>,
    /// The next piece is to be told from this one.
    ends: bool,
}

/// The fill of a span at one of its ticks.
fn fill_at(span: &Span, now: Tick) -> Fill {
    match span.purpose {
        Purpose::Transition => Fill::Hatched,
        Purpose::Work if now < span.working_from() => Fill::Hatched,
        Purpose::Work => match (switch_of_all(span), span.right_at()) {
            (Some(switch_at), Some(right_at)) if switch_at <= now && now < right_at => Fill::Hatched,
            _ => Fill::Solid,
        },
        _ => Fill::Outlined,
    }
}

/// Draws the session by block into an area: solid, the rests between blocks outlined, and dotted what the slot
/// has to spare.
pub(super) fn session(stage: &mut Stage, area: Rect, at: &At) {
    let mut pieces: Vec<Piece> = Vec::new();
    for span in &at.schedule.spans {
        let between = span.purpose == Purpose::BlockRest;
        if let Some(piece) = pieces.last_mut()
            && piece.block == span.block
            && !between
        {
            piece.until = span.end;
            continue;
        }
        let fill = if between { Fill::Outlined } else { Fill::Solid };
        pieces.push(Piece {
            from: span.start,
            until: span.end,
            block: span.block,
            fill: Box::new(move |_| fill),
            letter: (!between).then(|| block_letter(span.block)),
            ends: true,
        });
    }
    let total = at.schedule.total();
    let spare = at.moment.spare_ms.and_then(|spare| u64::try_from(spare).ok()).unwrap_or(0);
    let [strip, rest] = apportion(&[total.0, spare], area.width)[..] else { return };
    draw(stage, Rect { width: strip, ..area }, at, &pieces);
    let dots = "┈".repeat(usize::from(rest));
    let line = stage.look.line();
    text::put(stage.buffer, area.x + strip, area.y + area.height.saturating_sub(1) / 2, &dots, line, area.right());
}

/// Draws this block by span into an area.
pub(super) fn block(stage: &mut Stage, area: Rect, at: &At) {
    let spans = &at.schedule.spans;
    let first = spans[..at.index].iter().rposition(|span| span.block != at.span.block).map_or(0, |index| index + 1);
    let count = spans[first..].iter().take_while(|span| span.block == at.span.block).count();
    let here = &spans[first..first + count];
    let pieces: Vec<Piece> = here
        .iter()
        .zip(here.iter().skip(1).map(Some).chain([None]))
        .map(|(span, next)| Piece {
            from: span.start,
            until: span.end,
            block: span.block,
            fill: Box::new(|now| fill_at(span, now)),
            letter: None,
            ends: next.is_some_and(|next| next.purpose == span.purpose),
        })
        .collect();
    draw(stage, area, at, &pieces);
}

fn draw(stage: &mut Stage, area: Rect, at: &At, pieces: &[Piece]) {
    let lengths: Vec<u64> = pieces.iter().map(|piece| piece.until.0 - piece.from.0).collect();
    let mut x = area.x;
    let mut caret = None;
    for (piece, cells) in pieces.iter().zip(apportion(&lengths, area.width)) {
        let length = piece.until.0 - piece.from.0;
        // The caret stands in the last cell once the class is over.
        if piece.from <= at.now && cells > 0 {
            let gone = (u128::from(at.now.less(piece.from).0) * u128::from(cells) / u128::from(length.max(1))) as u16;
            caret = Some(x + gone.min(cells - 1));
        }
        for cell in 0..cells {
            let middle = u128::from(length) * (u128::from(cell) * 2 + 1) / (u128::from(cells) * 2);
            let middle = Tick(piece.from.0 + middle as u64);
            let hue = if middle < at.now { stage.look.spent(piece.block) } else { stage.look.hue(piece.block) };
            let last = piece.ends && cell + 1 == cells;
            column(stage, area, x + cell, (piece.fill)(middle), last, hue);
        }
        if let Some(letter) = &piece.letter
            && cells > text::columns(letter)
        {
            let y = area.y + area.height.saturating_sub(1) / 2;
            let style = stage.look.on_hue(piece.block);
            text::put(stage.buffer, x, y, letter, style, x + cells);
        }
        x += cells;
    }
    if let Some(x) = caret {
        let style = stage.look.strong();
        for y in area.y..area.bottom() {
            text::put(stage.buffer, x, y, "┃", style, area.right());
        }
    }
}

/// One column of a strip.
pub(super) fn column(stage: &mut Stage, area: Rect, x: u16, fill: Fill, last: bool, style: Style) {
    for y in area.y..area.bottom() {
        let symbol = match (fill, area.height) {
            // A thin gap tells one piece from the next without a cell of its own.
            (Fill::Solid, _) if last => "▉",
            (Fill::Solid, _) => "█",
            (Fill::Hatched, _) => "▒",
            (Fill::Outlined, 1) => "═",
            (Fill::Outlined, _) if y == area.y => "▔",
            (Fill::Outlined, _) if y + 1 == area.bottom() => "▁",
            (Fill::Outlined, _) => " ",
        };
        text::put(stage.buffer, x, y, symbol, style, area.right());
    }
}
