//! The planning screen: the class as a strip and as a list, and beside the list the findings or the movement finder.

use std::hash::{DefaultHasher, Hash, Hasher};

use ratatui::Frame;
use ratatui::layout::Rect;

use super::SMALLEST;
use super::aside;
use super::door::length_words;
use super::lettering::Size;
use super::outline;
use super::palette::Look;
use super::plan_finder;
use super::stage::{Room, Stage, below, beside};
use super::text;
use crate::cue::changeover_words;
use crate::door::Finding;
use crate::movement::Sides;
use crate::plan::{Focus, KEYS, Key, Planning, Row, Typed};
use crate::session::fault::Severity;
use crate::session::{Work, block_letter};
use crate::time::{Tick, clock, spoken_length};
use crate::words::{KeyWords, WORDS, fill};

/// Hashes everything that the picture depends on: the same hash means the same picture.
pub fn face(planning: &Planning) -> u64 {
    let mut hasher = DefaultHasher::new();
    planning.face().hash(&mut hasher);
    hasher.finish()
}

/// Draws the planning screen over the whole frame.
pub fn draw(frame: &mut Frame, planning: &Planning, look: &Look) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut stage = Stage { buffer, look: *look, room: Room::of(area) };
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        let area = stage.room.area;
        return aside::wanted(&mut stage, area, &WORDS.plan.screen.too_small);
    }
    let mut body = head(&mut stage, planning);
    body.height = foot(&mut stage, planning).saturating_sub(body.y);
    if *planning.focus() == Focus::Keys {
        return keys(&mut stage, body);
    }
    // The finder needs more room than the details of a row.
    let share = if matches!(planning.focus(), Focus::Finder(_)) { 9 } else { 11 };
    let left = (body.width * share / 20).max(30).min(body.width);
    list(&mut stage, Rect { width: left, ..body }, planning);
    let pane = beside(body, left + 2);
    match planning.focus() {
        Focus::Finder(target) => plan_finder::draw(&mut stage, pane, planning.finder(), *target),
        _ => about(&mut stage, pane, planning),
    }
}

/// Draws the title, the length against the slot and the end; below them the strip, with a mark under the chosen row.
/// Returns the area below.
fn head(stage: &mut Stage, planning: &Planning) -> Rect {
    let (look, inner, words) = (stage.look, stage.room.inner, &WORDS.plan.screen);
    let outline = planning.outline();
    let ends = planning.ends().map(|time| fill(&words.ends, &[("time", &time)]));
    let right = [Some(length_words(&outline)), ends].into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let room = inner.width.saturating_sub(text::columns(&right) + 2);
    let title = &planning.schedule().session.title;
    stage.put(inner.x, inner.y, &text::shortened(title, room), look.faint());
    stage.put_right(inner.right(), inner.y, &right, look.strong());
    let strip = Rect { height: stage.room.strip, ..below(inner, 1) };
    let longest = outline.longest();
    outline::draw(stage, strip, &outline, longest);
    if let Some(span) = planning.first_span().filter(|_| planning.row() != Row::Class) {
        let at = u128::from(span.start.0) * u128::from(strip.width) / u128::from(longest.0.max(1));
        let x = strip.x + (at as u16).min(strip.width.saturating_sub(1));
        stage.put(x, strip.bottom(), "▲", look.hue(span.block));
    }
    below(inner, 2 + stage.room.strip)
}

/// Draws the keys and, above them, a question, a typed line or a message; returns the first row that is no longer free.
fn foot(stage: &mut Stage, planning: &Planning) -> u16 {
    let (look, inner, words) = (stage.look, stage.room.inner, &WORDS.plan.screen);
    let y = inner.bottom().saturating_sub(1);
    match planning.focus() {
        Focus::Finder(_) => plan_finder::keys(stage, y, planning.finder()),
        Focus::Line(_) => drop(stage.put(inner.x, y, &words.line_keys, look.faint())),
        _ => {
            let mut keys: Vec<&KeyWords> = KEYS.iter().map(Key::words).collect();
            keys.sort_by_key(|key| key.label == "?");
            stage.keys(y, &keys, 1);
        }
    }
    let (line, style) = if let Some(question) = planning.question() {
        let line = match &question.fault {
            Some(why) => fill(&words.faulty, &[("why", why)]),
            None => words.conflict.clone(),
        };
        (line, look.alarm())
    } else if let Focus::Line(Typed { field, text, .. }) = planning.focus() {
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
        stage.put(inner.x, top + row, line, style);
    }
    top.saturating_sub(1).min(y.saturating_sub(2))
}

fn keys(stage: &mut Stage, area: Rect) {
    let look = stage.look;
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
        stage.put(x, y, &key.words().label, look.strong());
        let words = if columns > 1 { &key.words().short } else { &key.words().long };
        stage.put(x + label, y, &text::shortened(words, wide.saturating_sub(label + 1)), look.text());
    }
}

