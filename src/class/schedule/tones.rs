//! Places the tones.

use super::{EventContent, ScheduleEvent, Span, SpanPurpose, Tone};
use crate::session::CallChoice;
use crate::time::Tick;

/// The pips sound this many seconds before the end of a span.
const PIPS: [u64; 3] = [3, 2, 1];

/// The shortest time from the start of a span to a pip. An earlier pip could be taken for the start tone.
const PIP_AFTER_START: Tick = Tick::SECOND;

/// Adds the tones of one span: its start, its switch, the pips before its end, and its end unless work starts there.
pub(super) fn of_span(spans: &[Span], index: usize, calls: &[CallChoice], events: &mut Vec<ScheduleEvent>) {
    let span = &spans[index];
    let mut add = |at: Tick, tone: Tone| events.push(ScheduleEvent { at, span: index, what: EventContent::Tone(tone) });
    if span.purpose == SpanPurpose::Work {
        let other_side_at_once =
            index > 0 && span.change.is_side_only() && spans[index - 1].purpose == SpanPurpose::Work;
        add(span.start, if other_side_at_once { Tone::Switch } else { Tone::Start });
        if let Some(switch_at) = span.switch_start() {
            add(switch_at, Tone::Switch);
        }
    }
    if calls.contains(&CallChoice::Pips) && counts_down(spans, index) {
        for seconds in PIPS {
            if let Some(at) = span.end.checked_sub(Tick::seconds(seconds))
                && at >= span.start + PIP_AFTER_START
                && span.switch_start() != Some(at)
            {
                add(at, Tone::Pip);
            }
        }
    }
    if let Some(tone) = ending(spans, index) {
        add(span.end, tone);
    }
}

/// Whether a span has pips. They announce that something begins or ends at a known time. A rest before a start key has
/// none, because the coach decides when it ends.
fn counts_down(spans: &[Span], index: usize) -> bool {
    let waits_next = spans.get(index + 1).is_some_and(|next| next.gate);
    spans[index].purpose == SpanPurpose::Work || !waits_next
}

/// The tone at the end of a span. None when the start tone of the next span replaces it.
fn ending(spans: &[Span], index: usize) -> Option<Tone> {
    let span = &spans[index];
    let Some(next) = spans.get(index + 1) else {
        return Some(Tone::ClassEnd);
    };
    if next.purpose == SpanPurpose::Work && !next.gate {
        return None;
    }
    let block_over = span.purpose != SpanPurpose::BlockRest
        && (next.block != span.block || next.purpose == SpanPurpose::BlockRest)
        && span.purpose != SpanPurpose::Briefing;
    match span.purpose {
        _ if block_over => Some(Tone::BlockEnd),
        SpanPurpose::Work => Some(Tone::Rest),
        _ => None,
    }
}
