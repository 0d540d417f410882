//! The pane: what the coach reads at arm's length. Each entry a label and its text; what does not fit is turned
//! over page by page, so that nothing is cut.

use ratatui::layout::{Alignment, Rect};
use ratatui::style::Style;

use super::canvas::{Canvas, below, beside};
use super::lettering::{Fill, Lettering, Size};
use super::palette::Look;
use super::text;

/// One entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    pub(crate) label: String,
    pub(crate) text: String,
    /// Stands for the text in lettering, where there is a name for that.
    pub(crate) short: Option<String>,
    pub(crate) weight: Weight,
    /// It is left out where all others fit on a page without it.
    pub(crate) gives_way: bool,
}

/// How much an entry is to be seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    /// It is past, or it only explains.
    Faint,
    Plain,
    /// It is not to be missed: its label stands even where the entry above has the same.
    Strong,
}

impl Weight {
    fn style(self, look: Look) -> Style {
        match self {
            Weight::Faint => look.faint(),
            Weight::Plain => look.text(),
            Weight::Strong => look.strong(),
        }
    }
}

impl Entry {
    pub(crate) fn new(label: impl Into<String>, text: impl Into<String>) -> Entry {
        Entry { label: label.into(), text: text.into(), short: None, weight: Weight::Plain, gives_way: false }
    }

    pub(crate) fn strong(self) -> Entry {
        Entry { weight: Weight::Strong, ..self }
    }
}

/// Draws entries into an area, `seconds` into the time they are shown for; returns the rows taken.
pub(crate) fn draw(canvas: &mut Canvas, area: Rect, entries: &[Entry], seconds: u64) -> u16 {
    if area.height == 0 || area.width < 4 {
        return 0;
    }
    let labels = labels(entries).min(area.width / 2);
    let (lettered, entries) = laid(entries, area.width - labels, area.height);
    let rest = letter(canvas, area, &lettered, labels);
    let rows = rest.y - area.y;
    rows + turn(canvas, rest, &entries, labels, seconds)
}

/// The columns that the labels of entries take.
pub(crate) fn labels(entries: &[Entry]) -> u16 {
    entries.iter().map(|entry| text::columns(&entry.label)).max().unwrap_or(0) + 2
}

/// Entries to be lettered, and those that follow in text.
type Laid<'a> = (Vec<(&'a Entry, Lettering)>, Vec<&'a Entry>);

/// All entries if they fit; else without those that give way.
fn laid(entries: &[Entry], columns: u16, rows: u16) -> Laid<'_> {
    let all = lettered(entries.iter().collect(), columns, rows);
    if all.1.is_empty() {
        return all;
    }
    let needed = lettered(entries.iter().filter(|entry| !entry.gives_way).collect(), columns, rows);
    let fits = text_rows(&all.1, columns) <= usize::from(rows);
    if needed.0.is_empty() && fits { all } else { needed }
}

/// Fewer entries than this in lettering, above others in text, look like a mistake.
const LETTERED_AT_LEAST: usize = 3;

/// As many entries from the first on in lettering as leave the others their rows.
fn lettered(entries: Vec<&Entry>, columns: u16, rows: u16) -> Laid<'_> {
    let mut text = text_rows(&entries, columns);
    let mut taken = 0;
    let mut lettered: Vec<(&Entry, Lettering)> = Vec::new();
    for &entry in &entries {
        text -= text_rows(&[entry], columns);
        let words = entry.short.as_ref().unwrap_or(&entry.text);
        let room = usize::from(rows).saturating_sub(taken + text);
        let lettering = Lettering::fit(words, columns, u16::try_from(room).unwrap_or(rows), Size::Small);
        if lettering.size != Size::Small {
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

fn text_rows(entries: &[&Entry], columns: u16) -> usize {
    entries.iter().map(|entry| text::wrapped(&entry.text, columns).len()).sum()
}

/// Draws entries in lettering; returns what is left of the area.
fn letter(canvas: &mut Canvas, area: Rect, entries: &[(&Entry, Lettering)], labels: u16) -> Rect {
    let mut area = area;
    let mut before = "";
    for (entry, lettering) in entries {
        if before != entry.label || entry.weight == Weight::Strong {
            text::put(canvas.buffer, area.x, area.y + 1, &entry.label, canvas.look.faint(), area.x + labels - 1);
        }
        before = &entry.label;
        let style = entry.weight.style(canvas.look);
        lettering.draw(canvas.buffer, beside(area, labels), Alignment::Left, Fill::Solid, style);
        area = below(area, lettering.rows());
    }
    area
}

/// Draws the page of entries whose turn it is, and its number if it is not the only one; returns the rows taken.
fn turn(canvas: &mut Canvas, area: Rect, entries: &[&Entry], labels: u16, seconds: u64) -> u16 {
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
struct Line<'a> {
    entry: &'a Entry,
    text: String,
    /// The label stands before it, wherever on the page it is.
    labelled: bool,
}

/// The columns that are kept free for the number of a page.
const NUMBER: u16 = 6;

/// Entries in lines, on pages of so many rows.
fn pages<'a>(entries: &[&'a Entry], columns: u16, rows: u16) -> Vec<Vec<Line<'a>>> {
    let one = text_rows(entries, columns) <= usize::from(rows);
    let columns = if one { columns } else { columns.saturating_sub(NUMBER).max(columns / 2) };
    let rows = usize::from(rows.max(1));
    let mut before = "";
    let mut pages: Vec<Vec<Line>> = vec![Vec::new()];
    for &entry in entries {
        let labelled = before != entry.label || entry.weight == Weight::Strong;
        before = &entry.label;
        let lines = text::wrapped(&entry.text, columns);
        let taken = pages.last().map_or(0, Vec::len);
        // An entry stays whole where a page can hold it.
        if taken > 0 && taken + lines.len() > rows {
            pages.push(Vec::new());
        }
        for (row, text) in lines.into_iter().enumerate() {
            if pages.last().is_some_and(|page| page.len() == rows) {
                pages.push(Vec::new());
            }
            if let Some(page) = pages.last_mut() {
                page.push(Line { entry, text, labelled: labelled && row == 0 });
            }
        }
    }
    pages
}

/// Letters that somebody reads in a second, beside all else there is to do (est.).
const LETTERS_A_SECOND: usize = 20;
/// The least time for a page, in seconds: it has first to be noticed (est.).
const PAGE_S: u64 = 5;

/// Which page is shown so many seconds after the first was. Each stays for as long as it takes to read it; then
/// they begin again.
fn page_at(pages: &[Vec<Line>], seconds: u64) -> usize {
    let stays = |page: &Vec<Line>| {
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
