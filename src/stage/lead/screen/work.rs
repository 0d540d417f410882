//! The screens of work, from getting into position to the last seconds.

use ratatui::layout::{Alignment, Flex, Layout, Rect};

use super::scene::{Scene, SceneContext, switch_of_all};
use super::upcoming::UpcomingWork;
use super::{prompts, tempo_guide, upcoming};
use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering, SCALES};
use crate::drawing::pane;
use class::cue::changeover_words;
use class::schedule::{Activity, WorkingSide};
use class::time::Tick;
use class::words::{WORDS, fill};

pub(super) fn draw(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    match at.scene {
        Scene::Settle | Scene::Switch => settle(canvas, body, at),
        Scene::Last => last(canvas, body, at),
        _ => work(canvas, body, at),
    }
}

/// The number that a countdown shows: seconds up to 60, minutes and seconds above.
pub(super) fn digits(left: Tick) -> String {
    match left.countdown_seconds() {
        seconds @ 0..=60 => seconds.to_string(),
        seconds => format!("{}:{:02}", seconds / 60, seconds % 60),
    }
}

/// Draws the digits at the left of an area, in as many columns as `longest` needs; returns these columns.
pub(super) fn count(
    canvas: &mut Canvas,
    area: Rect,
    at: &SceneContext,
    left: Tick,
    longest: Tick,
    fill: FillStyle,
) -> u16 {
    let scale = canvas.layout.digits;
    let widest = |words: &str| LetterSize::Large(scale).columns(words).unwrap_or(0);
    let widest_digits = if longest.countdown_seconds() >= 60 {
        digits(longest).chars().map(|c| if c == ':' { c } else { '0' }).collect()
    } else {
        "00".to_owned()
    };
    // An outline is one dot wider on each side.
    let columns = (widest(&widest_digits) + 1).min(area.width);
    let style = canvas.look.hue(at.span.block);
    let place = Rect { width: columns, ..area };
    canvas.letter_in(place, &digits(left), LetterSize::Large(scale), Alignment::Right, fill, style);
    columns
}

/// Draws the name across the area, with the side beside it at the edge of the working side. Returns the rows taken and,
/// if there was no room for it, the side still to be drawn.
fn name(
    canvas: &mut Canvas,
    area: Rect,
    at: &SceneContext,
    words: &str,
    largest: LetterSize,
) -> (u16, Option<&'static str>) {
    let look = canvas.look;
    let side = side_word(at.side(at.ahead().unwrap_or(at.span)));
    if let Some(side) = side {
        for size in LetterSize::down_from(largest) {
            let columns = size.columns(side).unwrap_or(0);
            let room = area.width.saturating_sub(columns + 3);
            let name = Lettering::fit(words, room, size.rows(), size);
            if name.size != size || size.rows() > area.height {
                continue;
            }
            let left = side == WORDS.screen.signs.left;
            let place = if left { beside(area, columns + 3) } else { Rect { width: room, ..area } };
            name.draw(canvas.buffer, place, Alignment::Left, FillStyle::Solid, look.text());
            let place = if left { area } else { beside(area, area.width - columns) };
            let hue = look.hue(at.span.block);
            canvas.letter(place, side, size, hue);
            return (size.rows(), None);
        }
    }
    let rows = canvas.letter(Rect { height: largest.rows().min(area.height), ..area }, words, largest, look.text());
    (rows, side)
}

fn side_word(side: WorkingSide) -> Option<&'static str> {
    match side {
        WorkingSide::Left => Some(&WORDS.screen.signs.left),
        WorkingSide::Right => Some(&WORDS.screen.signs.right),
        _ => None,
    }
}

/// Draws the side at its edge of the rows of the digits, if there was no room for it beside the name. Returns the area
/// that is left.
fn side_at_edge(canvas: &mut Canvas, area: Rect, at: &SceneContext, side: Option<&'static str>) -> Rect {
    let Some(side) = side else { return area };
    let columns = LetterSize::Large(1).columns(side).unwrap_or(0) + 2;
    let hue = canvas.look.hue(at.span.block);
    if columns + 20 > area.width {
        return area;
    }
    if side == WORDS.screen.signs.left {
        canvas.letter(Rect { width: columns, ..area }, side, LetterSize::Large(1), hue);
        beside(area, columns)
    } else {
        canvas.letter(beside(area, area.width - columns + 2), side, LetterSize::Large(1), hue);
        Rect { width: area.width - columns, ..area }
    }
}

fn rows<const N: usize>(body: Rect, lengths: [u16; N]) -> [Rect; N] {
    Layout::vertical(lengths.map(ratatui::layout::Constraint::Length)).flex(Flex::SpaceBetween).areas(body)
}

fn work(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let room = canvas.layout;
    let then_rows = if room.guide > 1 { 3 } else { 1 };
    let [top, middle, low, then] = rows(body, [4 * room.name, 4 * room.digits, room.guide, then_rows]);
    let (_, side) = name(canvas, top, at, at.short(at.span), LetterSize::Large(room.name));
    let middle = side_at_edge(canvas, middle, at, side);
    let columns = count(canvas, middle, at, at.left(), at.span.length(), FillStyle::Solid);
    // The pane also uses the empty rows around the digits.
    let pane_area =
        Rect { height: low.y.saturating_sub(middle.y + u16::from(room.airy)), ..beside(middle, columns + 3) };
    pane::draw(canvas, pane_area, &prompts::working(at), seconds_shown(at));
    let columns = reps(canvas, low, at);
    tempo_guide::draw(canvas, beside(low, if columns > 0 { columns + 4 } else { 0 }), at);
    upcoming::line(canvas, then, at);
}

