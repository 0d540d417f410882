//! The screen before the class.

use std::time::Duration;

use ratatui::layout::Rect;

use super::scene::SceneContext;
use super::{end_and_spare, work};
use crate::drawing::canvas::{Canvas, below, beside};
use crate::drawing::lettering::{FillStyle, LetterSize, Lettering};
use crate::drawing::pane::PaneEntry;
use crate::drawing::{pane, text};
use crate::lead::{ClassPhase, LeadCommand};
use class::movement::{KitItem, Load, NeededKit};
use class::schedule::SpanPurpose;
use class::session::{KitAmount, OwnedKit};
use class::time::{Tick, clock};
use class::words::{WORDS, fill};

/// Draws the time to the start, the first stations, the state of the laptop, and what the class is told first.
pub(super) fn draw(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let look = canvas.look;
    let (begins, waited) = match at.moment.phase {
        ClassPhase::Ready { begins_in, waited } => (begins_in, waited),
        _ => (None, Duration::ZERO),
    };
    let cautions: Vec<String> = WORDS
        .screen
        .lines
        .cautions
        .iter()
        .flat_map(|words| text::wrapped(words, body.width.saturating_sub(2)))
        .collect();
    let caution_rows = u16::try_from(cautions.len()).unwrap_or(u16::MAX);
    let upper = Rect { height: body.height.saturating_sub(caution_rows + 1), ..body };
    let title = Lettering::fit(
        &at.schedule.session.title,
        upper.width,
        upper.height.saturating_sub(9),
        LetterSize::Large(canvas.layout.name),
    );
    let rows = title.draw(canvas.buffer, upper, ratatui::layout::Alignment::Left, FillStyle::Solid, look.strong());
    let upper = below(upper, rows + u16::from(upper.height > rows + 8));
    let words = begins.map_or(WORDS.screen.signs.ready.clone(), |left| work::digits(Tick::of(left)));
    let scale = if upper.height >= 4 * canvas.layout.digits { canvas.layout.digits } else { 1 };
    let hue = look.hue(at.span.block);
    let start = Lettering::fit(&words, upper.width / 2, upper.height.saturating_sub(1), LetterSize::Large(scale));
    let rows = start.draw(canvas.buffer, upper, ratatui::layout::Alignment::Left, FillStyle::Solid, hue);
    let said = if begins.is_some() { &WORDS.screen.lines.starts_by_itself } else { &WORDS.screen.lines.start_key };
    let said = fill(said, &[("key", at.moment.keymap.label(LeadCommand::Go))]);
    let left = start.columns().max(20).min(upper.width / 2);
    canvas.put_wrapped(Rect { width: left, ..below(upper, rows) }, &said, look.faint());
    pane::draw(canvas, beside(upper, left + 4), &entries(at), waited.as_secs());
    let lower = below(body, body.height.saturating_sub(caution_rows));
    let mut y = lower.y;
    for words in &WORDS.screen.lines.cautions {
        canvas.put(lower.x, y, "·", look.faint());
        y += canvas.put_wrapped(
            Rect { y, height: lower.bottom().saturating_sub(y), ..beside(lower, 2) },
            words,
            look.text(),
        );
    }
}

fn entries(at: &SceneContext) -> Vec<PaneEntry> {
    let session = &at.schedule.session;
    let mut entries = Vec::new();
    let mut first: Vec<&str> = Vec::new();
    for span in at.schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
        let name = at.name(span);
        if first.last() != Some(&name) {
            first.push(name);
        }
        if first.len() == 3 {
            break;
        }
    }
    entries.push(PaneEntry::new(&*WORDS.screen.pane.first, first.join(", ")));
    if !session.kit.is_empty() {
        entries.push(PaneEntry::new(
            &*WORDS.screen.pane.kit,
            session.kit.iter().map(owned).collect::<Vec<_>>().join(", "),
        ));
    }
    entries.push(PaneEntry::new(&*WORDS.screen.pane.length, length(at)));
    let machine = at.moment.machine.iter();
    entries
        .extend(machine.map(|(label, value)| PaneEntry::new(&*WORDS.screen.pane.system, format!("{label}: {value}"))));
    entries
}

/// The length of the class, its end, and the spare time of its slot.
fn length(at: &SceneContext) -> String {
    let mut words = vec![clock(Tick::seconds(at.schedule.total().countdown_seconds()))];
    words.extend(end_and_spare::end_and_spare(at.moment));
    words.join(" · ")
}

fn owned(kit: &OwnedKit) -> String {
    let words = &WORDS.screen.amounts;
    let (wording, number) = match kit.amount {
        KitAmount::Each(each) => (&words.kit_each, each.to_string()),
        KitAmount::Shared(shared) => (&words.kit_shared, shared.to_string()),
    };
    fill(wording, &[("kit", &loaded(kit.load, &kit.item)), ("number", &number)])
}

/// Kit with its load: `light dumbbell`.
fn loaded(load: Option<Load>, item: &KitItem) -> String {
    load.map_or_else(|| item.0.clone(), |load| format!("{} {item}", WORDS.cue.loads[&load]))
}

/// What each person needs at a station: `2 × light dumbbell, mat`.
pub(super) fn needs(kit: &[NeededKit]) -> String {
    let words = kit.iter().map(|need| {
        let count = if need.count > 1 { format!("{} × ", need.count) } else { String::new() };
        format!("{count}{}", loaded(need.load, &need.item))
    });
    words.collect::<Vec<_>>().join(", ")
}
