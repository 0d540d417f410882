//! The pane: what the coach reads at arm's length. Each entry a label and its text; what does not fit is turned
//! over page by page, so that nothing is cut.

use ratatui::layout::{Alignment, Rect};

use super::lettering::{Fill, Lettering, Size};
use super::stage::{Stage, below, beside};
use super::text;
use crate::movement::{Caution, Instead};
use crate::schedule::Side;
use crate::session::{Session, Station};
use crate::words::WORDS;

/// One entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Entry {
    pub(super) label: &'static str,
    pub(super) text: String,
    /// Not to be missed.
    pub(super) strong: bool,
}

impl Entry {
    pub(super) fn new(label: &'static str, text: impl Into<String>) -> Entry {
        Entry { label, text: text.into(), strong: false }
    }
}

/// How many seconds a page is shown.
pub(super) const PAGE_S: u64 = 6;

/// What the coach may want while people work at a station: first what somebody in this class has to mind.
pub(super) fn working(session: &Session, station: &Station, side: Side) -> Vec<Entry> {
    let strong = |entry: Entry| Entry { strong: true, ..entry };
    let mut entries: Vec<Entry> = Vec::new();
    if session.mirror
        && let Some(words) = mirrored(side)
    {
        entries.push(strong(Entry::new(&WORDS.screen.pane.you, words)));
    }
    entries.extend(minded(session, station).map(|caution| strong(care(&WORDS.screen.pane.mind, caution))));
    entries.extend(station.prompts.iter().map(|prompt| Entry::new(&WORDS.screen.pane.say, prompt.as_str())));
    entries.extend(
        station
            .faults
            .iter()
            .map(|fault| Entry::new(&WORDS.screen.pane.watch, format!("{} → {}", fault.fault, fault.fix))),
    );
    entries.extend(tiers(session, station));
    entries
}

/// What the coach may want before a station: how to get into it, then the same, and every other caution.
pub(super) fn before(session: &Session, station: &Station, side: Side) -> Vec<Entry> {
    let mut entries = Vec::new();
    if !station.kit.is_empty() {
        entries.push(Entry::new(&WORDS.screen.pane.kit, super::ready::needs(&station.kit)));
    }
    if !station.movement.setup.is_empty() {
        entries.push(Entry::new(&WORDS.screen.pane.set_up, station.movement.setup.as_str()));
    }
    entries.extend(working(session, station, side));
    let others = station.movement.cautions.iter().filter(|caution| !session.mind.contains(&caution.region));
    entries.extend(others.map(|caution| care(&WORDS.screen.pane.care, caution)));
    entries
}

fn tiers(session: &Session, station: &Station) -> impl Iterator<Item = Entry> {
    let tier =
        |label, tier: &Option<crate::movement::Tier>| tier.as_ref().map(|tier| Entry::new(label, tier.what.as_str()));
    let variant = station.variant.as_ref().filter(|_| session.one_weight);
    [
        tier(&WORDS.screen.pane.easier, &station.easier),
        tier(&WORDS.screen.pane.harder, &station.harder),
        variant.map(|variant| Entry::new(&WORDS.screen.pane.variant, variant.as_str())),
    ]
    .into_iter()
    .flatten()
}

/// The side on which a coach who faces the class shows it.
fn mirrored(side: Side) -> Option<&'static str> {
    match side {
        Side::Left => Some(&WORDS.screen.pane.you_right),
        Side::Right => Some(&WORDS.screen.pane.you_left),
        _ => None,
    }
}

fn minded<'a>(session: &'a Session, station: &'a Station) -> impl Iterator<Item = &'a Caution> {
    station.movement.cautions.iter().filter(|caution| session.mind.contains(&caution.region))
}

fn care(label: &'static str, caution: &Caution) -> Entry {
    let instead = match &caution.instead {
        Instead::Movement { name, .. } => name.clone(),
        Instead::Text(text) => text.clone(),
        Instead::LeaveOut => WORDS.screen.pane.leave_out.clone(),
    };
    Entry::new(label, format!("{} → {instead}", WORDS.cue.regions[&caution.region].name))
}

