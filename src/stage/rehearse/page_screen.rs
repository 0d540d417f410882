//! A page of the read-through: everything the coach needs to know about a station, to read before the class.

use class::cue::region_words;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;

use crate::drawing::canvas::{Canvas, ScreenLayout, below, beside};
use crate::drawing::lettering::LetterSize;
use crate::drawing::palette::ScreenTheme;
use crate::drawing::text;
use crate::rehearse::{ReadThroughPage, RehearseCommand};
use crate::runtime::KeyBinding;
use class::cue::changeover_words;
use class::movement::CautionAlternative;
use class::session::{Station, block_letter};
use class::time::clock;
use class::words::{WORDS, fill};

/// Draws a page over the whole frame.
pub fn draw(frame: &mut Frame, page: &ReadThroughPage, look: &ScreenTheme) {
    let area = frame.area();
    let buffer = frame.buffer_mut();
    buffer.set_style(area, look.text());
    let mut canvas = Canvas { buffer, look: *look, layout: ScreenLayout::of(area) };
    let inner = canvas.layout.inner;
    let span = &page.schedule.spans[page.span];
    let block = page.schedule.block_of(span);
    let words = &WORDS.rehearse.screen;
    let title = format!("{} {} · {}", block_letter(span.block), block.name, clock(span.length()));
    let numbers = [("number", (page.index + 1).to_string()), ("count", page.count.to_string())];
    let numbers = numbers.each_ref().map(|(name, value)| (*name, value.as_str()));
    canvas.put(inner.x, inner.y, &title, look.faint());
    canvas.put_right(inner.right(), inner.y, &fill(&words.page, &numbers), look.text());
    let foot = inner.bottom().saturating_sub(1);
    let mut x = inner.x;
    for (press, short) in [
        (RehearseCommand::Ready, words.turn.as_str()),
        (RehearseCommand::Back, KeyBinding::of(RehearseCommand::Back).map_or("", |key| key.short())),
        (RehearseCommand::Again, words.say_again.as_str()),
        (RehearseCommand::Quit, KeyBinding::of(RehearseCommand::Quit).map_or("", |key| key.short())),
    ] {
        x = canvas.put(x, foot, KeyBinding::of(press).map_or("", |key| key.label()), look.strong()) + 1;
        x = canvas.put(x, foot, short, look.faint()) + 2;
    }
    let mut body = below(inner, if canvas.layout.airy { 2 } else { 1 });
    body.height = foot.saturating_sub(body.y);
    let station = page.schedule.station_of(span);
    let name = station.map_or(block.name.as_str(), |station| station.movement.name.as_str());
    let largest = LetterSize::Large(canvas.layout.name);
    let rows = canvas.letter(Rect { height: body.height / 3, ..body }, name, largest, look.hue(span.block));
    let mut left = below(body, rows);
    let change = changeover_words(&span.change);
    let mut lines: Vec<(&str, String, Style)> = Vec::new();
    if !change.is_empty() {
        lines.push((&words.changes_here, change, look.strong()));
    }
    for text in &page.said {
        lines.push((&words.said, format!("\u{201c}{text}\u{201d}"), look.text()));
    }
    if let Some(station) = station {
        about(station, &page.schedule.session.look_after, look, &mut lines);
    }
    let labels = lines.iter().map(|(label, ..)| text::columns(label)).max().unwrap_or(0) + 2;
    let mut last = "";
    for (label, words, style) in &lines {
        if *label != last {
            canvas.put(left.x, left.y, label, look.faint());
            last = label;
        }
        let rows = canvas.put_wrapped(beside(left, labels), words, *style);
        left = below(left, rows);
    }
}

/// Lists what the catalogue and the coach have written about a station. What to do instead for the regions to look
/// after comes before the prompts; all other cautions come last.
fn about(
    station: &Station,
    look_after: &[class::movement::Region],
    look: &ScreenTheme,
    lines: &mut Vec<(&str, String, Style)>,
) {
    let words = &WORDS.rehearse.screen;
    let mut cautions: Vec<_> = station.movement.cautions.iter().collect();
    cautions.sort_by_key(|caution| !look_after.contains(&caution.region));
    let text = look.text();
    if !station.movement.setup.is_empty() {
        lines.push((&words.setup, station.movement.setup.clone(), text));
    }
    let asked_for = |caution: &&&class::movement::Caution| look_after.contains(&caution.region);
    let instead = |caution: &&class::movement::Caution| {
        let instead = match &caution.instead {
            CautionAlternative::Movement { name, .. } => name.clone(),
            CautionAlternative::Text(text) => text.clone(),
            CautionAlternative::LeaveOut => words.leave_out.clone(),
        };
        format!("{} → {instead}", region_words(caution.region))
    };
    for caution in cautions.iter().filter(asked_for) {
        lines.push((&words.look_after, instead(caution), look.strong()));
    }
    lines.extend(station.prompts.iter().map(|prompt| (words.prompt.as_str(), prompt.clone(), text)));
    let watch = |fault: &class::movement::Correction| format!("{} → {}", fault.fault, fault.fix);
    lines.extend(station.faults.iter().map(|fault| (words.watch.as_str(), watch(fault), text)));
    lines.extend(station.easier.iter().map(|tier| (words.easier.as_str(), tier.what.clone(), text)));
    lines.extend(station.harder.iter().map(|tier| (words.harder.as_str(), tier.what.clone(), text)));
    for caution in cautions.iter().filter(|caution| !look_after.contains(&caution.region)) {
        lines.push((&words.look_after, instead(caution), look.faint()));
    }
}