/// Draws the largest number of repetitions, and how the sides share them; returns the columns taken.
fn reps(canvas: &mut Canvas, area: Rect, at: &SceneContext) -> u16 {
    let mut words = Vec::new();
    if let Some(reps) = at.span.reps.filter(|&reps| reps > 0) {
        words.push(fill(&WORDS.screen.amounts.up_to, &[("number", &reps.to_string())]));
    }
    match at.span.side {
        WorkingSide::Alternating => words.push(WORDS.screen.amounts.by_turns.clone()),
        WorkingSide::LeftThenRight { .. } if switch_of_all(at.span).is_some() => {
            words.push(WORDS.screen.amounts.each_side.clone())
        }
        _ => {}
    }
    let words = words.join(" ");
    let look = canvas.look;
    let lettering = Lettering::fit(&words, area.width, area.height, LetterSize::Small);
    let drop = area.height.saturating_sub(lettering.rows());
    lettering.draw(canvas.buffer, below(area, drop), Alignment::Left, FillStyle::Solid, look.text());
    lettering.columns()
}

/// Draws getting into position: the new name and the changes are largest, the digits are small beside what the coach
/// may say.
fn settle(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let Some(ahead) = at.ahead() else { return };
    let room = canvas.layout;
    let look = canvas.look;
    let scale = (room.digits / 2).max(1);
    let digit_rows = 4 * scale;
    let upper = Rect { height: body.height.saturating_sub(digit_rows + 1), ..body };
    let lower = below(body, body.height.saturating_sub(digit_rows));
    let largest = SCALES.into_iter().rev().find(|&scale| scale <= room.name * 2).unwrap_or(1);
    let (words, change) = match (at.scene, ahead.activity) {
        (Scene::Switch, _) => (WORDS.screen.signs.switch.clone(), at.short(ahead).to_owned()),
        (_, Activity::Turn(turn)) if turn > 0 => (at.short(ahead).to_owned(), WORDS.screen.lines.move_on.clone()),
        _ => (at.short(ahead).to_owned(), changeover_words(&ahead.change)),
    };
    let smallest = LetterSize::Large(room.name).rows() + 1;
    let change =
        Lettering::fit(&change, upper.width, upper.height.saturating_sub(smallest), LetterSize::Large(room.name));
    let for_name = Rect { height: upper.height.saturating_sub(change.rows() + 1), ..upper };
    let (rows, side) = name(canvas, for_name, at, &words, LetterSize::Large(largest));
    let spare = upper.height.saturating_sub(rows + change.rows());
    let hue = look.hue(ahead.block);
    change.draw(canvas.buffer, below(upper, rows + spare / 2), Alignment::Left, FillStyle::Solid, hue);
    let lower = side_at_edge(canvas, lower, at, side);
    let digits = Lettering::fit(&digits(at.left()), lower.width / 3, digit_rows, LetterSize::Large(scale));
    digits.draw(canvas.buffer, lower, Alignment::Left, FillStyle::Hatched, hue);
    let pane_area = beside(lower, digits.columns() + 4);
    pane::draw(canvas, pane_area, &prompts::settling(at, ahead), seconds_shown(at));
}

/// Draws the last seconds: the digits and what comes next, as large as there is room for.
fn last(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let room = canvas.layout;
    let look = canvas.look;
    let coming = UpcomingWork::after(at);
    let change = coming.change.join(", ");
    let large = LetterSize::Large(room.name);
    let digit_rows = 4 * room.digits;
    let beneath = |name: LetterSize| body.height.saturating_sub(name.rows() + digit_rows);
    // The name of the work that ends gets smaller if the changes then become readable from afar.
    let fits = |name: LetterSize| Lettering::fit(&change, body.width, beneath(name), large).size > LetterSize::Plain;
    let size = if fits(large) || !fits(LetterSize::Small) { large } else { LetterSize::Small };
    let [top, middle, low] = rows(body, [size.rows(), digit_rows, beneath(size)]);
    let (_, side) = name(canvas, top, at, at.short(at.span), size);
    let middle = side_at_edge(canvas, middle, at, side);
    let columns = count(canvas, middle, at, at.left(), at.span.length(), FillStyle::Solid);
    let right = beside(middle, columns + 3);
    let then = canvas.heading(right, &WORDS.screen.signs.then, coming.rest.as_deref().unwrap_or_default());
    let under = below(right, then);
    let hue = coming.block.map_or(look.text(), |block| look.hue(block));
    let rows = canvas.letter(under, &coming.name, large, hue);
    // The changes go beside the digits if they are at least as large there as below them. What the coach may read ahead
    // goes into the larger place left.
    let here = below(under, rows);
    let near = Lettering::fit(&change, here.width, here.height, large);
    let wide = Lettering::fit(&change, low.width, low.height, large);
    let beside_digits = near.size >= wide.size;
    let (lettering, area) = if beside_digits { (near, here) } else { (wide, low) };
    let air = u16::from(area.height > lettering.rows());
    lettering.draw(canvas.buffer, below(area, air), Alignment::Left, FillStyle::Solid, look.text());
    let left = below(area, if change.is_empty() { 0 } else { air + lettering.rows() + air });
    let other = if beside_digits { low } else { here };
    let largest = [left, other].into_iter().max_by_key(|place| u32::from(place.width) * u32::from(place.height));
    pane::draw(canvas, largest.unwrap_or(left), &prompts::last(at), seconds_shown(at));
}

/// How long this picture has been shown, in seconds.
fn seconds_shown(at: &SceneContext) -> u64 {
    at.now.saturating_sub(at.scene_start()).0 / 1000
}
