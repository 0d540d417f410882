//! Stations are in the order that needs the fewest kit changes.

use super::{AdviceRule, RuleFunction, block_spot};
use crate::movement::{Muscle, NeededKit};
use crate::schedule::{Schedule, SpanPurpose};
use crate::session::fault::{Fault, FaultCode, Severity};
use crate::session::{Block, BlockFormat, BlockKind, TransitionMode};
use crate::time::Tick;

/// The best order is searched for up to this many stations.
const STATIONS: usize = 12;

pub(super) const RULE: AdviceRule = AdviceRule {
    code: FaultCode::KitOrder,
    severity: Severity::Info,
    source: "our estimate: each kit change costs seconds; the best order is exact for up to 12 stations",
    explain: "Another order of the same stations needs fewer kit changes: two fewer a round if the rests cover the changes anyway, otherwise one fewer. The order keeps two stations of one movement next to each other. It makes no new neighbours that load the same prime muscle.",
    find: RuleFunction::Class(find),
};

/// What matters of a station for its place in a block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationProfile {
    pub movement: String,
    /// The kit in hand, sorted. Kit that lies out (a mat, a box) is not included.
    pub kit: Vec<NeededKit>,
    pub prime: Vec<Muscle>,
}

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        // The order of a warm-up or cool-down follows other rules.
        if block.kind != BlockKind::Main {
            continue;
        }
        // In other formats, and with transitions of a fixed length, the order does not decide what kit changes cost.
        if !matches!(block.format, BlockFormat::Circuit | BlockFormat::Ladder { .. } | BlockFormat::Amrap { .. })
            || matches!(block.transitions, TransitionMode::Fixed(_))
        {
            continue;
        }
        let stops = station_profiles(block);
        let again = block.passes() > 1;
        let Some((order, fewest)) = fewest_changes(&stops, again) else { continue };
        let now = changes(&stops, &(0..stops.len()).collect::<Vec<_>>(), again);
        // If the rests cover every change, one change fewer is no gain.
        let costs = schedule.spans.iter().any(|span| {
            span.block == index
                && !(span.change.up.is_empty() && span.change.down.is_empty())
                && (span.purpose == SpanPurpose::Transition || span.settle > Tick::ZERO)
        });
        if fewest + usize::from(!costs) < now {
            let names: Vec<&str> = order.iter().map(|&at| block.stations[at].movement.name.as_str()).collect();
            let message = format!("{} changes kit {now} times a round; {fewest} would be enough", block.name);
            found.push(RULE.finding(block_spot(index), message).help(format!("use this order: {}", names.join(", "))));
        }
    }
}

fn station_profiles(block: &Block) -> Vec<StationProfile> {
    let stop = |station: &crate::session::Station| {
        let mut kit: Vec<NeededKit> = station.kit.iter().filter(|need| !need.item.stays_on_floor()).cloned().collect();
        kit.sort();
        StationProfile { movement: station.movement.id.clone(), kit, prime: loads(station) }
    };
    block.stations.iter().map(stop).collect()
}

fn loads(station: &crate::session::Station) -> Vec<Muscle> {
    if station.movement.loaded { station.movement.prime.clone() } else { Vec::new() }
}

/// How often the kit in hand changes in an order. With `again`, the way back from the last station to the first counts.
fn changes(stops: &[StationProfile], order: &[usize], again: bool) -> usize {
    let differ = |a: usize, b: usize| usize::from(stops[a].kit != stops[b].kit);
    let within: usize = order.windows(2).map(|pair| differ(pair[0], pair[1])).sum();
    let back = match (order.first(), order.last()) {
        (Some(&first), Some(&last)) if again => differ(last, first),
        _ => 0,
    };
    within + back
}

/// The order with the fewest kit changes, and their number. Of several best orders, the first by the order of the file.
/// None for no stations, for more than 12 stations, or when no order is allowed.
///
/// Held and Karp's dynamic programme over sets of stations, from the end: the cost of the remaining stations depends
/// only on which are done and which is last.
pub fn fewest_changes(stops: &[StationProfile], again: bool) -> Option<(Vec<usize>, usize)> {
    let count = stops.len();
    if count == 0 || count > STATIONS {
        return None;
    }
    let may = |a: usize, b: usize| may_follow(stops, a, b, again);
    let differ = |a: usize, b: usize| usize::from(stops[a].kit != stops[b].kit);
    let all = (1usize << count) - 1;
    let mut best: Option<(Vec<usize>, usize)> = None;
    for first in 0..count {
        // `cost[done][at]`: the fewest changes still to come. None when no allowed order continues from there.
        let mut cost = vec![vec![None; count]; all + 1];
        for (at, at_end) in cost[all].iter_mut().enumerate() {
            *at_end = match again && count > 1 {
                true => may(at, first).then(|| differ(at, first)),
                false => Some(0),
            };
        }
        for done in (1..all).rev() {
            for at in (0..count).filter(|at| done & (1 << at) != 0) {
                let ways = possible_next(stops, done, at).filter(|&next| may(at, next));
                cost[done][at] = ways
                    .filter_map(|next| cost[done | (1 << next)][next].map(|rest: usize| rest + differ(at, next)))
                    .min();
            }
        }
        let Some(fewest) = cost[1 << first][first] else { continue };
        if best.as_ref().is_some_and(|(_, before)| *before <= fewest) || !may_begin(stops, first) {
            continue;
        }
        let (mut order, mut done, mut at) = (vec![first], 1usize << first, first);
        while done != all {
            let cost_of = |next: usize| cost[done | (1 << next)][next].map(|rest| rest + differ(at, next));
            let next = possible_next(stops, done, at).find(|&next| may(at, next) && cost_of(next) == cost[done][at])?;
            order.push(next);
            done |= 1 << next;
            at = next;
        }
        best = Some((order, fewest));
    }
    best
}

/// The stations that may come next. After the first of two stations of one movement, only the second.
fn possible_next(stops: &[StationProfile], done: usize, at: usize) -> impl Iterator<Item = usize> {
    let count = stops.len();
    let pair = |index: usize| index + 1 < count && stops[index].movement == stops[index + 1].movement;
    let bound = pair(at).then_some(at + 1);
    let behind: Vec<usize> = (0..count)
        .filter(|&next| done & (1 << next) == 0 && bound.map_or_else(|| may_begin(stops, next), |bound| next == bound))
        .collect();
    behind.into_iter()
}

/// Whether a station may come without the station before it in the file directly before it.
fn may_begin(stops: &[StationProfile], at: usize) -> bool {
    at == 0 || stops[at - 1].movement != stops[at].movement
}

/// Whether station `b` may follow station `a`: no new neighbours load the same prime muscle.
fn may_follow(stops: &[StationProfile], a: usize, b: usize, again: bool) -> bool {
    let last = stops.len() - 1;
    let neighbours = a.abs_diff(b) == 1 || (again && a.min(b) == 0 && a.max(b) == last);
    neighbours || stops[a].prime.iter().all(|muscle| !stops[b].prime.contains(muscle))
}
