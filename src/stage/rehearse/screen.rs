//! The screen of a rehearsal: what ends, what has to change, and how long the change takes.

use std::hash::{DefaultHasher, Hash, Hasher};

use ratatui::Frame;
use ratatui::layout::Rect;

use crate::drawing::canvas::{Canvas, ScreenLayout, below, beside};
use crate::drawing::lettering::{LetterSize, Lettering};
use crate::drawing::palette::ScreenTheme;
use crate::drawing::text;
use crate::rehearse::{KEYS, RehearsalMoment, RehearsalStage as At, RehearseCommand, TransitionRow};
use crate::runtime::KeyBinding;
use class::cue::changeover_phrases;
use class::schedule::{Span, WorkingSide};
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// Hashes everything that the picture of a rehearsal depends on: the same hash means the same picture.
pub fn fingerprint(view: &RehearsalMoment) -> u64 {
    let to_boundary = view.now.0 as i64 - view.boundary.at.0 as i64;
    let digits = to_boundary.div_euclid(1000) + i64::from(to_boundary < 0 && to_boundary % 1000 != 0);
    let mut hasher = DefaultHasher::new();
    (view.stage, view.index, view.count, view.took, view.marked).hash(&mut hasher);
    (view.muted, view.help, view.changes, view.message).hash(&mut hasher);
    (to_boundary < 0, digits).hash(&mut hasher);
    hasher.finish()
}

/// Draws a rehearsal over the whole frame. `rows` is its table, for the end.
pub fn draw(frame: &mut Frame, view: &RehearsalMoment, rows: &[TransitionRow], look: &ScreenTheme) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    let body = head(&mut canvas, view);
    let foot = foot(&mut canvas, view);
    let body = Rect { height: foot.saturating_sub(body.y), ..body };
    match view.stage {
        _ if view.help => help(&mut canvas, body),
        At::Table => table(&mut canvas, body, view, rows),
        At::Ready | At::Running | At::Paused => transition(&mut canvas, body, view),
    }
}

/// Draws the title and the progress of the rehearsal; returns the area below.
fn head(canvas: &mut Canvas, view: &RehearsalMoment) -> Rect {
    let words = &WORDS.rehearse.screen;
    let (look, inner) = (canvas.look, canvas.layout.inner);
    let title = format!("{} · {}", words.title, view.schedule.session.title);
    let number = [("number", (view.index + 1).to_string()), ("count", view.count.to_string())];
    let number: Vec<(&str, &str)> = number.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let mut right = fill(&words.transition, &number);
    if view.changes > 0 {
        right = format!("{} · {right}", fill(&words.changes, &[("count", &view.changes.to_string())]));
    }
    if view.muted {
        right = format!("{} · {right}", words.muted);
    }
    let room = inner.width.saturating_sub(text::columns(&right) + 2);
    canvas.put(inner.x, inner.y, &text::shortened(&title, room), look.faint());
    canvas.put_right(inner.right(), inner.y, &right, look.text());
    below(inner, if canvas.layout.airy { 2 } else { 1 })
}

/// Draws the keys and, above them, a message if there is one; returns the row where they begin.
fn foot(canvas: &mut Canvas, view: &RehearsalMoment) -> u16 {
    let (look, inner) = (canvas.look, canvas.layout.inner);
    let y = inner.bottom().saturating_sub(1);
    if view.stage != At::Table {
        let shown = [
            RehearseCommand::Ready,
            RehearseCommand::Again,
            RehearseCommand::Back,
            RehearseCommand::Next,
            RehearseCommand::Tight,
            RehearseCommand::MoreRest,
            RehearseCommand::Help,
        ];
        let mut x = inner.x;
        for key in shown.into_iter().filter_map(KeyBinding::of) {
            x = canvas.put(x, y, key.label(), look.strong()) + 1;
            x = canvas.put(x, y, key.short(), look.faint()) + 2;
        }
    }
    match view.message {
        Some(line) => {
            let rows = u16::try_from(text::wrapped(line, inner.width).len()).unwrap_or(1);
            let y = y.saturating_sub(rows);
            canvas.put_wrapped(Rect { y, height: rows, ..inner }, line, look.strong());
            y
        }
        None => y,
    }
}

