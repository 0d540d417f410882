//! Where different people do different things: all stations of a block at one's own pace, or who is where.

use ratatui::layout::{Alignment, Rect};

use super::lettering::{Fill, Lettering, Size};
use super::scene::At;
use super::stage::{Stage, below, beside};
use super::text;
use crate::schedule::{Doing, Span};
use crate::session::{Station, Work};
use crate::time::clock;
use crate::words::{WORDS, fill};

/// How many seconds a page of the list is shown.
const PAGE_S: u64 = 6;

/// Draws the list of stations of a span's block into an area, `seconds` into the time it is shown for.
pub(super) fn draw(stage: &mut Stage, area: Rect, at: &At, span: &Span, seconds: u64) {
    if area.height == 0 || area.width < 4 {
        return;
    }
    let stations = &at.block_at(span).stations;
    let lines: Vec<(String, String)> = stations
        .iter()
        .enumerate()
        .map(|(index, station)| (who(span, index, stations).0, format!("{}{}", station.movement.name, place(station))))
        .collect();
    let labels = lines.iter().map(|(who, _)| text::columns(who)).max().unwrap_or(0) + 2;
    let mut rows: Vec<(&str, String)> = Vec::new();
    for (who, what) in &lines {
        let broken = text::wrapped(what, area.width.saturating_sub(labels));
        rows.extend(broken.into_iter().enumerate().map(|(row, line)| (if row == 0 { who.as_str() } else { "" }, line)));
    }
    let fits = rows.len() <= usize::from(area.height);
    let a_page = if fits { rows.len().max(1) } else { usize::from(area.height - 1).max(1) };
    let pages = rows.len().div_ceil(a_page).max(1);
    let page = (seconds / PAGE_S) as usize % pages;
    if letter(stage, area, at, span) {
        return;
    }
    let look = stage.look;
    for (y, (who, what)) in (area.y..area.bottom()).zip(rows.iter().skip(page * a_page).take(a_page)) {
        text::put(stage.buffer, area.x, y, who, look.faint(), area.x + labels);
        text::put(stage.buffer, area.x + labels, y, what, look.text(), area.right());
    }
    if pages > 1 {
        stage.put_right(area.right(), area.bottom() - 1, &format!("{}/{pages}", page + 1), look.faint());
    }
}

/// The same in lettering, by short names, if all of it fits; says whether it did.
fn letter(stage: &mut Stage, area: Rect, at: &At, span: &Span) -> bool {
    let stations = &at.block_at(span).stations;
    let rows = Size::Small.rows();
    let lines: Vec<(Lettering, Lettering)> = stations
        .iter()
        .enumerate()
        .map(|(index, station)| {
            let fit = |words: &str| Lettering::fit(words, area.width, rows, Size::Small);
            (fit(&who(span, index, stations).1), fit(&format!("{}{}", station.short, place(station))))
        })
        .collect();
    let labels = lines.iter().map(|(who, _)| who.columns()).max().unwrap_or(0) + 3;
    let small = |line: &Lettering| line.size == Size::Small && line.lines.len() == 1;
    let fits =
        |(who, what): &(Lettering, Lettering)| small(who) && small(what) && labels + what.columns() <= area.width;
    if lines.len() * usize::from(rows) > usize::from(area.height) || !lines.iter().all(fits) {
        return false;
    }
    let (faint, text) = (stage.look.faint(), stage.look.text());
    let mut area = area;
    for (who, what) in lines {
        who.draw(stage.buffer, area, Alignment::Left, Fill::Solid, faint);
        what.draw(stage.buffer, beside(area, labels), Alignment::Left, Fill::Solid, text);
        area = below(area, rows);
    }
    true
}

/// Which group is at a station, or how much of it everybody does: in words, and as short as it can be.
fn who(span: &Span, index: usize, stations: &[Station]) -> (String, String) {
    let same = |words: String| (words.clone(), words);
    match (span.doing, stations[index].work) {
        // Group g stands at station g + t, counted round.
        (Doing::Turn(turn), _) => {
            let group = (index + stations.len() - turn % stations.len()) % stations.len();
            let number = (group + 1).to_string();
            (fill(&WORDS.screen.amounts.group, &[("number", &number)]), number)
        }
        (_, Work::Reps(reps)) => same(format!("{reps} ×")),
        (_, Work::Time(length)) => same(clock(length)),
    }
}

fn place(station: &Station) -> String {
    station.place.as_ref().map(|place| format!(" · {place}")).unwrap_or_default()
}