fn list(stage: &mut Stage, area: Rect, planning: &Planning) {
    let (rows, chosen, height) = (planning.rows(), planning.chosen(), usize::from(area.height));
    // Keep the chosen row in the middle, except near the ends of the list.
    let first = chosen.saturating_sub(height / 2).min(rows.len().saturating_sub(height));
    for (y, (index, row)) in (area.y..area.bottom()).zip(rows.iter().enumerate().skip(first)) {
        line(stage, Rect { y, height: 1, ..area }, planning, *row, index == chosen);
    }
}

fn line(stage: &mut Stage, area: Rect, planning: &Planning, row: Row, chosen: bool) {
    let look = stage.look;
    let style = if chosen { look.strong() } else { look.text() };
    if chosen {
        stage.put(area.x, area.y, "▌", look.strong());
    }
    let (session, words) = (&planning.schedule().session, &WORDS.plan.screen);
    let mut right = mark(planning, row);
    let push = |words: String, right: &mut String| *right = format!("{words}  {right}");
    let (x, name) = match row {
        Row::Class => (area.x + 2, session.title.clone()),
        Row::Block(index) => {
            let block = &session.blocks[index];
            let letter = format!(" {} ", block_letter(index));
            let x = text::put(stage.buffer, area.x + 1, area.y, &letter, look.on_hue(index), area.right()) + 1;
            push(clock(row.length(planning.schedule())), &mut right);
            if block.passes() > 1 {
                push(fill(&words.rounds, &[("count", &block.passes().to_string())]), &mut right);
            }
            (x, block.name.clone())
        }
        Row::Station(block, index) => {
            let station = &session.blocks[block].stations[index];
            let number = format!("{:>2}", index + 1);
            text::put(stage.buffer, area.x + 2, area.y, &number, look.hue(block), area.right());
            push(
                match station.work {
                    Work::Time(work) => spoken_length(work),
                    Work::Reps(reps) => fill(&words.reps, &[("count", &reps.to_string())]),
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
    stage.put(x, area.y, &text::shortened(&name, room), style);
    stage.put_right(edge, area.y, &right, if chosen { look.strong() } else { look.faint() });
}

/// The mark for the worst finding of a row.
fn mark(planning: &Planning, row: Row) -> String {
    let worst = planning.findings().iter().filter(|(at, _)| *at == row).map(|(_, finding)| finding.severity).min();
    match worst {
        Some(Severity::Fault | Severity::Warning) => "!",
        Some(Severity::Info) => "·",
        None => " ",
    }
    .to_owned()
}

/// Draws the chosen row: its name, the change before it, and its findings.
fn about(stage: &mut Stage, area: Rect, planning: &Planning) {
    let (look, words, row) = (stage.look, &WORDS.plan.screen, planning.row());
    let session = &planning.schedule().session;
    let mut left = area;
    let name = match row {
        Row::Class => &session.title,
        Row::Block(block) => &session.blocks[block].name,
        Row::Station(block, station) => &session.blocks[block].stations[station].movement.name,
    };
    let largest = if stage.room.name > 1 { Size::Small } else { Size::Plain };
    let style = row.block().map_or(look.strong(), |block| look.hue(block));
    let rows = stage.letter(Rect { height: (area.height / 3).max(1), ..left }, name, largest, style);
    left = below(left, rows);
    let mut say = |stage: &mut Stage, words: &str, style| {
        let rows = stage.put_wrapped(left, words, style);
        left = below(left, rows);
    };
    let length = clock(row.length(planning.schedule()));
    say(stage, &fill(&words.total, &[("length", &length)]), look.text());
    if let Row::Station(block, station) = row {
        if let Some(span) = planning.first_span() {
            let change = changeover_words(&span.change);
            let change = if change.is_empty() { words.no_change.clone() } else { change };
            say(stage, &fill(&words.before, &[("change", &change)]), look.text());
        }
        let station = &session.blocks[block].stations[station];
        if station.rest > Tick::ZERO {
            say(stage, &fill(&words.rest, &[("length", &spoken_length(station.rest))]), look.text());
        }
        for (label, tier) in [("easier", &station.easier), ("harder", &station.harder)] {
            if let Some(tier) = tier {
                say(stage, &format!("{label}: {}", tier.what), look.faint());
            }
        }
        for prompt in &station.prompts {
            say(stage, &format!("· {prompt}"), look.faint());
        }
    }
    if let Row::Block(block) = row
        && let Some(note) = &session.blocks[block].note
    {
        say(stage, note, look.text());
    }
    say(stage, " ", look.text());
    let (here, elsewhere): (Vec<_>, Vec<_>) = planning.findings().iter().partition(|(at, _)| *at == row);
    for (_, finding) in &here {
        say(stage, &finding_words(finding), look.strong());
        if let Some(help) = &finding.help {
            say(stage, &format!("→ {help}"), look.faint());
        }
    }
    if here.is_empty() {
        say(stage, &words.none_found, look.faint());
    }
    if !elsewhere.is_empty() {
        say(stage, &fill(&words.elsewhere, &[("count", &elsewhere.len().to_string())]), look.faint());
    }
}

fn finding_words(finding: &Finding) -> String {
    format!("{}: {}", finding.severity, finding.message)
}
