//! Where different people do different things: all stations of a block at one's own pace, or who is where.

use ratatui::layout::Rect;

use super::scene::At;
use super::stage::Stage;
use super::text;
use crate::schedule::{Doing, Span};
use crate::session::Work;
use crate::time::clock;

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
        .map(|(index, station)| {
            let who = match span.doing {
                // Group g stands at station g + t, counted round.
                Doing::Turn(turn) => {
                    format!("group {}", (index + stations.len() - turn % stations.len()) % stations.len() + 1)
                }
                _ => match station.work {
                    Work::Reps(reps) => format!("{reps} ×"),
                    Work::Time(length) => clock(length),
                },
            };
            let place = station.place.as_ref().map(|place| format!(" · {place}")).unwrap_or_default();
            (who, format!("{}{place}", station.movement.name))
        })
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
    let look = stage.look;
    for (y, (who, what)) in (area.y..area.bottom()).zip(rows.iter().skip(page * a_page).take(a_page)) {
        text::put(stage.buffer, area.x, y, who, look.faint(), area.x + labels);
        text::put(stage.buffer, area.x + labels, y, what, look.text(), area.right());
    }
    if pages > 1 {
        stage.put_right(area.right(), area.bottom() - 1, &format!("{}/{pages}", page + 1), look.faint());
    }
}
