//! The planning screen: the class as a strip and as a list, and beside the list the findings or the movement finder.

use std::hash::{DefaultHasher, Hash, Hasher};

use ratatui::Frame;
use ratatui::layout::Rect;

use super::finder_screen;
use crate::door::screen::length_words;
use crate::drawing::SMALLEST;
use crate::drawing::canvas::{Canvas, ScreenLayout, below, beside};
use crate::drawing::lettering::LetterSize;
use crate::drawing::notice;
use crate::drawing::outline;
use crate::drawing::palette::ScreenTheme;
use crate::drawing::text;
use crate::plan::{KEYS, PlanEditor, PlanFocus, PlanKey, PlanRow, TextInput};
use class::check::Finding;
use class::cue::changeover_words;
use class::movement::Sides;
use class::session::fault::Severity;
use class::session::{WorkAmount, block_letter};
use class::time::{Tick, clock, spoken_length};
use class::words::{KeyWords, WORDS, fill};

/// Hashes everything that the picture depends on: the same hash means the same picture.
pub fn fingerprint(planning: &PlanEditor) -> u64 {
    let mut hasher = DefaultHasher::new();
    planning.fingerprint().hash(&mut hasher);
    hasher.finish()
}

/// Draws the planning screen over the whole frame.
pub fn draw(frame: &mut Frame, planning: &PlanEditor, look: &ScreenTheme) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let area = canvas.layout.area;
        return notice::too_small(&mut canvas, area, &WORDS.plan.screen.too_small);
    }
    let mut body = head(&mut canvas, planning);
    body.height = foot(&mut canvas, planning).saturating_sub(body.y);
    if *planning.focus() == PlanFocus::Keys {
        return keys(&mut canvas, body);
    }
    // The finder needs more room than the details of a row.
    let share = if matches!(planning.focus(), PlanFocus::Finder(_)) { 9 } else { 11 };
    let left = (body.width * share / 20).max(30).min(body.width);
    list(&mut canvas, Rect { width: left, ..body }, planning);
    let pane = beside(body, left + 2);
    match planning.focus() {
        PlanFocus::Finder(target) => finder_screen::draw(&mut canvas, pane, planning.finder(), *target),
        _ => about(&mut canvas, pane, planning),
    }
}

/// Draws the title, the length against the slot and the end; below them the strip, with a mark under the chosen row.
/// Returns the area below.
fn head(canvas: &mut Canvas, planning: &PlanEditor) -> Rect {
    let (look, inner, words) = (canvas.look, canvas.layout.inner, &WORDS.plan.screen);
    let outline = planning.outline();
    let ends = planning.ends().map(|time| fill(&words.ends, &[("time", &time)]));
    let right = [Some(length_words(&outline)), ends].into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let room = inner.width.saturating_sub(text::columns(&right) + 2);
    let title = &planning.schedule().session.title;
    canvas.put(inner.x, inner.y, &text::shortened(title, room), look.faint());
    canvas.put_right(inner.right(), inner.y, &right, look.strong());
    let strip = Rect { height: canvas.layout.strip, ..below(inner, 1) };
    let longest = outline.longest();
    outline::draw(canvas, strip, &outline, longest);
    if let Some(span) = planning.first_span().filter(|_| planning.row() != PlanRow::Class) {
        let at = u128::from(span.start.0) * u128::from(strip.width) / u128::from(longest.0.max(1));
        let x = strip.x + (at as u16).min(strip.width.saturating_sub(1));
        canvas.put(x, strip.bottom(), "▲", look.hue(span.block));
    }
    below(inner, 2 + canvas.layout.strip)
}

