//! The cues of a span as printed: when each is said, a mark at the current one, and which are left unsaid.

use super::scene::SceneContext;
use super::work::digits;
use crate::drawing::pane::{Emphasis, PaneEntry};
use class::cue::{CueOutcome, PlannedCue, UnsaidReason, call_words};
use class::schedule::{Audience, EventContent, Span, TimeCall};
use class::session::SpeechLevel;
use class::time::Tick;
use class::words::{WORDS, fill};

/// The mark before the cue that is being said, or else before the next one.
const MARK: &str = "▸";

/// How long a call is marked: 1 s, until the number changes.
const CALL: Tick = Tick::seconds(1);

/// A cue or a call, with the time it is said.
struct SpokenLine<'a> {
    from: Tick,
    until: Tick,
    what: SpokenContent<'a>,
}

enum SpokenContent<'a> {
    Call(TimeCall),
    Cue(&'a PlannedCue),
}

/// Everything said in a span at the current level, in order.
fn spoken<'a>(at: &SceneContext<'a>, span: &Span) -> Vec<SpokenLine<'a>> {
    let cues = at.moment.cues.iter().filter_map(|cue| match cue.outcome {
        CueOutcome::Spoken { at: from, length } => {
            Some(SpokenLine { from, until: from + length, what: SpokenContent::Cue(cue) })
        }
        CueOutcome::LeftUnsaid(_) => None,
    });
    let events = &at.schedule.events;
    let first = events.partition_point(|event| event.at < span.start);
    let events = events[first..].iter().take_while(|event| event.at < span.end);
    let calls = events.filter_map(|event| match event.what {
        EventContent::Call(call) if at.moment.level >= SpeechLevel::Calls => {
            Some(SpokenLine { from: event.at, until: event.at + CALL, what: SpokenContent::Call(call) })
        }
        _ => None,
    });
    let mut spoken: Vec<SpokenLine> =
        cues.filter(|cue| span.start <= cue.from && cue.from < span.end).chain(calls).collect();
    spoken.sort_by_key(|spoken| spoken.from);
    spoken
}

/// What is said in the current span, each with the number that the digits show then; and what is left unsaid, with the
/// reason.
pub(super) fn entries(at: &SceneContext) -> Vec<PaneEntry> {
    let spoken = spoken(at, at.span);
    let marked = spoken.iter().position(|spoken| spoken.until > at.now);
    let said = spoken.iter().enumerate().map(|(index, spoken)| {
        let mark = if marked == Some(index) { MARK } else { " " };
        let label = format!("{mark} {}", digits(at.span.end.saturating_sub(spoken.from)));
        let weight = match spoken.from <= at.now {
            true if marked == Some(index) => Emphasis::Strong,
            true => Emphasis::Faint,
            false => Emphasis::Plain,
        };
        let (text, gives_way) = match spoken.what {
            SpokenContent::Call(call) => (call_words(call).to_owned(), true),
            SpokenContent::Cue(cue) if cue.audience == Audience::Coach => {
                (fill(&WORDS.screen.pane.in_your_ear, &[("cue", &cue.text)]), false)
            }
            SpokenContent::Cue(cue) => (cue.text.clone(), false),
        };
        PaneEntry { weight, gives_way, ..PaneEntry::new(label, text) }
    });
    said.chain(unsaid(at)).collect()
}

/// The entries that are still to be said, and those left unsaid.
pub(super) fn still_to_say(at: &SceneContext) -> impl Iterator<Item = PaneEntry> {
    let over = spoken(at, at.span).iter().filter(|spoken| spoken.until <= at.now).count();
    entries(at).into_iter().skip(over)
}

/// The cues that had a place between now and the end of the span, but are left unsaid.
fn unsaid<'a>(at: &SceneContext<'a>) -> impl Iterator<Item = PaneEntry> + use<'a> {
    let (now, end) = (at.now, at.span.end);
    at.moment.cues.iter().filter_map(move |cue| match cue.outcome {
        CueOutcome::LeftUnsaid(reason) if cue.window.start < end && now < cue.window.end => {
            let text = fill(&WORDS.screen.pane.left_unsaid, &[("cue", &cue.text), ("reason", &why(reason))]);
            Some(PaneEntry { weight: Emphasis::Faint, ..PaneEntry::new(WORDS.screen.pane.unsaid.as_str(), text) })
        }
        _ => None,
    })
}

fn why(reason: UnsaidReason) -> String {
    let words = &WORDS.screen.unsaid;
    match reason {
        UnsaidReason::NoRoom => words.no_room.clone(),
        UnsaidReason::Call(call) => fill(&words.call, &[("call", call_words(call))]),
        UnsaidReason::Tone(_) => words.tone.clone(),
        UnsaidReason::Cues => words.cues.clone(),
        UnsaidReason::TalkRoom => words.talk_room.clone(),
        UnsaidReason::Quiet => words.quiet.clone(),
        UnsaidReason::Repeated => words.repeated.clone(),
        UnsaidReason::NotNow => words.not_now.clone(),
    }
}

/// The ticks of the current span at which these entries change.
pub(super) fn change_ticks(at: &SceneContext) -> Vec<Tick> {
    let spoken = spoken(at, at.span).into_iter().flat_map(|spoken| [spoken.from, spoken.until]);
    let unsaid =
        at.moment.cues.iter().filter(|cue| matches!(cue.outcome, CueOutcome::LeftUnsaid(_))).map(|cue| cue.window.end);
    spoken.chain(unsaid).collect()
}
