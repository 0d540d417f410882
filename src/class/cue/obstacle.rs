//! The reason why a cue was left unsaid.

use super::planner::UnitPlacement;
use super::planning_unit::{PlanningUnit, apart};
use crate::time::Tick;

/// What keeps a cue from being said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CueObstacle {
    /// Its shortest wording does not fit its window.
    NoRoom,
    /// A fixed sound, by its index in the unit: the one at the start nearest to the cue's ideal.
    Fixed(usize),
    /// Other cues that are at least as important.
    Cues,
    /// The coach's talk room.
    TalkRoom,
    /// The coach's one quiet stretch.
    Quiet,
}

/// Why the planner left a cue unsaid, given the places of all other cues. None if the cue was said.
pub fn obstacle(unit: &PlanningUnit, placement: &UnitPlacement, id: usize) -> Option<CueObstacle> {
    if placement.placed[id].is_some() {
        return None;
    }
    let wish = &unit.wanted[id];
    let length = wish.terse.map_or(wish.full, |terse| terse.min(wish.full));
    let bare = PlanningUnit { fixed: Vec::new(), ..unit.clone() };
    let in_window = bare.starts(wish, length);
    let ideal = unit.nearest_step(wish.ideal);
    let Some(&nearest) = in_window.iter().min_by_key(|step| step.abs_diff(ideal)) else {
        return Some(CueObstacle::NoRoom);
    };
    let clear = unit.starts(wish, length);
    if clear.is_empty() {
        let there = unit.tick_of_step(nearest)..unit.tick_of_step(nearest) + length;
        let hit = unit.fixed.iter().position(|fixed| !apart(&fixed.sounds, &there));
        return Some(hit.map_or(CueObstacle::NoRoom, CueObstacle::Fixed));
    }
    let said = |id: usize| {
        let (wish, placed) = (&unit.wanted[id], placement.placed[id]?);
        let length = if placed.terse { wish.terse.unwrap_or(wish.full) } else { wish.full };
        Some((wish.rank, placed.at..placed.at + length))
    };
    let spoken: Vec<_> = (0..unit.wanted.len()).filter_map(said).collect();
    let free: Vec<Tick> = clear
        .into_iter()
        .map(|step| unit.tick_of_step(step))
        .filter(|&at| spoken.iter().all(|(_, other)| apart(other, &(at..at + length))))
        .collect();
    if free.is_empty() {
        return Some(CueObstacle::Cues);
    }
    let in_work = |must: bool| -> Tick {
        let counted = spoken.iter().filter(|(rank, sounds)| (*rank == 0) == must && unit.in_work(sounds.start));
        counted.map(|(_, sounds)| sounds.end - sounds.start).sum()
    };
    let room = unit.allowance().saturating_sub(in_work(true)).saturating_sub(in_work(false));
    let within_room = free.iter().any(|&at| wish.rank == 0 || !unit.in_work(at) || length <= room);
    Some(if within_room { CueObstacle::Quiet } else { CueObstacle::TalkRoom })
}