/// Draws the keys and, above them, a question, a typed line or a message; returns the first row that is no longer free.
fn foot(canvas: &mut Canvas, planning: &PlanEditor) -> u16 {
    let (look, inner, words) = (canvas.look, canvas.layout.inner, &WORDS.plan.screen);
    let y = inner.bottom().saturating_sub(1);
    match planning.focus() {
        PlanFocus::Finder(_) => finder_screen::keys(canvas, y, planning.finder()),
        PlanFocus::Line(_) => drop(canvas.put(inner.x, y, &words.line_keys, look.faint())),
        _ => {
            let mut keys: Vec<&KeyWords> = KEYS.iter().map(PlanKey::words).collect();
            keys.sort_by_key(|key| key.label == "?");
            canvas.keys(y, &keys, 1);
        }
    }
    let (line, style) = if let Some(question) = planning.question() {
        let line = match &question.fault {
            Some(why) => fill(&words.faulty, &[("why", why)]),
            None => words.conflict.clone(),
        };
        (line, look.alarm())
    } else if let PlanFocus::Line(TextInput { field, text, .. }) = planning.focus() {
        (fill(&words.line, &[("field", field), ("text", &format!("{text}▏"))]), look.strong())
    } else if let Some(why) = planning.unsaved() {
        (fill(&words.unsaved, &[("why", why)]), look.alarm())
    } else if let Some(message) = planning.message() {
        (message.to_owned(), look.strong())
    } else {
        return y.saturating_sub(2);
    };
    let lines = text::wrapped(&line, inner.width);
    let rows = u16::try_from(lines.len()).unwrap_or(1).min(4);
    let top = y.saturating_sub(rows);
    for (row, line) in (0..rows).zip(&lines) {
        canvas.put(inner.x, top + row, line, style);
    }
    top.saturating_sub(1).min(y.saturating_sub(2))
}

fn keys(canvas: &mut Canvas, area: Rect) {
    let look = canvas.look;
    let label = KEYS.iter().map(|key| text::columns(&key.words().label)).max().unwrap_or(0) + 2;
    // Use several columns if one would be too high.
    let columns = KEYS.len().div_ceil(usize::from(area.height).max(1)).max(1);
    let each = KEYS.len().div_ceil(columns);
    let wide = area.width / columns as u16;
    for (index, key) in KEYS.iter().enumerate() {
        let (column, row) = ((index / each) as u16, (index % each) as u16);
        let (x, y) = (area.x + column * wide, area.y + row);
        if y >= area.bottom() {
            continue;
        }
        canvas.put(x, y, &key.words().label, look.strong());
        let words = if columns > 1 { &key.words().short } else { &key.words().long };
        canvas.put(x + label, y, &text::shortened(words, wide.saturating_sub(label + 1)), look.text());
    }
}

fn list(canvas: &mut Canvas, area: Rect, planning: &PlanEditor) {
    let (rows, chosen, height) = (planning.rows(), planning.chosen(), usize::from(area.height));
    // Keep the chosen row in the middle, except near the ends of the list.
    let first = chosen.saturating_sub(height / 2).min(rows.len().saturating_sub(height));
    for (y, (index, row)) in (area.y..area.bottom()).zip(rows.iter().enumerate().skip(first)) {
        line(canvas, Rect { y, height: 1, ..area }, planning, *row, index == chosen);
    }
}

fn line(canvas: &mut Canvas, area: Rect, planning: &PlanEditor, row: PlanRow, chosen: bool) {
    let look = canvas.look;
    let style = if chosen { look.strong() } else { look.text() };
    if chosen {
        canvas.put(area.x, area.y, "▌", look.strong());
    }
    let (session, words) = (&planning.schedule().session, &WORDS.plan.screen);
    let mut right = mark(planning, row);
    let push = |words: String, right: &mut String| *right = format!("{words}  {right}");
    let (x, name) = match row {
        PlanRow::Class => (area.x + 2, session.title.clone()),
        PlanRow::Block(index) => {
            let block = &session.blocks[index];
            let letter = format!(" {} ", block_letter(index));
            let x = text::put(canvas.buffer, area.x + 1, area.y, &letter, look.on_hue(index), area.right()) + 1;
            push(clock(row.length(planning.schedule())), &mut right);
            if block.passes() > 1 {
                push(fill(&words.rounds, &[("count", &block.passes().to_string())]), &mut right);
            }
            (x, block.name.clone())
        }
        PlanRow::Station(block, index) => {
            let station = &session.blocks[block].stations[index];
            let number = format!("{:>2}", index + 1);
            text::put(canvas.buffer, area.x + 2, area.y, &number, look.hue(block), area.right());
            push(
                match station.work {
                    WorkAmount::Time(work) => spoken_length(work),
                    WorkAmount::Reps(reps) => fill(&words.reps, &[("count", &reps.to_string())]),
                },
                &mut right,
            );
            match station.sides {
                Sides::Together => {}
                Sides::Alternating => push("L/R".to_owned(), &mut right),
                Sides::LeftThenRight | Sides::EachSide => push("L→R".to_owned(), &mut right),
            }
            if station.rest > Tick::ZERO {
                push(format!("+{}", spoken_length(station.rest)), &mut right);
            }
            (area.x + 5, station.movement.name.clone())
        }
    };
    let right = right.trim_end().to_owned();
    // Keep the column of the marks free on rows without a mark.
    let edge = area.right().saturating_sub(if mark(planning, row).trim().is_empty() { 2 } else { 0 });
    let until = edge.saturating_sub(text::columns(&right));
    let room = until.saturating_sub(x + 1);
    canvas.put(x, area.y, &text::shortened(&name, room), style);
    canvas.put_right(edge, area.y, &right, if chosen { look.strong() } else { look.faint() });
}

