//! The movement finder: the search text, the filters, and the matching movements, each with what it would change.

use class::cue::region_words;
use ratatui::layout::Rect;

use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::text;
use crate::plan::{FinderFilter, FinderPurpose, MovementFinder, Suggestion};
use class::movement::{Muscle, NO_KIT, Pattern, Position, Region};
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// Draws the finder into an area.
pub(super) fn draw(canvas: &mut Canvas, area: Rect, finder: &MovementFinder, target: FinderPurpose) {
    let (look, words) = (canvas.look, &WORDS.plan.screen);
    let target = match target {
        FinderPurpose::Add => &words.add,
        FinderPurpose::Replace => &words.replace,
        FinderPurpose::Block => &words.block,
    };
    let x = canvas.put(area.x, area.y, &format!(" {target} "), look.alarm()) + 1;
    let typed = format!("{}▏", finder.query.words);
    canvas.put(x, area.y, &text::shortened(&typed, area.right().saturating_sub(x)), look.strong());
    let mut left = below(area, 1);
    let mut x = left.x;
    for chip in FinderFilter::ALL.into_iter().skip(1) {
        let (label, value) = chip_words(finder, chip);
        let here = chip == finder.chip;
        let shown = match &value {
            Some(value) => format!("{label}: {value}"),
            None if here => format!("{label}: {}", words.any),
            None => label.to_owned(),
        };
        let shown = if here { format!("[{shown}]") } else { shown };
        if x + text::columns(&shown) > left.right() && x > left.x {
            (left, x) = (below(left, 1), area.x);
        }
        let style = match (here, value.is_some()) {
            (true, _) => look.alarm(),
            (false, true) => look.strong(),
            (false, false) => look.faint(),
        };
        x = canvas.put(x, left.y, &shown, style) + 2;
    }
    left = below(left, 1);
    let count = fill(&words.hits, &[("count", &finder.hits.len().to_string())]);
    canvas.put(left.x, left.y, &count, look.faint());
    hits(canvas, below(left, 1), finder);
}

fn hits(canvas: &mut Canvas, area: Rect, finder: &MovementFinder) {
    let look = canvas.look;
    // Scroll so that the chosen movement stays in the upper two thirds.
    let shown = usize::from(area.height / 2).max(1);
    let first = finder.chosen.saturating_sub(shown * 2 / 3);
    let mut left = area;
    for (index, hit) in finder.hits.iter().enumerate().skip(first) {
        if left.height < 2 {
            break;
        }
        let chosen = index == finder.chosen;
        if chosen {
            canvas.put(left.x, left.y, "▌", look.strong());
            canvas.put(left.x, left.y + 1, "▌", look.strong());
        }
        let words = beside(left, 2);
        let style = if chosen { look.strong() } else { look.text() };
        canvas.put(words.x, words.y, &text::shortened(&hit.name, words.width), style);
        let about = about(hit);
        canvas.put(words.x, words.y + 1, &text::shortened(&about, words.width), look.faint());
        left = below(left, 2);
    }
}

/// What a movement would change, and what to do instead of it for each region to look after.
fn about(hit: &Suggestion) -> String {
    let words = &WORDS.plan.screen;
    let change = match (hit.change.is_empty(), hit.needs) {
        (true, _) => words.no_change.clone(),
        (false, Tick::ZERO) => hit.change.clone(),
        (false, needs) => fill(&words.change, &[("change", &hit.change), ("needs", &clock(needs))]),
    };
    let minded = hit.alternatives.iter().map(|(region, instead)| {
        let instead = instead.as_ref().unwrap_or(&words.leave_out);
        format!("{} → {instead}", region_words(*region))
    });
    std::iter::once(change).chain(minded).collect::<Vec<_>>().join(" · ")
}

fn chip_words(finder: &MovementFinder, chip: FinderFilter) -> (&'static str, Option<String>) {
    let (words, query) = (&WORDS.plan.screen.chips, &finder.query);
    match chip {
        FinderFilter::Words => (&words.words, None),
        FinderFilter::Pattern => (&words.pattern, query.pattern.map(Pattern::words)),
        FinderFilter::Position => (&words.position, query.position.map(Position::words)),
        FinderFilter::Kit => {
            (&words.kit, query.kit.as_ref().map(|kit| if kit == NO_KIT { kit.clone() } else { kit.replace('_', " ") }))
        }
        FinderFilter::Muscle => (&words.muscle, query.muscle.map(Muscle::words)),
        FinderFilter::LookAfter => (&words.look_after, finder.region.map(Region::words)),
    }
}

/// Draws the keys of the finder.
pub(super) fn keys(canvas: &mut Canvas, y: u16, finder: &MovementFinder) {
    let words = &WORDS.plan.screen;
    let keys = if finder.chip == FinderFilter::Words { &words.finder_keys } else { &words.chip_keys };
    let x = canvas.layout.inner.x;
    canvas.put(x, y, keys, canvas.look.faint());
}