/// Draws entries into an area, `seconds` into the time they are shown for; returns the rows taken.
pub(super) fn draw(stage: &mut Stage, area: Rect, entries: &[Entry], seconds: u64) -> u16 {
    if area.height == 0 || area.width < 4 {
        return 0;
    }
    let labels = entries.iter().map(|entry| text::columns(entry.label)).max().unwrap_or(0) + 2;
    let labels = labels.min(area.width / 2);
    let (lettered, area, entries) = letter(stage, area, entries, labels);
    let pages = pages(entries, area.width - labels, area.height);
    let Some(page) = pages.get((seconds / PAGE_S) as usize % pages.len().max(1)) else { return 0 };
    let mut before = None;
    for (y, line) in (area.y..area.bottom()).zip(page) {
        let look = stage.look;
        if line.first || y == area.y {
            if before != Some(line.label) || line.label == WORDS.screen.pane.mind {
                text::put(stage.buffer, area.x, y, line.label, look.faint(), area.x + labels);
            }
            before = Some(line.label);
        }
        let style = if line.strong { look.strong() } else { look.text() };
        text::put(stage.buffer, area.x + labels, y, &line.text, style, area.right());
    }
    if pages.len() > 1 {
        let number = format!("{}/{}", (seconds / PAGE_S) as usize % pages.len() + 1, pages.len());
        let faint = stage.look.faint();
        stage.put_right(area.right(), area.bottom() - 1, &number, faint);
    }
    lettered + u16::try_from(page.len()).unwrap_or(area.height)
}

/// Fewer entries than this in lettering, above others in text, look like a mistake.
const LETTERED_AT_LEAST: usize = 3;

/// Draws as many entries from the first on in lettering as leave the others their rows; returns the rows taken, and
/// what is left of the area and of the entries.
fn letter<'a>(stage: &mut Stage, area: Rect, entries: &'a [Entry], labels: u16) -> (u16, Rect, &'a [Entry]) {
    let columns = area.width - labels;
    let height = Size::Small.rows();
    let mut left: usize = entries.iter().map(|entry| text::wrapped(&entry.text, columns).len()).sum();
    let mut lines: Vec<(&Entry, Lettering)> = Vec::new();
    for entry in entries {
        left -= text::wrapped(&entry.text, columns).len();
        let line = Lettering::fit(&entry.text, columns, height, Size::Small);
        let needs = (lines.len() + 1) * usize::from(height) + left;
        if line.size != Size::Small || needs > usize::from(area.height) {
            break;
        }
        lines.push((entry, line));
    }
    if lines.len() < LETTERED_AT_LEAST {
        return (0, area, entries);
    }
    let mut place = area;
    let mut before = None;
    for (entry, line) in &lines {
        if before != Some(entry.label) {
            text::put(stage.buffer, area.x, place.y + 1, entry.label, stage.look.faint(), area.x + labels);
        }
        before = Some(entry.label);
        let style = if entry.strong { stage.look.strong() } else { stage.look.text() };
        line.draw(stage.buffer, beside(place, labels), Alignment::Left, Fill::Solid, style);
        place = below(place, height);
    }
    (place.y - area.y, place, &entries[lines.len()..])
}

/// A line of an entry.
#[derive(Clone, Debug)]
struct Line {
    label: &'static str,
    text: String,
    first: bool,
    strong: bool,
}

/// Entries in lines, on pages of so many rows. Where there is more than one page, its number takes the last row.
fn pages(entries: &[Entry], columns: u16, rows: u16) -> Vec<Vec<Line>> {
    let broken: Vec<Vec<Line>> = entries
        .iter()
        .map(|entry| {
            let lines = text::wrapped(&entry.text, columns).into_iter().enumerate();
            lines.map(|(row, text)| Line { label: entry.label, text, first: row == 0, strong: entry.strong }).collect()
        })
        .collect();
    let all: usize = broken.iter().map(Vec::len).sum();
    if all <= usize::from(rows) {
        return vec![broken.into_iter().flatten().collect()];
    }
    let rows = usize::from(rows.saturating_sub(1).max(1));
    let mut pages: Vec<Vec<Line>> = vec![Vec::new()];
    for entry in broken {
        let taken = pages.last().map_or(0, Vec::len);
        // An entry stays whole where a page can hold it.
        if taken > 0 && taken + entry.len() > rows {
            pages.push(Vec::new());
        }
        for line in entry {
            if pages.last().is_some_and(|page| page.len() == rows) {
                pages.push(Vec::new());
            }
            if let Some(page) = pages.last_mut() {
                page.push(line);
            }
        }
    }
    pages
}
