//! The best times for a given set of cues.

use super::planning_unit::{GAP, PlanningUnit, QUIET};
use crate::time::Tick;

/// A cue to be said in one wording, with the times at which it may start.
#[derive(Clone, Debug)]
pub(super) struct TimedCue {
    /// Its id in the unit.
    pub id: usize,
    pub length: Tick,
    /// Its ideal start, as a grid step.
    pub ideal: u64,
    /// The grid steps on which it may start, in order.
    pub starts: Vec<u64>,
}

/// The least cost of saying a set of cues: any way, and with one quiet stretch left. None when it is impossible.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct TimingCost {
    pub any: Option<u64>,
    pub quiet: Option<u64>,
}

/// The number of bits below the distance in a cost. The upper half of a cost is the total distance from the ideal
/// starts. The lower half is the followed cue's step, so that among equally near placements that cue comes earliest.
pub(super) const DISTANCE: u32 = 32;

const NEVER: u64 = u64::MAX;

/// The least costs of placements that end with one cue: for each start of that cue, any way, and with a quiet stretch
/// before it.
struct PrefixCosts {
    any: Vec<u64>,
    quiet: Vec<u64>,
}

/// The exact cost of the best times for these cues. Method: dynamic programming over the sets of cues said so far, each
/// with the last cue and its start. `followed`: the id of the cue that should come earliest among equally near
/// placements.
pub(super) fn cost(unit: &PlanningUnit, parts: &[TimedCue], followed: Option<usize>) -> TimingCost {
    let quiet_stretches = unit.quiet_stretches();
    // The latest start of a quiet stretch that still fits before `until`.
    let quiet_from = |until: Tick| {
        let fits = quiet_stretches.iter().rev().filter_map(|stretch| {
            let from = stretch.end.min(until).checked_sub(QUIET)?;
            (from >= stretch.start).then_some(from)
        });
        fits.max()
    };
    let end = Tick(u64::MAX);
    if parts.is_empty() {
        return TimingCost { any: Some(0), quiet: quiet_from(end).map(|_| 0) };
    }
    let own = |part: &TimedCue, step: u64| {
        let tie = if followed == Some(part.id) { step } else { 0 };
        (step.abs_diff(part.ideal) << DISTANCE) + tie
    };
    let sets = 1usize << parts.len();
    let mut prefixes: Vec<Option<PrefixCosts>> = (0..sets * parts.len()).map(|_| None).collect();
    let mut best = TimingCost::default();
    for set in 1..sets {
        for (last, part) in parts.iter().enumerate() {
            if set & (1 << last) == 0 {
                continue;
            }
            let before = set & !(1 << last);
            // A later start would leave no start for one of the cues that still have to follow.
            let others = parts.iter().enumerate().filter(|(other, _)| set & (1 << other) == 0);
            let latest = others.filter_map(|(_, other)| other.starts.last()).min().copied().unwrap_or(NEVER);
            let mut prefix = PrefixCosts { any: vec![NEVER; part.starts.len()], quiet: vec![NEVER; part.starts.len()] };
            let earlier: Vec<(&TimedCue, &PrefixCosts)> = (0..parts.len())
                .filter(|&other| before & (1 << other) != 0)
                .filter_map(|other| Some((&parts[other], prefixes[before * parts.len() + other].as_ref()?)))
                .collect();
            if before == 0 {
                for (place, &step) in part.starts.iter().enumerate().take_while(|(_, step)| **step <= latest) {
                    prefix.any[place] = own(part, step);
                    if quiet_from(unit.tick_of_step(step)).is_some() {
                        prefix.quiet[place] = own(part, step);
                    }
                }
            }
            for (other, costs) in earlier {
                extend_placements(unit, (other, costs), part, latest, &quiet_from, &mut prefix, &own);
            }
            if prefix.any.iter().all(|&cost| cost == NEVER) {
                continue;
            }
            if set == sets - 1 {
                let rest_quiet = quiet_from(end);
                for (place, &step) in part.starts.iter().enumerate() {
                    let ends = unit.tick_of_step(step) + part.length;
                    let quiet_after = rest_quiet.is_some_and(|from| ends <= from);
                    keep_least(&mut best.any, prefix.any[place]);
                    keep_least(&mut best.quiet, if quiet_after { prefix.any[place] } else { prefix.quiet[place] });
                }
            }
            prefixes[set * parts.len() + last] = Some(prefix);
        }
    }
    best
}

/// Adds `part` after every placement that ends with `other`. Both step forward together, so that the cheapest of all
/// placements that end early enough is known at each step.
fn extend_placements(
    unit: &PlanningUnit,
    (other, costs): (&TimedCue, &PrefixCosts),
    part: &TimedCue,
    latest: u64,
    quiet_from: &impl Fn(Tick) -> Option<Tick>,
    prefix: &mut PrefixCosts,
    own: &impl Fn(&TimedCue, u64) -> u64,
) {
    let ends = |place: usize| unit.tick_of_step(other.starts[place]) + other.length;
    let (mut near, mut far) = (0, 0);
    let (mut any, mut quiet, mut quiet_between) = (NEVER, NEVER, NEVER);
    for (place, &step) in part.starts.iter().enumerate() {
        if step > latest {
            break;
        }
        let at = unit.tick_of_step(step);
        while near < other.starts.len() && ends(near) + GAP <= at {
            any = any.min(costs.any[near]);
            quiet = quiet.min(costs.quiet[near]);
            near += 1;
        }
        if let Some(from) = quiet_from(at) {
            while far < near && ends(far) <= from {
                quiet_between = quiet_between.min(costs.any[far]);
                far += 1;
            }
        }
        let own = own(part, step);
        prefix.any[place] = prefix.any[place].min(any.saturating_add(own));
        prefix.quiet[place] = prefix.quiet[place].min(quiet.min(quiet_between).saturating_add(own));
    }
}

fn keep_least(best: &mut Option<u64>, cost: u64) {
    if cost != NEVER {
        *best = Some(best.map_or(cost, |best| best.min(cost)));
    }
}
