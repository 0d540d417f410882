//! The session fits the time for which the room is booked.

use super::CheckRule;
use crate::schedule::{Schedule, SpanPurpose};
use crate::session::fault::{Fault, FaultCode, LazyPath, Severity};
use crate::time::{Tick, clock};

pub(super) const ABOUT: CheckRule = CheckRule {
    code: FaultCode::SlotExceeded,
    severity: Severity::Warning,
    source: "the session's own slot; that more than twice the slot is a typing mistake is our estimate",
    explain: "The class takes longer than the room is booked for. More than twice as long is a fault: the slot or a length is then probably mistyped.",
};

/// A session longer than this many times its slot is a typing mistake in the file, not a full plan.
const FAR: u64 = 2;

/// Adds a warning if the session is longer than its slot, or a fault if it is more than twice as long.
pub(super) fn check(schedule: &Schedule, found: &mut Vec<Fault>) {
    let (Some(slot), total) = (schedule.session.slot, schedule.total()) else { return };
    let over = total.saturating_sub(slot);
    if over == Tick::ZERO {
        return;
    }
    let far = total.0 > slot.0.saturating_mul(FAR);
    let message = format!("the session takes {} and the slot is {}: {} over", clock(total), clock(slot), clock(over));
    let fault = Fault::new(FaultCode::SlotExceeded, LazyPath::FILE.field("slot").value(), message);
    let severity = if far { Severity::Fault } else { Severity::Warning };
    found.push(Fault { severity, ..fault }.help(smallest_cut(schedule, over)));
}

/// The help: the smallest cut of one round that makes the session fit, if there is one.
fn smallest_cut(schedule: &Schedule, over: Tick) -> String {
    let mut best: Option<(Tick, &str)> = None;
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        if block.rounds < 2 {
            continue;
        }
        let last = block.passes() - 1;
        let spans = schedule.spans.iter().filter(|span| span.block == index && span.round == last);
        let round: Tick = spans.filter(|span| span.purpose != SpanPurpose::BlockRest).map(|span| span.length()).sum();
        let saved = round + block.round_rest;
        if saved >= over && best.is_none_or(|(least, _)| saved < least) {
            best = Some((saved, &block.name));
        }
    }
    match best {
        Some((saved, name)) => format!("one round fewer of \"{name}\" saves about {}", clock(saved)),
        None => "shorten work or rests, take out rounds or stations, or set a longer slot".to_owned(),
    }
}
