//! Stations stand in the order that needs the fewest changes of kit.

use super::{Find, Rule, block_spot};
use crate::movement::{KitNeed, Muscle};
use crate::schedule::{Purpose, Schedule};
use crate::session::fault::{Code, Fault, Severity};
use crate::session::{Block, Format, Kind, Transitions};
use crate::time::Tick;

/// The most stations for which the best order is looked for.
const STATIONS: usize = 12;

pub const RULE: Rule = Rule {
    code: Code::KitOrder,
    severity: Severity::Info,
    source: "our estimate: each change of kit costs seconds; the order is exact up to 12 stations",
    explain: "Another order of the same stations needs fewer changes of kit: two fewer a round where the rests pay for them anyway, else one. It keeps two stations of one movement side by side, and puts no two together that load the same prime muscle unless they were neighbours already.",
    find: Find::Class(find),
};

/// A station as far as its place in a block goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stop {
    pub movement: String,
    /// What is in the hands, in order. What lies out is left where it is.
    pub kit: Vec<KitNeed>,
    pub prime: Vec<Muscle>,
}

fn find(schedule: &Schedule, found: &mut Vec<Fault>) {
    for (index, block) in schedule.session.blocks.iter().enumerate() {
        // A warm-up and a cool-down have an order of their own.
        if block.kind != Kind::Main {
            continue;
        }
        // In sets and rotations the order is not what costs; in place walking is.
        if !matches!(block.format, Format::Circuit | Format::Ladder { .. } | Format::Amrap { .. })
            || matches!(block.transitions, Transitions::Fixed(_))
        {
            continue;
        }
        let stops = stops(block);
        let again = block.passes() > 1;
        let Some((order, fewest)) = fewest_changes(&stops, again) else { continue };
        let now = changes(&stops, &(0..stops.len()).collect::<Vec<_>>(), again);
        // Where the rests pay for every change, one fewer is no gain.
        let costs = schedule.spans.iter().any(|span| {
            span.block == index
                && !(span.change.up.is_empty() && span.change.down.is_empty())
                && (span.purpose == Purpose::Transition || span.settle > Tick::ZERO)
        });
        if fewest + usize::from(!costs) < now {
            let names: Vec<&str> = order.iter().map(|&at| block.stations[at].movement.name.as_str()).collect();
            let message = format!("{} changes kit {now} times a round, and {fewest} would do", block.name);
            found.push(RULE.found(block_spot(index), message).help(format!("in this order: {}", names.join(", "))));
        }
    }
}

fn stops(block: &Block) -> Vec<Stop> {
    let stop = |station: &crate::session::Station| {
        let mut kit: Vec<KitNeed> = station.kit.iter().filter(|need| !need.item.lies_out()).cloned().collect();
        kit.sort();
        Stop { movement: station.movement.id.clone(), kit, prime: loads(station) }
    };
    block.stations.iter().map(stop).collect()
}

fn loads(station: &crate::session::Station) -> Vec<Muscle> {
    if station.movement.loaded { station.movement.prime.clone() } else { Vec::new() }
}

/// How often the kit in hand changes in an order; with the way back to the first where the block goes round again.
fn changes(stops: &[Stop], order: &[usize], again: bool) -> usize {
    let differ = |a: usize, b: usize| usize::from(stops[a].kit != stops[b].kit);
    let within: usize = order.windows(2).map(|pair| differ(pair[0], pair[1])).sum();
    let back = match (order.first(), order.last()) {
        (Some(&first), Some(&last)) if again => differ(last, first),
        _ => 0,
    };
    within + back
}

/// The order with the fewest changes of kit and how many those are; of several the first in the order of the file.
/// None for more than twelve stations.
///
/// Held and Karp's walk over sets of stations, from the end: what is left costs the same however one came to it.
pub fn fewest_changes(stops: &[Stop], again: bool) -> Option<(Vec<usize>, usize)> {
    let count = stops.len();
    if count == 0 || count > STATIONS {
        return None;
    }
    let may = |a: usize, b: usize| may_follow(stops, a, b, again);
    let differ = |a: usize, b: usize| usize::from(stops[a].kit != stops[b].kit);
    let all = (1usize << count) - 1;
    let mut best: Option<(Vec<usize>, usize)> = None;
    for first in 0..count {
        // `cost[done][at]`: the fewest changes still to come; None where there is no way on.
        let mut cost = vec![vec![None; count]; all + 1];
        for (at, at_end) in cost[all].iter_mut().enumerate() {
            *at_end = match again && count > 1 {
                true => may(at, first).then(|| differ(at, first)),
                false => Some(0),
            };
        }
        for done in (1..all).rev() {
            for at in (0..count).filter(|at| done & (1 << at) != 0) {
                let ways = next_of(stops, done, at).filter(|&next| may(at, next));
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
            let next = next_of(stops, done, at).find(|&next| may(at, next) && cost_of(next) == cost[done][at])?;
            order.push(next);
            done |= 1 << next;
            at = next;
        }
        best = Some((order, fewest));
    }
    best
}

/// The stations that may be next: the second of a pair of one movement follows the first, and nothing else does.
fn next_of(stops: &[Stop], done: usize, at: usize) -> impl Iterator<Item = usize> {
    let count = stops.len();
    let pair = |index: usize| index + 1 < count && stops[index].movement == stops[index + 1].movement;
    let bound = pair(at).then_some(at + 1);
    let behind: Vec<usize> = (0..count)
        .filter(|&next| done & (1 << next) == 0 && bound.map_or_else(|| may_begin(stops, next), |bound| next == bound))
        .collect();
    behind.into_iter()
}

/// Whether a station stands without the one before it in the file.
fn may_begin(stops: &[Stop], at: usize) -> bool {
    at == 0 || stops[at - 1].movement != stops[at].movement
}

/// Whether one may follow the other: no muscle is loaded twice running that was not before.
fn may_follow(stops: &[Stop], a: usize, b: usize, again: bool) -> bool {
    let last = stops.len() - 1;
    let neighbours = a.abs_diff(b) == 1 || (again && a.min(b) == 0 && a.max(b) == last);
    neighbours || stops[a].prime.iter().all(|muscle| !stops[b].prime.contains(muscle))
}
