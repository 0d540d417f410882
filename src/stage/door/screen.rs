//! The front door: the list of sessions, each with its outline, and the actions for the chosen one.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::compose_form_screen;
use super::{DoorEntry, DoorPage, FrontDoor, KEYS, ListedSession, NewClassSource};
use crate::drawing::SMALLEST;
use crate::drawing::canvas::{Canvas, ScreenLayout, below, beside};
use crate::drawing::lettering::LetterSize;
use crate::drawing::notice;
use crate::drawing::outline;
use crate::drawing::palette::ScreenTheme;
use crate::drawing::text;
use crate::runtime::KeyBinding;
use class::check::Finding;
use class::outline::ClassOutline;
use class::session::block_letter;
use class::time::{Tick, clock};
use class::words::{CountedWord, KeyWords, WORDS, fill};

/// Draws the front door over the whole frame.
pub fn draw(frame: &mut Frame, door: &FrontDoor, look: &ScreenTheme) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let area = canvas.layout.area;
        return notice::too_small(&mut canvas, area, &WORDS.door.screen.too_small);
    }
    let mut body = head(&mut canvas, door);
    body.height = foot(&mut canvas, door).saturating_sub(body.y);
    match door.page() {
        DoorPage::List => list(&mut canvas, body, door),
        DoorPage::ComposeForm => compose_form_screen::draw(&mut canvas, body, door.compose_form()),
        DoorPage::Findings(from) => {
            if let Some(class) = door.class() {
                page(&mut canvas, body, class, from);
            }
        }
        DoorPage::Keys => {
            let columns = KEYS.iter().map(|key| text::columns(key.label())).max().unwrap_or(0) + 2;
            let mut left = body;
            for key in KEYS.iter().map(KeyBinding::words) {
                canvas.put(left.x, left.y, &key.label, look.strong());
                let rows = canvas.put_wrapped(beside(left, columns), &key.long, look.text());
                left = below(left, rows);
            }
            canvas.put_wrapped(below(left, 1), &WORDS.door.screen.how_to_list, look.faint());
        }
    }
}

/// Draws where the classes are and what was typed; returns the area below.
fn head(canvas: &mut Canvas, door: &FrontDoor) -> Rect {
    let (look, inner, words) = (canvas.look, canvas.layout.inner, &WORDS.door.screen);
    let (right, style) = match door.typed() {
        "" if door.page() == DoorPage::ComposeForm => (String::new(), look.faint()),
        "" => (words.type_to_search.clone(), look.faint()),
        typed => (fill(&words.typed, &[("typed", &format!("{typed}▏"))]), look.strong()),
    };
    let right = text::shortened(&right, inner.width / 2);
    let x = canvas.put(inner.x, inner.y, "forecall", look.strong()) + 2;
    let room = inner.right().saturating_sub(x + text::columns(&right) + 2);
    canvas.put(x, inner.y, &text::shortened(&door.contents().place, room), look.faint());
    canvas.put_right(inner.right(), inner.y, &right, style);
    below(inner, 2)
}

/// Draws the keys and, above them, a message if there is one; returns the first row that is no longer free.
fn foot(canvas: &mut Canvas, door: &FrontDoor) -> u16 {
    let (look, inner) = (canvas.look, canvas.layout.inner);
    let y = inner.bottom().saturating_sub(1);
    match door.page() {
        DoorPage::ComposeForm => canvas.keys(y, &compose_form_screen::keys(door.compose_form()), 1),
        _ => {
            let keys: Vec<&KeyWords> = KEYS.iter().map(KeyBinding::words).filter(|key| key.label != "Ctrl-C").collect();
            canvas.keys(y, &keys, 2);
        }
    }
    let Some(message) = door.message() else { return y.saturating_sub(1) };
    let lines = text::wrapped(message, inner.width);
    let rows = u16::try_from(lines.len()).unwrap_or(1).min(3);
    let top = y.saturating_sub(rows + 1);
    for (row, line) in (0..rows).zip(&lines) {
        canvas.put(inner.x, top + row, line, look.strong());
    }
    top.saturating_sub(1)
}

/// The rows that an entry takes, with the empty row below it.
fn rows(canvas: &Canvas, door: &FrontDoor, index: usize) -> u16 {
    let chosen = index == door.chosen();
    let airy = u16::from(canvas.layout.airy);
    match door.shown()[index] {
        DoorEntry::Unfinished => 2 + airy,
        DoorEntry::Class(_) => {
            let grown = if chosen { title_rows(canvas) } else { 1 };
            grown + canvas.layout.strip + 1 + if chosen { 1 + u16::from(canvas.layout.strip > 1) } else { 0 } + airy
        }
        DoorEntry::Start(0) => 2,
        DoorEntry::Start(_) => 1,
    }
}

/// The rows of the chosen title. If there is room, the title is large enough to read from where the coach sets up.
fn title_rows(canvas: &Canvas) -> u16 {
    if canvas.layout.name > 1 { 3 } else { 1 }
}

