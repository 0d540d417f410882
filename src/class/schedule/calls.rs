//! Places the calls of the time left.

use super::{EventContent, ScheduleEvent, Span, SpanPurpose, TimeCall};
use crate::session::CallChoice;
use crate::time::Tick;

/// Halfway is called only in spans of at least this length.
const HALFWAY_FROM: Tick = Tick::seconds(40);

/// Ten is called only in rests of at least this length (an estimate).
const TEN_IN_REST_FROM: Tick = Tick::seconds(20);

/// The shortest time from the start of a span to a call: people still listen to the start signal (an estimate).
const AFTER_START: Tick = Tick::seconds(5);

/// The time that a call takes to say (an estimate). Of two calls closer than this, only the first in [`TimeCall`] is
/// made.
pub(super) const CALL_ROOM: Tick = Tick(1500);

/// Adds the calls of one span to `events`.
///
/// The countdown shows whole seconds left, rounded up. The number `n` therefore appears exactly `n` seconds before the
/// end, and its call begins on that tick. Halfway begins on the first number that appears after half of the span.
pub(super) fn of_span(spans: &[Span], index: usize, set: &[CallChoice], events: &mut Vec<ScheduleEvent>) {
    let span = &spans[index];
    let mut wanted: Vec<(TimeCall, Tick)> = Vec::new();
    if let Some(switch_at) = span.switch_start() {
        wanted.push((TimeCall::Switch, switch_at));
    }
    for word in set {
        let (call, seconds_left) = match word {
            CallChoice::Ten => (TimeCall::Ten, 10),
            CallChoice::Fifteen => (TimeCall::Fifteen, 15),
            CallChoice::Thirty => (TimeCall::Thirty, 30),
            CallChoice::Halfway => (TimeCall::Halfway, span.length().0 / 2000),
            // A short next span may switch sides while this call is said. Then only the switch is called.
            CallChoice::End if span.purpose == SpanPurpose::Work && !switches_soon(spans.get(index + 1)) => {
                wanted.push((TimeCall::End, span.end));
                continue;
            }
            CallChoice::End => continue,
            CallChoice::Pips => continue,
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
            events.push(ScheduleEvent { at, span: index, what: EventContent::Call(call) });
        }
    }
}

/// Whether a call is made in a span of this kind.
fn belongs(call: TimeCall, spans: &[Span], index: usize) -> bool {
    let span = &spans[index];
    match (call, span.purpose) {
        (_, SpanPurpose::Briefing | SpanPurpose::Transition) => false,
        // A shorter rest has time for either this call or the cue for what comes next, and the cue is more useful.
        (TimeCall::Ten, purpose) => !purpose.is_rest() || span.length() >= TEN_IN_REST_FROM,
        (_, purpose) if purpose.is_rest() => false,
        (TimeCall::Halfway, _) => span.length() >= HALFWAY_FROM && span.switch_start().is_none(),
        // The cue for a change that needs time is said at this point instead.
        (TimeCall::Fifteen, _) => !next_work_costs(spans, index),
        _ => true,
    }
}

/// Whether a span switches sides before a call on its first tick is finished.
fn switches_soon(span: Option<&Span>) -> bool {
    span.is_some_and(|span| span.switch_start().is_some_and(|at| at < span.start + CALL_ROOM))
}

/// Whether the next work after this span begins with a change that needs time.
fn next_work_costs(spans: &[Span], index: usize) -> bool {
    spans[index + 1..]
        .iter()
        .find(|span| span.purpose == SpanPurpose::Work)
        .is_some_and(|span| span.change.needs > Tick::ZERO)
}
