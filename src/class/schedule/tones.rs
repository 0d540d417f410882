//! Places the tones.

use super::{Event, Purpose, Span, Tone, What};
use crate::session::CallWord;
use crate::time::Tick;

/// The pips sound this many seconds before the end of a span.
const PIPS: [u64; 3] = [3, 2, 1];

/// The shortest time from the start of a span to a pip. An earlier pip could be taken for the start tone.
const PIP_AFTER_START: Tick = Tick::SECOND;

/// Adds the tones of one span: its start, its switch, the pips before its end, and its end unless work starts there.
pub(super) fn of_span(spans: &[Span], index: usize, calls: &[CallWord], events: &mut Vec<Event>) {
    let span = &spans[index];
    let mut add = |at: Tick, tone: Tone| events.push(Event { at, span: index, what: What::Tone(tone) });
    if span.purpose == Purpose::Work {
        let other_side_at_once = index > 0 && span.change.is_side_only() && spans[index - 1].purpose == Purpose::Work;
        add(span.start, if other_side_at_once { Tone::Switch } else { Tone::Start });
        if let Some(switch_at) = span.switch_at() {
            add(switch_at, Tone::Switch);
        }
    }
    if calls.contains(&CallWord::Pips) && counts_down(spans, index) {
        for seconds in PIPS {
            if let Some(at) = span.end.checked_sub(Tick::seconds(seconds))
                && at >= span.start + PIP_AFTER_START
                && span.switch_at() != Some(at)
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
    spans[index].purpose == Purpose::Work || !waits_next
}

/// The tone at the end of a span. None when the start tone of the next span replaces it.
fn ending(spans: &[Span], index: usize) -> Option<Tone> {
    let span = &spans[index];
    let Some(next) = spans.get(index + 1) else {
        return Some(Tone::ClassEnd);
    };
    if next.purpose == Purpose::Work && !next.gate {
        return None;
    }
    let block_over = span.purpose != Purpose::BlockRest
        && (next.block != span.block || next.purpose == Purpose::BlockRest)
        && span.purpose != Purpose::Briefing;
    match span.purpose {
        _ if block_over => Some(Tone::BlockEnd),
        Purpose::Work => Some(Tone::Rest),
        _ => None,
    }
}
