//! Before the class and after it.

use ratatui::layout::Rect;

use super::lettering::{Fill, Lettering, Size};
use super::pane::Entry;
use super::scene::At;
use super::stage::{Stage, below, beside};
use super::{labels, pane, text, work};
use crate::lead::Phase;
use crate::movement::KitNeed;
use crate::schedule::Purpose;
use crate::session::{Amount, KitOwned};
use crate::time::{Tick, clock};

/// Time to start, what the class begins with, how the machine stands, and what the class is told first.
pub(super) fn draw(stage: &mut Stage, body: Rect, at: &At) {
    let look = stage.look;
    let (begins, waited) = match at.moment.phase {
        Phase::Ready { begins_in_ms, waited_ms } => (begins_in_ms, waited_ms),
        _ => (None, 0),
    };
    let cautions: Vec<String> =
        labels::CAUTIONS.iter().flat_map(|words| text::wrapped(words, body.width.saturating_sub(2))).collect();
    let caution_rows = u16::try_from(cautions.len()).unwrap_or(u16::MAX);
    let upper = Rect { height: body.height.saturating_sub(caution_rows + 1), ..body };
    let title = Lettering::fit(
        &at.schedule.session.title,
        upper.width,
        upper.height.saturating_sub(9),
        Size::Large(stage.room.name),
    );
    let rows = title.draw(stage.buffer, upper, ratatui::layout::Alignment::Left, Fill::Solid, look.strong());
    let upper = below(upper, rows + u16::from(upper.height > rows + 8));
    let words = begins.map_or(labels::READY.to_owned(), |ms| work::digits(Tick(ms)));
    let scale = if upper.height >= 4 * stage.room.digits { stage.room.digits } else { 1 };
    let hue = look.hue(at.span.block);
    let start = Lettering::fit(&words, upper.width / 2, upper.height.saturating_sub(1), Size::Large(scale));
    let rows = start.draw(stage.buffer, upper, ratatui::layout::Alignment::Left, Fill::Solid, hue);
    let said = if begins.is_some() { labels::STARTS_BY_ITSELF } else { labels::START_KEY };
    let left = start.columns().max(20).min(upper.width / 2);
    stage.put_wrapped(Rect { width: left, ..below(upper, rows) }, said, look.faint());
    pane::draw(stage, beside(upper, left + 4), &entries(at), waited / 1000);
    let lower = below(body, body.height.saturating_sub(caution_rows));
    let mut y = lower.y;
    for words in labels::CAUTIONS {
        stage.put(lower.x, y, "·", look.faint());
        y += stage.put_wrapped(
            Rect { y, height: lower.bottom().saturating_sub(y), ..beside(lower, 2) },
            words,
            look.text(),
        );
    }
}

fn entries(at: &At) -> Vec<Entry> {
    let session = &at.schedule.session;
    let mut entries = Vec::new();
    let mut first: Vec<&str> = Vec::new();
    for span in at.schedule.spans.iter().filter(|span| span.purpose == Purpose::Work) {
        let name = at.name(span);
        if first.last() != Some(&name) {
            first.push(name);
        }
        if first.len() == 3 {
            break;
        }
    }
    entries.push(Entry::new(labels::FIRST, first.join(", ")));
    if !session.kit.is_empty() {
        entries.push(Entry::new(labels::KIT, session.kit.iter().map(owned).collect::<Vec<_>>().join(", ")));
    }
    entries.push(Entry::new(labels::LENGTH, length(at)));
    entries.extend(at.moment.machine.iter().map(|(label, value)| Entry {
        label: labels::MACHINE,
        text: format!("{label}: {value}"),
        strong: false,
    }));
    entries
}

/// The length of the class, when it ends, and what is left of the slot.
fn length(at: &At) -> String {
    let mut words = vec![clock(Tick::seconds(at.schedule.total().digits()))];
    words.extend(at.moment.ends_at.iter().map(|end| format!("ends {end}")));
    if let Some(spare) = at.moment.spare_ms {
        let length = clock(Tick::seconds(spare.unsigned_abs() / 1000));
        words.push(if spare < 0 { format!("over by {length}") } else { format!("spare {length}") });
    }
    words.join(" · ")
}

fn owned(kit: &KitOwned) -> String {
    let load = kit.load.map(|load| format!("{} ", load.words())).unwrap_or_default();
    let amount = match kit.amount {
        Amount::Each(each) => format!("{each} each"),
        Amount::Shared(shared) => format!("{shared} shared"),
    };
    format!("{load}{} {amount}", kit.item)
}

/// What each person needs at a station: `2 × light dumbbell, mat`.
pub(super) fn needs(kit: &[KitNeed]) -> String {
    let words = kit.iter().map(|need| {
        let count = if need.count > 1 { format!("{} × ", need.count) } else { String::new() };
        let load = need.load.map(|load| format!("{} ", load.words())).unwrap_or_default();
        format!("{count}{load}{}", need.item)
    });
    words.collect::<Vec<_>>().join(", ")
}

/// The end.
pub(super) fn done(stage: &mut Stage, body: Rect, at: &At) {
    let look = stage.look;
    let size = Size::Large(stage.room.digits);
    let hue = look.hue(at.span.block);
    let rows = stage.letter(Rect { height: size.rows().min(body.height), ..body }, labels::DONE, size, hue);
    let area = below(body, rows + 1);
    let worked: Tick =
        at.schedule.spans.iter().filter(|span| span.purpose == Purpose::Work).map(|span| span.length()).sum();
    let minutes = |length: Tick| clock(Tick::seconds(length.0 / 1000));
    let mut entries = vec![
        Entry::new(labels::LENGTH, minutes(at.schedule.total())),
        Entry::new(labels::WORKED, minutes(worked)),
        Entry::new(labels::LOST, minutes(Tick(at.moment.lost_ms))),
    ];
    entries.extend(at.moment.ends_at.iter().map(|end| Entry::new(labels::ENDED, end.as_str())));
    let rows = stage.put_wrapped(area, &at.schedule.session.title, look.strong());
    let area = below(area, rows + 1);
    let rows = pane::draw(stage, area, &entries, 0);
    stage.put_wrapped(below(area, rows + 1), labels::DONE_KEY, look.faint());
}
