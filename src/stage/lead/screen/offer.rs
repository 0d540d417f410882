//! The screen of an offer: what would change, and when the class would end. The offer replaces the picture, in letters
//! that can be read from where the coach stands.

use ratatui::layout::{Alignment, Rect};

use super::scene::SceneContext;
use super::{end_and_spare, work};
use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering};
use crate::drawing::text;
use crate::lead::{ClassPhase, LeadCommand, ShownOffer};
use class::cue::purpose_words;
use class::schedule::SpanPurpose;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// Draws the offer into an area, with what is running above it if there is room.
pub(super) fn draw(canvas: &mut Canvas, area: Rect, at: &SceneContext, offer: &ShownOffer) {
    let look = canvas.look;
    let ends = offer.ends_at.as_ref().map(|ends| fill(&WORDS.screen.time.ends, &[("time", ends)]));
    let spare = end_and_spare::spare_words(offer.spare);
    let end = ends.into_iter().chain(spare).collect::<Vec<_>>().join(" · ");
    let keys = keys(at, offer);
    let inner = Rect { x: area.x + 1, width: area.width.saturating_sub(2), ..area };
    let largest = LetterSize::Large(canvas.layout.name);
    let end_size = if canvas.layout.name > 1 { LetterSize::Large(1) } else { LetterSize::Small };
    // What is running keeps rows above the offer, except on the smallest screens.
    let above = if area.height < 16 { 0 } else { LetterSize::Large(1).rows() + 2 };
    let most = area.height.saturating_sub(4 + end_size.rows() + above).max(3);
    let words = Lettering::fit(offer.words, inner.width, most.min(largest.rows() * 2), largest);
    let end_words = Lettering::fit(&end, inner.width, end_size.rows(), end_size);
    let detail = offer.detail.map_or(0, |detail| rows(detail, inner.width));
    let height = (2 + words.rows() + detail + end_words.rows() + rows(&keys, inner.width)).min(area.height);
    for y in area.top()..area.bottom() {
        for x in area.left()..area.right() {
            if let Some(cell) = canvas.buffer.cell_mut((x, y)) {
                cell.reset();
                cell.set_style(look.text());
            }
        }
    }
    let panel = Rect { y: area.bottom().saturating_sub(height), height, ..area };
    running(canvas, Rect { height: area.height - height, ..area }, at);
    let line = "━".repeat(usize::from(panel.width));
    canvas.put(panel.x, panel.y, &line, look.hue(at.span.block));
    let mut rest = Rect { x: inner.x, width: inner.width, ..below(panel, 1) };
    let used = words.draw(canvas.buffer, rest, Alignment::Left, FillStyle::Solid, look.strong());
    rest = below(rest, used);
    if let Some(detail) = offer.detail {
        let used = canvas.put_wrapped(rest, detail, look.text());
        rest = below(rest, used);
    }
    let style = if offer.spare.is_some_and(|spare| spare.is_negative()) { look.alarm() } else { look.text() };
    let used = end_words.draw(canvas.buffer, rest, Alignment::Left, FillStyle::Solid, style);
    rest = below(rest, used);
    canvas.put_wrapped(rest, &keys, look.faint());
}

/// Draws the countdown and its name as large as there is room for: both stay readable while the offers are open.
fn running(canvas: &mut Canvas, area: Rect, at: &SceneContext) {
    let signs = &WORDS.screen.signs;
    let (number, words, filled) = match at.moment.phase {
        ClassPhase::Paused { lasted, .. } => {
            (clock(Tick::seconds(lasted.as_secs())), signs.paused.as_str(), FillStyle::Solid)
        }
        ClassPhase::Gate { waited } => (clock(Tick::seconds(waited.as_secs())), at.short(at.span), FillStyle::Outlined),
        ClassPhase::CountIn { left } => (work::digits(Tick::of(left)), signs.get_ready.as_str(), FillStyle::Outlined),
        _ if at.span.purpose == SpanPurpose::Work => (work::digits(at.left()), at.short(at.span), FillStyle::Solid),
        _ => (work::digits(at.left()), purpose_words(at.span.purpose), FillStyle::Outlined),
    };
    let (hue, text) = (canvas.look.hue(at.span.block), canvas.look.text());
    let digits = LetterSize::Large(canvas.layout.digits);
    let size = LetterSize::down_from(digits).find(|size| size.rows() <= area.height).unwrap_or(LetterSize::Plain);
    let count = Lettering::fit(&number, area.width, area.height, size);
    count.draw(canvas.buffer, area, Alignment::Left, filled, hue);
    let name = beside(area, count.columns() + 4);
    canvas.letter(name, words, LetterSize::Large(canvas.layout.name), text);
}

/// The number of the offer, and the three keys.
fn keys(at: &SceneContext, offer: &ShownOffer) -> String {
    let key = |press| at.moment.keymap.label(press);
    let number = (offer.index + 1).to_string();
    fill(
        &WORDS.screen.offer,
        &[
            ("number", &number),
            ("count", &offer.count.to_string()),
            ("take", key(LeadCommand::Go)),
            ("step", key(LeadCommand::Offer)),
            ("close", key(LeadCommand::Close)),
        ],
    )
}

fn rows(words: &str, columns: u16) -> u16 {
    u16::try_from(text::wrapped(words, columns).len()).unwrap_or(u16::MAX)
}