/// The mark for the worst finding of a row.
fn mark(planning: &PlanEditor, row: PlanRow) -> String {
    let worst = planning.findings().iter().filter(|(at, _)| *at == row).map(|(_, finding)| finding.severity).min();
    match worst {
        Some(Severity::Fault | Severity::Warning) => "!",
        Some(Severity::Info) => "·",
        None => " ",
    }
    .to_owned()
}

/// Draws the chosen row: its name, the change before it, and its findings.
fn about(canvas: &mut Canvas, area: Rect, planning: &PlanEditor) {
    let (look, words, row) = (canvas.look, &WORDS.plan.screen, planning.row());
    let session = &planning.schedule().session;
    let mut left = area;
    let name = match row {
        PlanRow::Class => &session.title,
        PlanRow::Block(block) => &session.blocks[block].name,
        PlanRow::Station(block, station) => &session.blocks[block].stations[station].movement.name,
    };
    let largest = if canvas.layout.name > 1 { LetterSize::Small } else { LetterSize::Plain };
    let style = row.block().map_or(look.strong(), |block| look.hue(block));
    let rows = canvas.letter(Rect { height: (area.height / 3).max(1), ..left }, name, largest, style);
    left = below(left, rows);
    let mut say = |canvas: &mut Canvas, words: &str, style| {
        let rows = canvas.put_wrapped(left, words, style);
        left = below(left, rows);
    };
    let length = clock(row.length(planning.schedule()));
    say(canvas, &fill(&words.total, &[("length", &length)]), look.text());
    if let PlanRow::Station(block, station) = row {
        if let Some(span) = planning.first_span() {
            let change = changeover_words(&span.change);
            let change = if change.is_empty() { words.no_change.clone() } else { change };
            say(canvas, &fill(&words.before, &[("change", &change)]), look.text());
        }
        let station = &session.blocks[block].stations[station];
        if station.rest > Tick::ZERO {
            say(canvas, &fill(&words.rest, &[("length", &spoken_length(station.rest))]), look.text());
        }
        for (label, tier) in [("easier", &station.easier), ("harder", &station.harder)] {
            if let Some(tier) = tier {
                say(canvas, &format!("{label}: {}", tier.what), look.faint());
            }
        }
        for prompt in &station.prompts {
            say(canvas, &format!("· {prompt}"), look.faint());
        }
    }
    if let PlanRow::Block(block) = row
        && let Some(note) = &session.blocks[block].note
    {
        say(canvas, note, look.text());
    }
    say(canvas, " ", look.text());
    let (here, elsewhere): (Vec<_>, Vec<_>) = planning.findings().iter().partition(|(at, _)| *at == row);
    for (_, finding) in &here {
        say(canvas, &finding_words(finding), look.strong());
        if let Some(help) = &finding.help {
            say(canvas, &format!("→ {help}"), look.faint());
        }
    }
    if here.is_empty() {
        say(canvas, &words.none_found, look.faint());
    }
    if !elsewhere.is_empty() {
        say(canvas, &fill(&words.found_elsewhere, &[("count", &elsewhere.len().to_string())]), look.faint());
    }
}

fn finding_words(finding: &Finding) -> String {
    format!("{}: {}", finding.severity, finding.message)
}
