//! Places the calls of the time left.

use super::{Call, Event, Purpose, Span, What};
use crate::session::CallWord;
use crate::time::Tick;

/// Halfway is called only in spans of at least this length.
const HALFWAY_FROM: Tick = Tick::seconds(40);

/// Ten is called only in rests of at least this length (an estimate).
const TEN_IN_REST_FROM: Tick = Tick::seconds(20);

/// The shortest time from the start of a span to a call: people still listen to the start signal (an estimate).
const AFTER_START: Tick = Tick::seconds(5);

/// The time that a call takes to say (an estimate). Of two calls closer than this, only the first in [`Call`] is made.
pub const CALL_ROOM: Tick = Tick(1500);

/// Adds the calls of one span to `events`.
///
/// The countdown shows whole seconds left, rounded up. The number `n` therefore appears exactly `n` seconds before the
/// end, and its call begins on that tick. Halfway begins on the first number that appears after half of the span.
pub(super) fn of_span(spans: &[Span], index: usize, set: &[CallWord], events: &mut Vec<Event>) {
    let span = &spans[index];
    let mut wanted: Vec<(Call, Tick)> = Vec::new();
    if let Some(switch_at) = span.switch_at() {
        wanted.push((Call::Switch, switch_at));
    }
    for word in set {
        let (call, seconds_left) = match word {
            CallWord::Ten => (Call::Ten, 10),
            CallWord::Fifteen => (Call::Fifteen, 15),
            CallWord::Thirty => (Call::Thirty, 30),
            CallWord::Halfway => (Call::Halfway, span.length().0 / 2000),
            // A short next span may switch sides while this call is said. Then only the switch is called.
            CallWord::End if span.purpose == Purpose::Work && !switches_soon(spans.get(index + 1)) => {
                wanted.push((Call::End, span.end));
                continue;
            }
            CallWord::End => continue,
            CallWord::Pips => continue,
        };
        if !belongs(call, spans, index) {
            continue;
        }
        if let Some(at) = span.end.checked_sub(Tick::seconds(seconds_left))
            && at >= span.start + AFTER_START
        {
            wanted.push((call, at));
        }
    }
    wanted.sort();
    wanted.dedup_by_key(|(call, _)| *call);
    let mut placed: Vec<Tick> = Vec::new();
    for (call, at) in wanted {
        if placed.iter().all(|&other| at >= other + CALL_ROOM || other >= at + CALL_ROOM) {
            placed.push(at);
            events.push(Event { at, span: index, what: What::Call(call) });
        }
    }
}

/// Whether a call is made in a span of this kind.
fn belongs(call: Call, spans: &[Span], index: usize) -> bool {
    let span = &spans[index];
    match (call, span.purpose) {
        (_, Purpose::Briefing | Purpose::Transition) => false,
        // A shorter rest has room for either this call or the cue for what comes next, and the cue is more useful.
        (Call::Ten, purpose) => !purpose.is_rest() || span.length() >= TEN_IN_REST_FROM,
        (_, purpose) if purpose.is_rest() => false,
        (Call::Halfway, _) => span.length() >= HALFWAY_FROM && span.switch_at().is_none(),
        // The cue for a change that needs time is said at this point instead.
        (Call::Fifteen, _) => !next_work_costs(spans, index),
        _ => true,
    }
}

/// Whether a span switches sides before a call on its first tick is finished.
fn switches_soon(span: Option<&Span>) -> bool {
    span.is_some_and(|span| span.switch_at().is_some_and(|at| at < span.start + CALL_ROOM))
}

/// Whether the next work after this span begins with a change that needs time.
fn next_work_costs(spans: &[Span], index: usize) -> bool {
    spans[index + 1..]
        .iter()
        .find(|span| span.purpose == Purpose::Work)
        .is_some_and(|span| span.change.needs > Tick::ZERO)
}
