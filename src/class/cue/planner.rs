//! The planner: which cues of a unit are said, in which wording and when. The result is the exact optimum.

use super::planning_unit::{PlacedCue, PlacementScore, PlanningUnit, RANKS};
use super::timing::{self, DISTANCE, TimedCue, TimingCost};
use crate::time::Tick;

/// The planner's result for a unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitPlacement {
    pub score: PlacementScore,
    /// For each wanted cue of the unit, in order. None when the cue is left unsaid.
    pub placed: Vec<Option<PlacedCue>>,
}

/// Places the cues of a unit. Of all placements that keep the unit's windows, gaps and talk room, this is the one with
/// the lowest [`PlacementScore`]. Among equal scores, the cues come as early as possible, compared in the order of
/// their ids (full before terse, unsaid last). The result is therefore unique.
///
/// For the talk room, a cue counts as spoken in the work span if it starts there.
///
/// The search branches on the cues in order of rank. Each cue is said in full, said tersely or left unsaid, in the work
/// span or outside it. A branch is given up when the cues it has already chosen score worse than the best placement
/// known: a further cue never makes a score better.
pub fn plan(unit: &PlanningUnit) -> UnitPlacement {
    let mut by_rank: Vec<usize> = (0..unit.wanted.len()).collect();
    by_rank.sort_by_key(|&id| unit.wanted[id].rank);
    let turns: Vec<CueDecision> = by_rank.iter().map(|&id| turn(unit, id)).collect();
    let mut search = PlacementSearch {
        unit,
        allowance: unit.allowance(),
        quiet_wanted: unit.wants_quiet(),
        chosen: Vec::new(),
        terse: Vec::new(),
        best: None,
    };
    search.branch(&turns, BranchTally::default(), timing::cost(unit, &[], None));
    // Saying nothing is a placement too, so there is always a result.
    let (score, order) = search.best.unwrap_or_default();
    let placed = order.into_iter().map(|placed| (placed != UNSAID).then_some(placed)).collect();
    UnitPlacement { score, placed }
}

/// An unsaid cue. It compares as later than any placed cue.
const UNSAID: PlacedCue = PlacedCue { at: Tick(u64::MAX), terse: true };

/// A cue to decide on, with the ways to say it, the full wording first.
struct CueDecision {
    rank: usize,
    choices: Vec<WordingChoice>,
}

/// One way to say a cue.
struct WordingChoice {
    part: TimedCue,
    terse: bool,
    in_work: bool,
}

/// Totals of the choices made so far in a branch.
#[derive(Clone, Copy, Default)]
struct BranchTally {
    must_unsaid: u32,
    unsaid: [u32; RANKS],
    terse: u32,
    /// The length of must-say speech in the work span, and of other speech.
    must: Tick,
    others: Tick,
}

struct PlacementSearch<'a> {
    unit: &'a PlanningUnit,
    allowance: Tick,
    quiet_wanted: bool,
    /// The cues said in this branch.
    chosen: Vec<TimedCue>,
    /// For each of them, whether it is terse.
    terse: Vec<bool>,
    best: Option<(PlacementScore, Vec<PlacedCue>)>,
}

fn turn(unit: &PlanningUnit, id: usize) -> CueDecision {
    let wish = &unit.wanted[id];
    let ideal = unit.nearest_step(wish.ideal);
    let wordings = [Some((wish.full, false)), wish.terse.map(|length| (length, true))];
    let mut choices = Vec::new();
    for (length, terse) in wordings.into_iter().flatten() {
        let (inside, outside): (Vec<u64>, Vec<u64>) =
            unit.starts(wish, length).into_iter().partition(|&step| unit.in_work(unit.tick_of_step(step)));
        for (starts, in_work) in [(inside, true), (outside, false)] {
            if !starts.is_empty() {
                choices.push(WordingChoice { part: TimedCue { id, length, ideal, starts }, terse, in_work });
            }
        }
    }
    CueDecision { rank: usize::from(wish.rank), choices }
}

impl PlacementSearch<'_> {
    /// Makes the decisions in `turns`. `cost`: the cost of the best times for the cues chosen so far.
    fn branch(&mut self, turns: &[CueDecision], tally: BranchTally, cost: TimingCost) {
        if cost.any.is_none() {
            return;
        }
        let score = self.score(&tally, cost);
        if self.best.as_ref().is_some_and(|(best, _)| score > *best) {
            return;
        }
        let Some((turn, later)) = turns.split_first() else {
            let order = self.earliest(score.no_quiet);
            if self.best.as_ref().is_none_or(|(best, known)| (&score, &order) < (best, known)) {
                self.best = Some((score, order));
            }
            return;
        };
        for choice in &turn.choices {
            let mut said = tally;
            said.terse += u32::from(choice.terse);
            if choice.in_work {
                let spoken = if turn.rank == 0 { &mut said.must } else { &mut said.others };
                *spoken += choice.part.length;
                if turn.rank > 0 && said.others > self.allowance.saturating_sub(said.must) {
                    continue;
                }
            }
            self.chosen.push(choice.part.clone());
            self.terse.push(choice.terse);
            self.branch(later, said, timing::cost(self.unit, &self.chosen, None));
            self.chosen.pop();
            self.terse.pop();
        }
        let mut unsaid = tally;
        match turn.rank {
            0 => unsaid.must_unsaid += 1,
            rank => unsaid.unsaid[rank.min(RANKS) - 1] += 1,
        }
        self.branch(later, unsaid, cost);
    }

    fn score(&self, tally: &BranchTally, cost: TimingCost) -> PlacementScore {
        let no_quiet = self.quiet_wanted && cost.quiet.is_none();
        let cost = if self.quiet_wanted { cost.quiet.or(cost.any) } else { cost.any };
        PlacementScore {
            must_unsaid: tally.must_unsaid,
            no_quiet,
            unsaid: tally.unsaid,
            terse: tally.terse,
            off: cost.unwrap_or(0) >> DISTANCE,
        }
    }

    /// Among the cheapest placements of the chosen cues, the one with the earliest times in the order of their ids.
    fn earliest(&self, no_quiet: bool) -> Vec<PlacedCue> {
        let mut parts = self.chosen.clone();
        let mut order = vec![UNSAID; self.unit.wanted.len()];
        for (id, placed) in order.iter_mut().enumerate() {
            let Some(place) = parts.iter().position(|part| part.id == id) else { continue };
            let cost = timing::cost(self.unit, &parts, Some(id));
            let cost = if self.quiet_wanted && !no_quiet { cost.quiet } else { cost.any };
            let step = cost.unwrap_or(0) & ((1 << DISTANCE) - 1);
            parts[place].starts = vec![step];
            *placed = PlacedCue { at: self.unit.tick_of_step(step), terse: self.terse[place] };
        }
        order
    }
}
