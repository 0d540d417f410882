//! The screen after the class: how the class compares with the plan, and what to do next.

use ratatui::layout::Rect;

use super::end_and_spare;
use super::scene::SceneContext;
use crate::drawing::canvas::{Canvas, below};
use crate::drawing::lettering::LetterSize;
use crate::drawing::pane::{self, PaneEntry};
use crate::drawing::text;
use crate::lead::{LeadCommand, Moment};
use class::schedule::SpanPurpose;
use class::time::{Tick, clock};
use class::words::{CountedWord, WORDS, fill};

/// Draws the end of the class.
pub(super) fn draw(canvas: &mut Canvas, body: Rect, at: &SceneContext) {
    let look = canvas.look;
    let (body, last) =
        (Rect { height: body.height.saturating_sub(1), ..body }, below(body, body.height.saturating_sub(1)));
    // A key map of a few buttons has no quit button: there the go button leaves.
    let keymap = at.moment.keymap;
    let leaves = keymap.label(if keymap.is_empty() { LeadCommand::Quit } else { LeadCommand::Go });
    canvas.put_wrapped(last, &fill(&WORDS.screen.lines.done_key, &[("key", leaves)]), look.faint());
    let entries = entries(at);
    let columns = body.width.saturating_sub(pane::labels(&entries));
    let wanted = entries.iter().map(|entry| text::wrapped(&entry.text, columns).len()).sum::<usize>();
    let wanted = u16::try_from(wanted).unwrap_or(u16::MAX).saturating_add(2);
    let largest = LetterSize::Large(canvas.layout.digits);
    let size = if largest.rows().saturating_add(wanted) > body.height { LetterSize::Large(1) } else { largest };
    let sign = Rect { height: size.rows().min(body.height), ..body };
    let rows = canvas.letter(sign, &WORDS.screen.signs.done, size, look.hue(at.span.block));
    let mut area = below(body, rows);
    let went = outcome_line(at);
    let left = area.height.saturating_sub(wanted);
    let rows = match canvas.layout.name {
        1 => canvas.put_wrapped(area, &went, look.strong()),
        _ => canvas.letter(Rect { height: left, ..below(area, 1) }, &went, LetterSize::Small, look.strong()) + 1,
    };
    area = below(area, rows);
    pane::draw(canvas, below(area, u16::from(area.height >= wanted)), &entries, 0);
}

/// Compares the class with the plan in a line: `ended 19:01 · 1:12 later than planned · paused 1:02 · 5 changes`.
fn outcome_line(at: &SceneContext) -> String {
    let moment = at.moment;
    let words = &WORDS.screen.account;
    let mut parts = Vec::new();
    if let Some(time) = &moment.ends_at {
        parts.push(fill(&words.ended, &[("time", time)]));
    }
    parts.push(against_plan(moment));
    if moment.lost.as_secs() > 0 {
        parts.push(fill(&words.paused, &[("length", &minutes(Tick::of(moment.lost)))]));
    }
    parts.push(counted(&words.changes, &words.no_changes, moment.changed.changes));
    parts.join(" · ")
}

/// How much later or earlier the class ended than planned, with all pauses and waits.
fn against_plan(moment: &Moment) -> String {
    let words = &WORDS.screen.account;
    let total = moment.schedule.total();
    let planned = moment.changed.plan.map_or(total, |plan| plan.total());
    let late = (total + Tick::of(moment.lost)).0 as i64 - planned.0 as i64;
    let wording = match late / 1000 {
        0 => return words.as_planned.clone(),
        1.. => &words.later,
        _ => &words.earlier,
    };
    fill(wording, &[("length", &minutes(Tick(late.unsigned_abs())))])
}

fn entries(at: &SceneContext) -> Vec<PaneEntry> {
    let moment = at.moment;
    let words = &WORDS.screen.pane;
    let account = &WORDS.screen.account;
    let total = at.schedule.total();
    let work = at.schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work);
    let mut length = minutes(total);
    if let Some(plan) = moment.changed.plan.filter(|plan| plan.total() != total) {
        length = fill(&account.length, &[("length", &length), ("planned", &minutes(plan.total()))]);
    }
    let mut entries = Vec::new();
    if moment.changed.marks > 0 {
        let flags = counted(&account.marks, &account.marks.1, moment.changed.marks);
        entries.push(PaneEntry::new(&*words.marked, flags));
    }
    entries.extend(end_and_spare::debt_entries(at));
    entries.push(PaneEntry::new(&*words.notes, &*account.notes));
    entries.push(PaneEntry::new(&*words.length, length));
    entries.push(PaneEntry::new(&*words.worked, minutes(work.map(|span| span.length()).sum())));
    entries
}

fn counted(words: &CountedWord, none: &str, number: usize) -> String {
    let wording = match number {
        0 => none,
        1 => &words.0,
        _ => &words.1,
    };
    fill(wording, &[("number", &number.to_string())])
}

fn minutes(length: Tick) -> String {
    clock(Tick::seconds(length.0 / 1000))
}
