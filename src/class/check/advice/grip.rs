//! The hands get a break from one grip.

use super::{AdviceRule, RuleFunction, block_spot};
use crate::movement::{KitItem, Muscle, Pattern};
use crate::schedule::{Schedule, Span, SpanPurpose};
use crate::session::Block;
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::time::{Tick, clock};

/// The longest work in one grip and pattern. Our estimate.
const LONGEST: Tick = Tick::seconds(180);
/// The shortest rest that relaxes the hand. Our estimate.
const REST: Tick = Tick::seconds(10);

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::SameGrip,
    severity: Severity::Info,
    source: "our estimate: 3 min at most; a rest of 10 s relaxes the hand",
    explain: "The same kit is gripped in the same movement pattern for more than 3 min, with no rest of 10 s and no other work between. Not checked in a block with a focus, or where two thirds of the stations share a pattern: there it is intended.",
    find: RuleFunction::Class(find),
};

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    let (mut held, mut since, mut work) = (None, 0, Tick::ZERO);
    for span in &schedule.spans {
        if span.purpose != SpanPurpose::Work {
            if span.length() >= REST {
                held = None;
            }
            continue;
        }
        let now = grip(schedule, span);
        if now.is_none() || now != held {
            (held, since, work) = (now, span.block, Tick::ZERO);
        }
        let before = work;
        work += span.length().saturating_sub(span.settle);
        if let Some((item, pattern)) = held.filter(|_| before <= LONGEST && work > LONGEST) {
            let message =
                format!("more than {} of {} with the {item} in hand and no break", clock(LONGEST), pattern.words());
            found.push(RULE.finding(block_spot(since), message).help("add a rest of 10 s, or put other work between"));
        }
    }
}

/// The kit in hand and the movement pattern. None when the span does not tire the hands, or when the block intends it.
fn grip<'a>(schedule: &'a Schedule, span: &Span) -> Option<(&'a KitItem, Pattern)> {
    let block = schedule.block_of(span);
    let station = schedule.station_of(span).filter(|_| block.focus.is_empty() && !has_theme(block))?;
    let movement = &station.movement;
    let hands = movement.prime.contains(&Muscle::Forearms) || movement.helping.contains(&Muscle::Forearms);
    let item = station.kit.iter().find(|need| !need.item.stays_on_floor()).filter(|_| hands)?;
    Some((&item.item, movement.pattern))
}

/// Whether at least four stations in six share a pattern.
fn has_theme(block: &Block) -> bool {
    let share = |pattern: Pattern| block.stations.iter().filter(|station| station.movement.pattern == pattern).count();
    Pattern::ALL.iter().any(|&pattern| share(pattern) * 6 >= block.stations.len() * 4)
}
