//! Lays spans end to end and adds their tones and calls.

use std::sync::Arc;

use super::{ChangeoverCosts, Schedule, ScheduleEvent, Span, calls, tones};
use crate::session::Session;
use crate::time::Tick;

/// Lays spans end to end from tick 0, keeping their lengths, and derives tones and calls from them. Spans of length 0
/// are left out.
///
/// A live change passes in the past spans and those still to do. A span that has not moved keeps all its ticks. `costs`
/// are the costs from which the lengths of the transitions were taken.
pub fn lay_out(session: Arc<Session>, costs: Arc<ChangeoverCosts>, spans: Vec<Span>) -> Schedule {
    let mut at = Tick::ZERO;
    let mut laid = Vec::with_capacity(spans.len());
    for mut span in spans {
        let length = span.length();
        if length == Tick::ZERO {
            continue;
        }
        span.start = at;
        at += length;
        span.end = at;
        laid.push(span);
    }
    let mut events = Vec::new();
    for index in 0..laid.len() {
        let calls = &session.blocks[laid[index].block].calls;
        tones::of_span(&laid, index, calls, &mut events);
        calls::of_span(&laid, index, calls, &mut events);
    }
    events.sort_by_key(ScheduleEvent::order);
    Schedule { session, costs, spans: laid, events }
}
