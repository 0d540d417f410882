//! The screens while class time stands still: counting in, waiting at a gate, paused, stopped.

use ratatui::layout::{Alignment, Rect};

use super::scene::{Scene, SceneContext};
use super::{end_and_spare, rest, work};
use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering, SCALES};
use crate::lead::{ClassPhase, LeadCommand};
use class::cue::purpose_words;
use class::schedule::SpanPurpose;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

pub(super) fn draw(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    match (at.scene, at.moment.phase) {
        (Scene::CountIn, ClassPhase::CountIn { left }) => count_in(canvas, body, at, Tick::of(left)),
        (Scene::Gate, ClassPhase::Gate { waited }) => gate(canvas, body, at, waited.as_secs()),
        (Scene::Stopped, ClassPhase::Paused { lasted, .. }) => stopped(canvas, body, at, lasted.as_secs()),
        (_, ClassPhase::Paused { lasted, .. }) => paused(canvas, body, at, lasted.as_secs()),
        _ => {}
    }
}

/// Fills the label of the go key into a text.
fn resume_words(at: &SceneContext, wording: &str) -> String {
    fill(wording, &[("key", at.moment.keymap.label(LeadCommand::Go))])
}

/// Draws the last seconds before class time runs: the number, and what the class begins or resumes with.
fn count_in(canvas: &mut Canvas, body: Rect, at: &SceneContext, left: Tick) {
    let room = canvas.layout;
    let rows = 4 * room.digits;
    let upper = Rect { height: body.height.saturating_sub(rows), ..body };
    rest::coming(canvas, upper, at);
    let lower = below(body, body.height.saturating_sub(rows));
    let columns = work::count(canvas, lower, at, left, left, FillStyle::Outlined);
    let look = canvas.look;
    let lower = beside(lower, columns + 3);
    canvas.letter(
        Rect { height: 4.min(lower.height), ..lower },
        &WORDS.screen.signs.get_ready,
        LetterSize::Large(1),
        look.text(),
    );
    rest::everything(canvas, below(lower, 5), at, 0);
}

/// Draws a block that waits for the coach.
fn gate(canvas: &mut Canvas, body: Rect, at: &SceneContext, waited: u64) {
    let room = canvas.layout;
    let look = canvas.look;
    let rows = (4 * room.digits).min(body.height);
    let upper = Rect { height: body.height.saturating_sub(rows), ..body };
    rest::coming(canvas, upper, at);
    let lower = below(body, body.height.saturating_sub(rows));
    let waiting = clock(Tick::seconds(waited));
    let hue = look.hue(at.span.block);
    let size = LetterSize::Large(room.digits);
    let lettering = Lettering::fit(&waiting, lower.width / 2, rows, size);
    lettering.draw(canvas.buffer, lower, Alignment::Left, FillStyle::Outlined, hue);
    let lower = beside(lower, lettering.columns() + 4);
    let rows = canvas.heading(lower, &WORDS.screen.signs.gate, &resume_words(at, &WORDS.screen.lines.gate_key));
    rest::everything(canvas, below(lower, rows + 1), at, waited);
}

/// Draws a pause: how long it has lasted, what it costs, and where the class is.
fn paused(canvas: &mut Canvas, body: Rect, at: &SceneContext, seconds: u64) {
    let room = canvas.layout;
    let look = canvas.look;
    let size = LetterSize::Large(room.digits);
    let word = Rect { height: size.rows().min(body.height), ..body };
    let clock_words = clock(Tick::seconds(seconds));
    let clock_columns = size.columns(&clock_words).unwrap_or(0);
    let held = Rect { width: word.width.saturating_sub(clock_columns + 2), ..word };
    let rows = canvas.letter(held, &WORDS.screen.signs.paused, size, look.strong());
    canvas.letter_in(word, &clock_words, size, Alignment::Right, FillStyle::Solid, look.strong());
    let area = below(body, rows.max(size.rows()));
    let cost = cost(at);
    let cost_rows = canvas.letter(Rect { height: area.height.min(3), ..area }, &cost, LetterSize::Small, look.text());
    // The countdown stands still: outlined, with the name of what is paused.
    let area = below(area, cost_rows);
    let size = LetterSize::Large(room.name);
    let rows = (size.rows() + 1).min(area.height);
    let frozen = below(area, area.height - rows);
    let digits = Lettering::fit(&work::digits(at.left()), frozen.width, frozen.height, size);
    let hue = look.hue(at.span.block);
    digits.draw(canvas.buffer, frozen, Alignment::Left, FillStyle::Outlined, hue);
    let name = beside(frozen, digits.columns() + 4);
    let words = if at.span.purpose == SpanPurpose::Work { at.short(at.span) } else { purpose_words(at.span.purpose) };
    canvas.letter(name, words, size, look.text());
}

/// The new end of the class, and the time lost to pauses and waits.
fn cost(at: &SceneContext) -> String {
    let mut words = end_and_spare::end_and_spare(at.moment);
    words.push(end_and_spare::lost_words(at.moment));
    words.join(" · ")
}

/// Draws the emergency stop: the session's emergency text, as large as possible.
fn stopped(canvas: &mut Canvas, body: Rect, at: &SceneContext, seconds: u64) {
    let look = canvas.look;
    let text = at.schedule.session.emergency.as_deref().filter(|text| !text.trim().is_empty());
    let since = clock(Tick::seconds(seconds));
    let x = canvas.put(body.x, body.y, &format!(" {} ", &WORDS.screen.signs.stopped), look.alarm()) + 2;
    let x = canvas.put(x, body.y, &since, look.strong()) + 2;
    canvas.put(x, body.y, &resume_words(at, &WORDS.screen.lines.stopped_key), look.faint());
    let area = below(body, 2);
    let largest = SCALES.into_iter().rev().find(|&scale| scale <= canvas.layout.name * 2).unwrap_or(1);
    let words = text.unwrap_or(&WORDS.screen.lines.no_emergency_text);
    let whole = Lettering::fit(words, area.width, area.height, LetterSize::Large(largest));
    if whole.size > LetterSize::Plain {
        whole.draw(canvas.buffer, area, Alignment::Left, FillStyle::Solid, look.strong());
        return;
    }
    // The whole text does not fit in large letters: enlarge each line that leaves the other lines their rows.
    let mut area = area;
    let mut left: u16 = whole.rows();
    for line in words.lines() {
        left = left.saturating_sub(Lettering::fit(line, area.width, 0, LetterSize::Plain).rows());
        let room = Rect { height: area.height.saturating_sub(left), ..area };
        let rows = canvas.letter(room, line, LetterSize::Large(1), look.strong());
        area = below(area, rows);
    }
}
