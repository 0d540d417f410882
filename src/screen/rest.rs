//! Rests and briefings: the time left, and what comes next with all the coach may want to say about it.

use ratatui::layout::{Alignment, Rect};

use super::coming::Coming;
use super::lettering::{Fill, Lettering, Size};
use super::scene::{At, Scene};
use super::stage::{Stage, below, beside};
use super::{labels, pane, roster, work};
use crate::cue::purpose_words;
use crate::schedule::Purpose;

pub(super) fn draw(stage: &mut Stage, body: Rect, at: &At) {
    let room = stage.room;
    let look = stage.look;
    let digit_rows = (4 * room.digits).min(body.height);
    let upper = Rect { height: body.height.saturating_sub(digit_rows + u16::from(room.airy)), ..body };
    let lower = below(body, body.height.saturating_sub(digit_rows));
    coming(stage, upper, at);
    let columns = work::count(stage, lower, at, at.left(), at.span.length(), Fill::Outlined);
    let beside_digits = beside(lower, columns + 3);
    let name = purpose_words(at.span.purpose);
    stage.put(beside_digits.x, beside_digits.y, name, look.strong());
    everything(stage, below(beside_digits, 2), at, at.now.less(at.span.start).0 / 1000);
}

/// Next: its name, and what changes.
pub(super) fn coming(stage: &mut Stage, area: Rect, at: &At) {
    let room = stage.room;
    let look = stage.look;
    let coming = match at.span.purpose {
        Purpose::Work => Coming::of(at, at.span),
        _ => Coming::after(at),
    };
    let mut x = stage.put(area.x, area.y, labels::NEXT, look.faint()) + 2;
    if let Some(block) = coming.block.filter(|&block| block != at.span.block) {
        x = stage.put(x, area.y, &format!(" {} ", super::letter(block)), look.on_hue(block)) + 1;
        x = stage.put(x, area.y, &at.schedule.session.blocks[block].name, look.strong()) + 2;
    }
    if !coming.full.eq_ignore_ascii_case(&coming.name) {
        stage.put(x, area.y, coming.full, look.text());
    }
    let area = below(area, 1);
    let change = coming.change.join(", ");
    let largest = Size::Large(room.name);
    let wanted = Lettering::fit(&change, area.width, area.height.saturating_sub(largest.rows()), largest).rows();
    let for_name = Rect { height: area.height.saturating_sub(if change.is_empty() { 0 } else { wanted }), ..area };
    let style = coming.block.map_or(look.text(), |block| look.hue(block));
    let rows = stage.letter(for_name, &coming.name, largest, style);
    let area = below(area, rows);
    let lettering = Lettering::fit(&change, area.width, area.height, largest);
    let air = u16::from(area.height > lettering.rows());
    lettering.draw(stage.buffer, below(area, air), Alignment::Left, Fill::Solid, look.text());
}

/// All there is to say of what comes.
pub(super) fn everything(stage: &mut Stage, area: Rect, at: &At, seconds: u64) {
    let Some(ahead) = at.ahead() else { return };
    match at.station(ahead) {
        Some(station) => {
            let mut entries = pane::before(&at.schedule.session, station);
            let begins = matches!(at.span.purpose, Purpose::Briefing | Purpose::BlockRest) || at.scene == Scene::Gate;
            if let Some(note) = at.block_at(ahead).note.as_ref().filter(|_| begins) {
                entries.insert(0, pane::Entry::new(labels::NOTE, note.as_str()));
            }
            pane::draw(stage, area, &entries, seconds);
        }
        None => roster::draw(stage, area, at, ahead, seconds),
    }
}