/// Draws one changeover: before its boundary what is running and the time left, after it what comes next and the time
/// taken.
fn transition(canvas: &mut Canvas, body: Rect, view: &RehearsalMoment) {
    let words = &WORDS.rehearse.screen;
    let look = canvas.look;
    let boundary = view.boundary;
    let (before, after) = (&view.schedule.spans[boundary.before], &view.schedule.spans[boundary.after]);
    let ahead = view.now < boundary.at;
    let (label, digits) = match (view.stage, ahead) {
        (At::Ready, _) => (String::new(), String::new()),
        (_, true) => {
            let label = format!("{} {}", name(view, before), words.ends_in);
            (label, (boundary.at - view.now).countdown_seconds().to_string())
        }
        (_, false) => {
            let since = view.took.unwrap_or(view.now - boundary.at);
            let digits = if view.took.is_some() { tenths(since) } else { (since.0 / 1000).to_string() };
            (words.get_ready.clone(), digits)
        }
    };
    let hue = look.hue(after.block);
    let digit_size = LetterSize::Large(canvas.layout.digits.min(3));
    let columns = digit_size.columns("88:88").unwrap_or(0);
    let (left, right) = (
        Rect { width: body.width.saturating_sub(columns + 3), ..body },
        beside(body, body.width.saturating_sub(columns)),
    );
    if view.stage == At::Ready {
        let key = KeyBinding::of(RehearseCommand::Ready).map_or("", |key| key.label());
        let lead = clock(boundary.at.saturating_sub(view.now));
        canvas.put_wrapped(right, &fill(&words.begin, &[("key", key), ("lead", &lead)]), look.text());
    } else {
        let rows = canvas.put_wrapped(right, &label, look.text());
        canvas.letter(below(right, rows), &digits, digit_size, if ahead { look.text() } else { hue });
    }
    let mut rest = left;
    let take = |rest: &mut Rect, rows: u16| *rest = below(*rest, rows);
    if view.stage == At::Paused {
        let rows = canvas.put_wrapped(rest, &words.paused.to_uppercase(), look.strong());
        take(&mut rest, rows);
    }
    // The next station is the largest, because the coach has to find it.
    let short =
        view.schedule.station_of(after).map_or(view.schedule.block_of(after).name.as_str(), |station| &station.short);
    let rows =
        canvas.letter(Rect { height: rest.height / 2, ..rest }, short, LetterSize::Large(canvas.layout.name), hue);
    take(&mut rest, rows + 1);
    let mut phrases = changeover_phrases(&after.change);
    let side = match after.side_at(after.start) {
        WorkingSide::Left if after.change.side.is_none() => Some(&WORDS.cue.sides.left),
        WorkingSide::Right if after.change.side.is_none() => Some(&WORDS.cue.sides.right),
        _ => None,
    };
    phrases.extend(side.cloned());
    if phrases.is_empty() {
        phrases.push(words.only_movement.clone());
    }
    let foot = 3;
    let size = largest(&phrases, rest.width, rest.height.saturating_sub(foot), LetterSize::Large(canvas.layout.name));
    for phrase in &phrases {
        let room = Rect { height: rest.height.saturating_sub(foot), ..rest };
        let rows =
            canvas.letter(Rect { height: room.height.min(2 * size.rows() + 2), ..room }, phrase, size, look.text());
        take(&mut rest, rows);
    }
    let mut lines = vec![format!(
        "{} · {}",
        fill(&words.given, &[("given", &clock(boundary.given))]),
        fill(&words.needs, &[("needs", &clock(boundary.needs))])
    )];
    if let Some(took) = view.took {
        let mut line = fill(&words.ready_after, &[("took", &seconds(took))]);
        if let Some(group) = view.group {
            line = format!("{line} · {}", fill(&words.for_a_group, &[("group", &seconds(group))]));
        }
        lines.push(line);
    }
    if view.marked {
        lines.push(words.tight.clone());
    }
    rest.y = rest.y.max(body.bottom().saturating_sub(u16::try_from(lines.len()).unwrap_or(1)));
    for line in &lines {
        let room = Rect { height: body.bottom().saturating_sub(rest.y), width: body.width, ..rest };
        rest.y += canvas.put_wrapped(room, line, if *line == words.tight { look.strong() } else { look.text() });
    }
}

/// The largest size, up to `most`, at which all the phrases fit below each other.
fn largest(phrases: &[String], columns: u16, rows: u16, most: LetterSize) -> LetterSize {
    let fits = |size: &LetterSize| {
        let fitted = phrases.iter().map(|phrase| Lettering::fit(phrase, columns, rows, *size));
        let taken = fitted.map(|fitted| if fitted.size == *size { fitted.rows() } else { u16::MAX });
        taken.fold(0, u16::saturating_add) <= rows
    };
    LetterSize::down_from(most).find(fits).unwrap_or(LetterSize::Small).max(LetterSize::Small)
}

