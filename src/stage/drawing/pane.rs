//! The pane: text that the coach reads at arm's length. Each entry has a label and a text. Entries that do not fit are
//! shown page by page, so that nothing is cut.

use ratatui::layout::{Alignment, Rect};
use ratatui::style::Style;

use super::canvas::{Canvas, below, beside};
use super::lettering::{FillStyle, LetterSize, Lettering};
use super::palette::ScreenTheme;
use super::text;

/// One entry of the pane.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PaneEntry {
    pub(crate) label: String,
    pub(crate) text: String,
    /// A shorter text for lettering, if there is one.
    pub(crate) short: Option<String>,
    pub(crate) weight: Emphasis,
    /// Whether the entry is left out if the entries do not all fit.
    pub(crate) gives_way: bool,
}

/// How much an entry stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Emphasis {
    /// The entry is past, or only an explanation.
    Faint,
    Plain,
    /// The entry must not be missed: its label is shown even if the entry above has the same label.
    Strong,
}

impl Emphasis {
    fn style(self, look: ScreenTheme) -> Style {
        match self {
            Emphasis::Faint => look.faint(),
            Emphasis::Plain => look.text(),
            Emphasis::Strong => look.strong(),
        }
    }
}

impl PaneEntry {
    pub(crate) fn new(label: impl Into<String>, text: impl Into<String>) -> PaneEntry {
        PaneEntry { label: label.into(), text: text.into(), short: None, weight: Emphasis::Plain, gives_way: false }
    }

    pub(crate) fn strong(self) -> PaneEntry {
        PaneEntry { weight: Emphasis::Strong, ..self }
    }
}

/// Draws entries into an area; returns the rows taken. `seconds` is how long the entries have been shown: it selects
/// the page.
pub(crate) fn draw(canvas: &mut Canvas, area: Rect, entries: &[PaneEntry], seconds: u64) -> u16 {
    if area.height == 0 || area.width < 4 {
        return 0;
    }
    let labels = labels(entries).min(area.width / 2);
    let (lettered, entries) = fit_entries(entries, area.width - labels, area.height);
    let rest = letter(canvas, area, &lettered, labels);
    let rows = rest.y - area.y;
    rows + draw_page(canvas, rest, &entries, labels, seconds)
}

/// The columns that the labels of entries take.
pub(crate) fn labels(entries: &[PaneEntry]) -> u16 {
    entries.iter().map(|entry| text::columns(&entry.label)).max().unwrap_or(0) + 2
}

/// The entries in lettering, and the entries in text that follow them.
type LetteredEntries<'a> = (Vec<(&'a PaneEntry, Lettering)>, Vec<&'a PaneEntry>);

/// Lays out all entries if they fit; otherwise only the entries that do not give way.
fn fit_entries(entries: &[PaneEntry], columns: u16, rows: u16) -> LetteredEntries<'_> {
    let all = lettered(entries.iter().collect(), columns, rows);
    if all.1.is_empty() {
        return all;
    }
    let needed = lettered(entries.iter().filter(|entry| !entry.gives_way).collect(), columns, rows);
    let fits = text_rows(&all.1, columns) <= usize::from(rows);
    if needed.0.is_empty() && fits { all } else { needed }
}

/// The fewest entries in lettering above entries in text. Fewer would look like a mistake.
const LETTERED_AT_LEAST: usize = 3;

/// Puts entries into lettering, from the first on, as long as the others keep enough rows for their text.
fn lettered(entries: Vec<&PaneEntry>, columns: u16, rows: u16) -> LetteredEntries<'_> {
    let mut text = text_rows(&entries, columns);
    let mut taken = 0;
    let mut lettered: Vec<(&PaneEntry, Lettering)> = Vec::new();
    for &entry in &entries {
        text -= text_rows(&[entry], columns);
        let words = entry.short.as_ref().unwrap_or(&entry.text);
        let room = usize::from(rows).saturating_sub(taken + text);
        let lettering = Lettering::fit(words, columns, u16::try_from(room).unwrap_or(rows), LetterSize::Small);
        if lettering.size != LetterSize::Small {
            break;
        }
        taken += usize::from(lettering.rows());
        lettered.push((entry, lettering));
    }
    if lettered.len() < LETTERED_AT_LEAST.min(entries.len()) {
        return (Vec::new(), entries);
    }
    let rest = entries[lettered.len()..].to_vec();
    (lettered, rest)
}