fn list(canvas: &mut Canvas, area: Rect, door: &FrontDoor) {
    let (look, words) = (canvas.look, &WORDS.door.screen);
    let mut left = area;
    if door.contents().classes.is_empty() && door.typed().is_empty() {
        let taken = canvas.put_wrapped(left, &words.no_class_yet, look.text());
        left = below(left, taken + 1);
    }
    let heights: Vec<u16> = (0..door.shown().len()).map(|index| rows(canvas, door, index)).collect();
    let chosen = door.chosen();
    let mut first = 0;
    while first < chosen && heights[first..=chosen].iter().sum::<u16>() > left.height {
        first += 1;
    }
    let longest = door.contents().classes.iter().filter_map(|class| class.outline.as_ref()).map(ClassOutline::longest);
    let longest = longest.max().unwrap_or(Tick::SECOND);
    for (index, &height) in heights.iter().enumerate().skip(first) {
        if left.height < height.saturating_sub(u16::from(canvas.layout.airy)) {
            break;
        }
        let here = Rect { height: height.min(left.height), ..left };
        let chosen = index == chosen;
        match door.shown()[index] {
            DoorEntry::Unfinished => unfinished(canvas, here, door, chosen),
            DoorEntry::Class(class) => {
                if let Some(class) = door.contents().classes.get(class) {
                    entry(canvas, here, door, class, longest, chosen);
                }
            }
            DoorEntry::Start(start) => begin(canvas, here, door, start, chosen),
        }
        left = below(left, height);
    }
    if left.height > 0 && door.contents().more > 0 {
        let count = door.contents().more.to_string();
        canvas.put(left.x, left.y, &fill(&words.more_files, &[("count", &count)]), look.faint());
    }
}

/// Draws the bar beside the chosen entry; returns the area to the right of the bar.
fn marked(canvas: &mut Canvas, area: Rect, rows: u16, chosen: bool) -> Rect {
    if chosen {
        for y in area.y..area.bottom().min(area.y + rows) {
            canvas.put(area.x, y, "▌", canvas.look.strong());
        }
    }
    beside(area, 2)
}

fn unfinished(canvas: &mut Canvas, area: Rect, door: &FrontDoor, chosen: bool) {
    let Some(class) = &door.contents().unfinished else { return };
    let look = canvas.look;
    let area = marked(canvas, area, 2, chosen);
    let x = text::put(
        canvas.buffer,
        area.x,
        area.y,
        &format!(" {} ", WORDS.door.screen.unfinished),
        look.alarm(),
        area.right(),
    ) + 1;
    canvas.put(x, area.y, &text::shortened(&class.words, area.right().saturating_sub(x)), look.strong());
    if chosen {
        deed(canvas, area.x, area.y + 1, &WORDS.door.actions.resume, true);
    }
}

fn begin(canvas: &mut Canvas, area: Rect, door: &FrontDoor, index: usize, chosen: bool) {
    let (look, words) = (canvas.look, &WORDS.door.screen);
    let Some(start) = door.contents().starts.get(index) else { return };
    let mut area = area;
    if index == 0 {
        canvas.put(area.x, area.y, &words.new_class, look.faint());
        area = below(area, 1);
    }
    let area = marked(canvas, area, 1, chosen);
    let mut x = area.x;
    if chosen {
        x = deed(canvas, x, area.y, &WORDS.door.actions.begin, true) + 2;
    }
    let style = if chosen { look.strong() } else { look.text() };
    canvas.put(x, area.y, &text::shortened(&start_words(start), area.right().saturating_sub(x)), style);
}

/// Says what a new class can be made from.
pub fn start_words(start: &NewClassSource) -> String {
    let words = &WORDS.door.screen;
    match start {
        NewClassSource::Demo { title, length, .. } => {
            fill(&words.demo, &[("title", title), ("length", &clock(*length))])
        }
        NewClassSource::List(file) => {
            let name = file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
            fill(&words.list, &[("file", &name)])
        }
        NewClassSource::Composed => words.composed.clone(),
        NewClassSource::Starter => words.starter.clone(),
    }
}

/// Draws an action that Enter can take; returns the column after it.
fn deed(canvas: &mut Canvas, x: u16, y: u16, words: &str, chosen: bool) -> u16 {
    let style = if chosen { canvas.look.alarm() } else { canvas.look.text() };
    // Brackets mark the choice where there is no colour.
    let words = if chosen { format!("[{words}]") } else { format!(" {words} ") };
    canvas.put(x, y, &words, style)
}