fn name<'a>(view: &RehearsalMoment<'a>, span: &Span) -> &'a str {
    match view.schedule.station_of(span) {
        Some(station) => &station.movement.name,
        None => &view.schedule.block_of(span).name,
    }
}

/// Draws what was measured, tight changeovers first, and the question whether to write the changes.
fn table(canvas: &mut Canvas, body: Rect, view: &RehearsalMoment, rows: &[TransitionRow]) {
    let words = &WORDS.rehearse.screen;
    let look = canvas.look;
    let mut y = body.y + canvas.put_wrapped(body, &words.table, look.strong()) + u16::from(canvas.layout.airy);
    let question = if view.changes > 0 {
        fill(&words.write, &[("count", &view.changes.to_string())])
    } else {
        fill(&words.leave, &[("key", KeyBinding::of(RehearseCommand::Ready).map_or("", |key| key.label()))])
    };
    let question_rows = u16::try_from(text::wrapped(&question, body.width).len()).unwrap_or(1);
    let bottom = body.bottom().saturating_sub(question_rows + 1);
    let mut sorted: Vec<&TransitionRow> = rows.iter().collect();
    sorted.sort_by_key(|row| (!row.is_tight(), row.took.is_none()));
    if !sorted.iter().any(|row| row.is_tight()) {
        y += canvas.put_wrapped(Rect { y, height: 1, ..body }, &words.all_fit, look.text());
    }
    let mut shown = 0;
    for row in &sorted {
        let lines = row_words(row);
        let height = u16::try_from(text::wrapped(&lines, body.width).len()).unwrap_or(1);
        let more = u16::from(shown + 1 < sorted.len());
        if y + height + more > bottom {
            break;
        }
        let style = if row.is_tight() { look.strong() } else { look.text() };
        y += canvas.put_wrapped(Rect { y, height, ..body }, &lines, style);
        shown += 1;
    }
    if shown < sorted.len() {
        let more = fill(&words.more_rows, &[("count", &(sorted.len() - shown).to_string())]);
        canvas.put_wrapped(Rect { y, height: 1, ..body }, &more, look.faint());
    }
    let y = body.bottom().saturating_sub(question_rows);
    canvas.put_wrapped(Rect { y, height: question_rows, ..body }, &question, look.strong());
}

/// A changeover in a line: where, to what, what changes, the time available, needed and measured.
pub fn row_words(row: &TransitionRow) -> String {
    let words = &WORDS.rehearse.screen;
    let mut line = format!("{}  {}", row.place, row.to);
    if !row.change.is_empty() {
        line = format!("{line}: {}", row.change);
    }
    line = format!(
        "{line} · {} · {}",
        fill(&words.given, &[("given", &clock(row.given))]),
        fill(&words.needs, &[("needs", &clock(row.needs))])
    );
    line = match (row.took, row.group) {
        (Some(took), Some(group)) if group != took => format!(
            "{line} · {} · {}",
            fill(&words.ready_after, &[("took", &seconds(took))]),
            fill(&words.for_a_group, &[("group", &seconds(group))])
        ),
        (Some(took), _) => format!("{line} · {}", fill(&words.ready_after, &[("took", &seconds(took))])),
        (None, _) => format!("{line} · {}", words.not_measured),
    };
    if row.is_tight() { format!("{line} · {}", words.tight) } else { line }
}

fn help(canvas: &mut Canvas, area: Rect) {
    let look = canvas.look;
    let columns = KEYS.iter().map(|key| text::columns(key.label())).max().unwrap_or(0) + 2;
    let mut y = area.y;
    for key in KEYS {
        canvas.put(area.x, y, key.label(), look.strong());
        let height = area.bottom().saturating_sub(y);
        y += canvas.put_wrapped(Rect { y, height, ..beside(area, columns) }, key.long(), look.text());
    }
}

/// Seconds with one decimal place, rounded up.
fn tenths(length: Tick) -> String {
    let tenths = length.0.div_ceil(100);
    format!("{}.{}", tenths / 10, tenths % 10)
}

fn seconds(length: Tick) -> String {
    format!("{} s", tenths(length))
}
