//! The cues of a span as printed: when each is said, a mark at the current one, and which are left unsaid.

use super::scene::At;
use super::work::digits;
use crate::drawing::pane::{Entry, Weight};
use class::cue::{Fate, PlannedCue, Reason, call_words};
use class::schedule::{Audience, Call, Span, What};
use class::session::Level;
use class::time::Tick;
use class::words::{WORDS, fill};

/// The mark before the cue that is being said, or else before the next one.
const MARK: &str = "▸";

/// How long a call is marked: 1 s, until the number changes.
const CALL: Tick = Tick::seconds(1);

/// A cue or a call, with the time it is said.
struct Spoken<'a> {
    from: Tick,
    until: Tick,
    what: Words<'a>,
}

enum Words<'a> {
    Call(Call),
    Cue(&'a PlannedCue),
}

/// Everything said in a span at the current level, in order.
fn spoken<'a>(at: &At<'a>, span: &Span) -> Vec<Spoken<'a>> {
    let cues = at.moment.cues.iter().filter_map(|cue| match cue.fate {
        Fate::Said { at: from, length } => Some(Spoken { from, until: from + length, what: Words::Cue(cue) }),
        Fate::Unsaid(_) => None,
    });
    let events = &at.schedule.events;
    let first = events.partition_point(|event| event.at < span.start);
    let events = events[first..].iter().take_while(|event| event.at < span.end);
    let calls = events.filter_map(|event| match event.what {
        What::Call(call) if at.moment.level >= Level::Calls => {
            Some(Spoken { from: event.at, until: event.at + CALL, what: Words::Call(call) })
        }
        _ => None,
    });
    let mut spoken: Vec<Spoken> =
        cues.filter(|cue| span.start <= cue.from && cue.from < span.end).chain(calls).collect();
    spoken.sort_by_key(|spoken| spoken.from);
    spoken
}

/// What is said in the current span, each with the number that the digits show then; and what is left unsaid, with the
/// reason.
pub(super) fn entries(at: &At) -> Vec<Entry> {
    let spoken = spoken(at, at.span);
    let marked = spoken.iter().position(|spoken| spoken.until > at.now);
    let said = spoken.iter().enumerate().map(|(index, spoken)| {
        let mark = if marked == Some(index) { MARK } else { " " };
        let label = format!("{mark} {}", digits(at.span.end.less(spoken.from)));
        let weight = match spoken.from <= at.now {
            true if marked == Some(index) => Weight::Strong,
            true => Weight::Faint,
            false => Weight::Plain,
        };
        let (text, gives_way) = match spoken.what {
            Words::Call(call) => (call_words(call).to_owned(), true),
            Words::Cue(cue) if cue.audience == Audience::Coach => {
                (fill(&WORDS.screen.pane.in_your_ear, &[("cue", &cue.text)]), false)
            }
            Words::Cue(cue) => (cue.text.clone(), false),
        };
        Entry { weight, gives_way, ..Entry::new(label, text) }
    });
    said.chain(unsaid(at)).collect()
}

/// The entries that are still to be said, and those left unsaid.
pub(super) fn still(at: &At) -> impl Iterator<Item = Entry> {
    let over = spoken(at, at.span).iter().filter(|spoken| spoken.until <= at.now).count();
    entries(at).into_iter().skip(over)
}

/// The cues that had a place between now and the end of the span, but are left unsaid.
fn unsaid<'a>(at: &At<'a>) -> impl Iterator<Item = Entry> + use<'a> {
    let (now, end) = (at.now, at.span.end);
    at.moment.cues.iter().filter_map(move |cue| match cue.fate {
        Fate::Unsaid(reason) if cue.window.start < end && now < cue.window.end => {
            let text = fill(&WORDS.screen.pane.left_unsaid, &[("cue", &cue.text), ("reason", &why(reason))]);
            Some(Entry { weight: Weight::Faint, ..Entry::new(WORDS.screen.pane.unsaid.as_str(), text) })
        }
        _ => None,
    })
}

fn why(reason: Reason) -> String {
    let words = &WORDS.screen.unsaid;
    match reason {
        Reason::NoRoom => words.no_room.clone(),
        Reason::Call(call) => fill(&words.call, &[("call", call_words(call))]),
        Reason::Tone(_) => words.tone.clone(),
        Reason::Cues => words.cues.clone(),
        Reason::TalkRoom => words.talk_room.clone(),
        Reason::Quiet => words.quiet.clone(),
        Reason::Repeated => words.repeated.clone(),
        Reason::NotNow => words.not_now.clone(),
    }
}

/// The ticks of the current span at which these entries change.
pub(super) fn turns(at: &At) -> Vec<Tick> {
    let spoken = spoken(at, at.span).into_iter().flat_map(|spoken| [spoken.from, spoken.until]);
    let unsaid = at.moment.cues.iter().filter(|cue| matches!(cue.fate, Fate::Unsaid(_))).map(|cue| cue.window.end);
    spoken.chain(unsaid).collect()
}