fn entry(canvas: &mut Canvas, area: Rect, door: &FrontDoor, class: &ListedSession, longest: Tick, chosen: bool) {
    let look = canvas.look;
    let all = area.height.saturating_sub(u16::from(canvas.layout.airy));
    let mut left = marked(canvas, area, all, chosen);
    let right = class.outline.as_ref().map_or_else(String::new, length_words);
    canvas.put_right(left.right(), left.y, &right, if chosen { look.strong() } else { look.text() });
    let room = left.width.saturating_sub(text::columns(&right) + 2);
    let title = Rect { width: room, height: 1, ..left };
    if chosen && title_rows(canvas) > 1 {
        let hue = look.strong();
        canvas.letter(Rect { height: 3, ..title }, &class.title, LetterSize::Small, hue);
        left = below(left, 3);
    } else {
        let style = if chosen { look.strong() } else { look.text() };
        canvas.put(title.x, title.y, &text::shortened(&class.title, room), style);
        left = below(left, 1);
    }
    let strip = Rect { height: canvas.layout.strip, ..left };
    match &class.outline {
        Some(outline) => outline::draw(canvas, strip, outline, longest),
        None => {
            let first = class.findings.first().map_or_else(String::new, finding_words);
            canvas.put(strip.x, strip.y, &text::shortened(&first, strip.width), look.strong());
        }
    }
    left = below(left, canvas.layout.strip);
    canvas.put(left.x, left.y, &text::shortened(&about(class), left.width), look.faint());
    if !chosen {
        return;
    }
    left = below(left, 1);
    if canvas.layout.strip > 1 {
        let blocks = class.outline.as_ref().map_or_else(String::new, block_words);
        canvas.put(left.x, left.y, &text::shortened(&blocks, left.width), look.text());
        left = below(left, 1);
    }
    let mut x = left.x;
    for (index, one) in door.actions().iter().enumerate() {
        x = deed(canvas, x, left.y, one.words(), index == door.action()) + 1;
    }
}

/// The length of a class and, if it has a slot, the time spare or over.
pub fn length_words(outline: &ClassOutline) -> String {
    let words = &WORDS.door.screen;
    let total = clock(outline.total);
    let Some(slot) = outline.slot else { return total };
    let of = fill(&words.of_slot, &[("total", &total), ("slot", &clock(slot))]);
    let (spare, over) = (slot.saturating_sub(outline.total), outline.total.saturating_sub(slot));
    let rest = match (spare, over) {
        (Tick::ZERO, Tick::ZERO) => words.fits.clone(),
        (spare, Tick::ZERO) => fill(&words.spare, &[("spare", &clock(spare))]),
        (_, over) => fill(&words.over, &[("over", &clock(over))]),
    };
    format!("{of} · {rest}")
}

/// The blocks of a class with their lengths.
pub fn block_words(outline: &ClassOutline) -> String {
    let blocks = outline.parts.iter().filter(|part| !part.is_rest());
    let words = blocks.map(|part| format!("{} {} {}", block_letter(part.block), part.name, clock(part.length)));
    words.collect::<Vec<_>>().join(" · ")
}

/// Counts the findings of a session: `1 fault, 2 hints`.
pub fn count_words(class: &ListedSession) -> String {
    let words = &WORDS.door.screen;
    let several = |count: usize, words: &CountedWord| match count {
        0 => None,
        1 => Some(words.0.clone()),
        _ => Some(fill(&words.1, &[("count", &count.to_string())])),
    };
    let [faults, warnings, hints] = class.counts();
    let counts = [several(faults, &words.faults), several(warnings, &words.warnings), several(hints, &words.hints)];
    let counts: Vec<String> = counts.into_iter().flatten().collect();
    if counts.is_empty() { words.no_findings.clone() } else { counts.join(", ") }
}

/// Describes a class in a line: findings, day last led, kit, people and file.
pub fn about(class: &ListedSession) -> String {
    let words = &WORDS.door.screen;
    let mut parts = vec![count_words(class)];
    if let Some(outline) = &class.outline {
        parts.push(match &class.last {
            Some(day) => fill(&words.last_led, &[("day", day)]),
            None => words.never_led.clone(),
        });
        parts.push(if outline.kit.is_empty() { words.no_kit.clone() } else { outline.kit.join(", ") });
        parts.extend(outline.people.map(|people| match people {
            1 => words.people.0.clone(),
            _ => fill(&words.people.1, &[("count", &people.to_string())]),
        }));
        parts.push(class.name.clone());
    }
    parts.join(" · ")
}

/// A finding in a line: where it is, how severe it is, and what it says.
pub fn finding_words(finding: &Finding) -> String {
    let line = finding.line.map(|line| fill(&WORDS.door.screen.line, &[("line", &line.to_string())]));
    let line = line.map_or_else(String::new, |line| format!("{line}: "));
    format!("{line}{}: {}", finding.severity, finding.message)
}

/// Draws the findings of a session, from index `from` on.
fn page(canvas: &mut Canvas, area: Rect, class: &ListedSession, from: usize) {
    let (look, words) = (canvas.look, &WORDS.door.screen);
    canvas.put(area.x, area.y, &format!("{} · {}", class.title, count_words(class)), look.strong());
    let mut left = below(area, 2);
    for finding in class.findings.iter().skip(from) {
        if left.height == 0 {
            break;
        }
        let rows = canvas.put_wrapped(left, &finding_words(finding), look.text());
        left = below(left, rows);
        if let Some(help) = &finding.help {
            let rows = canvas.put_wrapped(beside(left, 2), &format!("{} {help}", words.fix), look.faint());
            left = below(left, rows);
        }
        left = below(left, 1);
    }
}
