//! Where the calls of the time left fall.

use super::{Call, Event, Purpose, Span, What};
use crate::session::CallWord;
use crate::time::Tick;

/// Halfway is called only in spans of this length and more.
const HALFWAY_FROM: Tick = Tick::seconds(40);

/// Ten is called only in rests of this length and more (est.).
const TEN_IN_REST_FROM: Tick = Tick::seconds(20);

/// A call falls at the earliest this long after its span began: the start is still in everybody's ears (est.).
const AFTER_START: Tick = Tick::seconds(5);

/// What a call takes to say (est.). A call that would fall into another's room gives way by precedence.
pub const CALL_ROOM: Tick = Tick(1500);

/// The calls of one span.
///
/// Digits show whole seconds left, rounded up, so the number `n` appears exactly `n` seconds before the end, and
/// that is where its call begins. Halfway begins with the first number that appears when half has passed.
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
            // The switch of a short next span may fall into its room, and comes first.
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
        // A shorter rest has room for what comes next or for this, and what comes next is of more use.
        (Call::Ten, purpose) => !purpose.is_rest() || span.length() >= TEN_IN_REST_FROM,
        (_, purpose) if purpose.is_rest() => false,
        (Call::Halfway, _) => span.length() >= HALFWAY_FROM && span.switch_at().is_none(),
        // The cue of a change that costs time stands there instead.
        (Call::Fifteen, _) => !next_work_costs(spans, index),
        _ => true,
    }
}

/// Whether a span switches sides before a call on its first tick is said.
fn switches_soon(span: Option<&Span>) -> bool {
    span.is_some_and(|span| span.switch_at().is_some_and(|at| at < span.start + CALL_ROOM))
}

/// Whether the work after this span begins with a change that takes time.
fn next_work_costs(spans: &[Span], index: usize) -> bool {
    spans[index + 1..]
        .iter()
        .find(|span| span.purpose == Purpose::Work)
        .is_some_and(|span| span.change.needs > Tick::ZERO)
}
