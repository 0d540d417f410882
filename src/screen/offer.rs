//! An offer: what would be changed, and when the class would end. Over the lower part of the picture, in lettering that
//! is read from where the coach stands.

use ratatui::layout::{Alignment, Rect};

use super::lettering::{Fill, Lettering, Size};
use super::scene::At;
use super::stage::{Stage, below};
use super::{standing, text};
use crate::lead::{Offered, Press};
use crate::words::{WORDS, fill};

/// Draws the offer that is shown over the lower part of an area.
pub(super) fn draw(stage: &mut Stage, area: Rect, at: &At, offer: &Offered) {
    let look = stage.look;
    let ends = offer.ends_at.as_ref().map(|ends| fill(&WORDS.screen.standing.ends, &[("time", ends)]));
    let spare = standing::spare_words(offer.spare_ms);
    let end = ends.into_iter().chain(spare).collect::<Vec<_>>().join(" · ");
    let keys = keys(at, offer);
    let inner = Rect { x: area.x + 1, width: area.width.saturating_sub(2), ..area };
    let largest = Size::Large(stage.room.name);
    let most = area.height.saturating_sub(4).max(3);
    let words = Lettering::fit(offer.words, inner.width, most.min(largest.rows() * 2), largest);
    let end_size = if stage.room.name > 1 { Size::Large(1) } else { Size::Small };
    let end_words = Lettering::fit(&end, inner.width, end_size.rows(), end_size);
    let detail = offer.detail.map_or(0, |detail| rows(detail, inner.width));
    let height = (2 + words.rows() + detail + end_words.rows() + rows(&keys, inner.width)).min(area.height);
    let panel = Rect { y: area.bottom().saturating_sub(height), height, ..area };
    for y in panel.top()..panel.bottom() {
        for x in panel.left()..panel.right() {
            if let Some(cell) = stage.buffer.cell_mut((x, y)) {
                cell.reset();
                cell.set_style(look.text());
            }
        }
    }
    let line = "━".repeat(usize::from(panel.width));
    stage.put(panel.x, panel.y, &line, look.hue(at.span.block));
    let mut rest = Rect { x: inner.x, width: inner.width, ..below(panel, 1) };
    let used = words.draw(stage.buffer, rest, Alignment::Left, Fill::Solid, look.strong());
    rest = below(rest, used);
    if let Some(detail) = offer.detail {
        let used = stage.put_wrapped(rest, detail, look.text());
        rest = below(rest, used);
    }
    let style = if offer.spare_ms.is_some_and(|spare| spare < 0) { look.alarm() } else { look.text() };
    let used = end_words.draw(stage.buffer, rest, Alignment::Left, Fill::Solid, style);
    rest = below(rest, used);
    stage.put_wrapped(rest, &keys, look.faint());
}

/// Which of the offers it is, and the three keys.
fn keys(at: &At, offer: &Offered) -> String {
    let key = |press| at.moment.keymap.label(press);
    let number = (offer.index + 1).to_string();
    fill(
        &WORDS.screen.offer,
        &[
            ("number", &number),
            ("count", &offer.count.to_string()),
            ("take", key(Press::Go)),
            ("step", key(Press::Offer)),
            ("close", key(Press::Close)),
        ],
    )
}

fn rows(words: &str, columns: u16) -> u16 {
    u16::try_from(text::wrapped(words, columns).len()).unwrap_or(u16::MAX)
}