fn text_rows(entries: &[&PaneEntry], columns: u16) -> usize {
    entries.iter().map(|entry| text::wrapped(&entry.text, columns).len()).sum()
}

/// Draws entries in lettering; returns the area below them.
fn letter(canvas: &mut Canvas, area: Rect, entries: &[(&PaneEntry, Lettering)], labels: u16) -> Rect {
    let mut area = area;
    let mut before = "";
    for (entry, lettering) in entries {
        if before != entry.label || entry.weight == Emphasis::Strong {
            text::put(canvas.buffer, area.x, area.y + 1, &entry.label, canvas.look.faint(), area.x + labels - 1);
        }
        before = &entry.label;
        let style = entry.weight.style(canvas.look);
        lettering.draw(canvas.buffer, beside(area, labels), Alignment::Left, FillStyle::Solid, style);
        area = below(area, lettering.rows());
    }
    area
}

/// Draws the current page of entries, and its number if there are several pages; returns the rows taken.
fn draw_page(canvas: &mut Canvas, area: Rect, entries: &[&PaneEntry], labels: u16, seconds: u64) -> u16 {
    let pages = pages(entries, area.width - labels, area.height);
    let number = page_at(&pages, seconds);
    let Some(page) = pages.get(number) else { return 0 };
    let look = canvas.look;
    for (y, line) in (area.y..area.bottom()).zip(page) {
        if line.labelled || y == area.y {
            text::put(canvas.buffer, area.x, y, &line.entry.label, look.faint(), area.x + labels - 1);
        }
        text::put(canvas.buffer, area.x + labels, y, &line.text, line.entry.weight.style(look), area.right());
    }
    if pages.len() > 1 && area.height > 0 {
        let number = format!("{}/{}", number + 1, pages.len());
        canvas.put_right(area.right(), area.bottom() - 1, &number, look.faint());
    }
    u16::try_from(page.len()).unwrap_or(area.height)
}

/// A line of an entry.
#[derive(Clone, Debug)]
struct PaneLine<'a> {
    entry: &'a PaneEntry,
    text: String,
    /// Whether the label is shown before this line even if the line is not the first of the page.
    labelled: bool,
}

/// The columns kept free for the page number.
const NUMBER: u16 = 6;

/// Breaks entries into lines, on pages of `rows` rows.
fn pages<'a>(entries: &[&'a PaneEntry], columns: u16, rows: u16) -> Vec<Vec<PaneLine<'a>>> {
    let one = text_rows(entries, columns) <= usize::from(rows);
    let columns = if one { columns } else { columns.saturating_sub(NUMBER).max(columns / 2) };
    let rows = usize::from(rows.max(1));
    let mut before = "";
    let mut pages: Vec<Vec<PaneLine>> = vec![Vec::new()];
    for &entry in entries {
        let labelled = before != entry.label || entry.weight == Emphasis::Strong;
        before = &entry.label;
        let lines = text::wrapped(&entry.text, columns);
        let taken = pages.last().map_or(0, Vec::len);
        // An entry that fits on one page is not split.
        if taken > 0 && taken + lines.len() > rows {
            pages.push(Vec::new());
        }
        for (row, text) in lines.into_iter().enumerate() {
            if pages.last().is_some_and(|page| page.len() == rows) {
                pages.push(Vec::new());
            }
            if let Some(page) = pages.last_mut() {
                page.push(PaneLine { entry, text, labelled: labelled && row == 0 });
            }
        }
    }
    pages
}

/// How many letters a coach reads in a second while leading (estimate).
const LETTERS_A_SECOND: usize = 20;
/// The shortest time for a page, in seconds, because the coach has to notice it first (estimate).
const PAGE_S: u64 = 5;

/// The index of the page to show, `seconds` after the first page appeared. Each page stays for the time it takes to
/// read it. After the last page the first one returns.
fn page_at(pages: &[Vec<PaneLine>], seconds: u64) -> usize {
    let stays = |page: &Vec<PaneLine>| {
        let letters: usize = page.iter().map(|line| line.text.chars().count()).sum();
        (letters.div_ceil(LETTERS_A_SECOND) as u64).max(PAGE_S)
    };
    let mut left = seconds % pages.iter().map(stays).sum::<u64>().max(1);
    for (number, page) in pages.iter().enumerate() {
        match left.checked_sub(stays(page)) {
            Some(after) => left = after,
            None => return number,
        }
    }
    0
}
