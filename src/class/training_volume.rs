//! The volume of a class: work and rest, repetitions, and how long each muscle is loaded.

use std::collections::BTreeMap;

use crate::movement::{Muscle, Pattern};
use crate::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use crate::session::{Block, Station};
use crate::time::Tick;

/// The volume of a class, for each person. An estimate: people may slow down or stop, which nobody records.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrainingVolume {
    /// The volume of each block of the session. The rest after a block is not included.
    pub blocks: Vec<VolumeTotals>,
    /// The volume of the whole class, including the rests between blocks.
    pub class: VolumeTotals,
}

/// The volume of a class or a block.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct VolumeTotals {
    /// Work time, both sides together, without settle and switches.
    pub work: Tick,
    /// All other time: rests, transitions, briefings, settle and switches.
    pub rest: Tick,
    /// Whole repetitions at the tempo, both sides together. Work at people's own pace is not counted.
    pub reps: u64,
    /// How long each muscle was a prime mover under load.
    pub muscles: BTreeMap<Muscle, Tick>,
    /// How long people worked in each pattern, loaded or not. The sum is the work time.
    pub patterns: BTreeMap<Pattern, Tick>,
}

impl VolumeTotals {
    /// The share of work in the whole time, in whole percent, with a half rounded up. None when there is no time.
    pub fn density(&self) -> Option<u64> {
        let all = self.work + self.rest;
        (self.work.0 * 200 + all.0).checked_div(all.0 * 2)
    }

    /// The muscles, the one that worked longest first.
    pub fn muscles_by_time(&self) -> Vec<(Muscle, Tick)> {
        let mut muscles: Vec<(Muscle, Tick)> = self.muscles.iter().map(|(&muscle, &time)| (muscle, time)).collect();
        muscles.sort_by_key(|&(_, time)| std::cmp::Reverse(time));
        muscles
    }

    fn add(&mut self, station: &Station, time: Tick) {
        if time == Tick::ZERO {
            return;
        }
        let movement = &station.movement;
        *self.patterns.entry(movement.pattern).or_default() += time;
        for &muscle in movement.prime.iter().filter(|_| movement.loaded) {
            *self.muscles.entry(muscle).or_default() += time;
        }
    }

    fn add_all(&mut self, other: &VolumeTotals) {
        self.work += other.work;
        self.rest += other.rest;
        self.reps += other.reps;
        other.muscles.iter().for_each(|(&muscle, &time)| *self.muscles.entry(muscle).or_default() += time);
        other.patterns.iter().for_each(|(&pattern, &time)| *self.patterns.entry(pattern).or_default() += time);
    }
}

/// The volume of a whole class.
pub fn volume(schedule: &Schedule) -> TrainingVolume {
    volume_between(schedule, Tick::ZERO, schedule.total())
}

/// The volume of a class between two ticks. A span that is only partly between them adds no repetitions: nobody counted
/// them.
pub fn volume_between(schedule: &Schedule, from: Tick, until: Tick) -> TrainingVolume {
    let mut blocks = vec![VolumeTotals::default(); schedule.session.blocks.len()];
    let mut class = VolumeTotals::default();
    // The repetitions of all stations in a rotation, before they are divided among the groups.
    let mut shared = vec![0; blocks.len()];
    for span in &schedule.spans {
        let length = span.end.min(until).saturating_sub(span.start.max(from));
        if span.purpose == SpanPurpose::BlockRest {
            class.rest += length;
            continue;
        }
        let part = &mut blocks[span.block];
        if span.purpose != SpanPurpose::Work {
            part.rest += length;
            continue;
        }
        let work = span_work_between(span, from, until);
        part.work += work;
        part.rest += length - work;
        let block = schedule.block_of(span);
        for (station, time) in shares(block, span.activity, work) {
            part.add(station, time);
        }
        if span.start >= from && span.end <= until {
            match span.activity {
                Activity::Turn(_) => {
                    shared[span.block] += block.stations.iter().map(|at| reps_of(at, span)).sum::<u64>()
                }
                _ => part.reps += span.reps.unwrap_or(0) * times(span.side),
            }
        }
    }
    for ((part, block), shared) in blocks.iter_mut().zip(&schedule.session.blocks).zip(shared) {
        part.reps += shared / (block.stations.len() as u64).max(1);
        class.add_all(part);
    }
    TrainingVolume { blocks, class }
}

/// How the work time of a span is divided among the stations of its block.
///
/// When people do different stations in one span, or work at their own pace, each station gets an equal share. This is
/// exact once all turns are over, and an estimate before that. The remainder of the division goes to the first station.
pub fn shares(block: &Block, doing: Activity, work: Tick) -> Vec<(&Station, Tick)> {
    match doing {
        Activity::Station(index) => block.stations.get(index).map(|station| (station, work)).into_iter().collect(),
        Activity::AllAtOwnPace | Activity::Turn(_) => {
            let count = (block.stations.len() as u64).max(1);
            let left_over = work.0 % count;
            let share = |at: usize| Tick(work.0 / count + if at == 0 { left_over } else { 0 });
            block.stations.iter().enumerate().map(|(at, station)| (station, share(at))).collect()
        }
        Activity::Nothing => Vec::new(),
    }
}

/// The work time of a span between two ticks, without settle and switch.
pub fn span_work_between(span: &Span, from: Tick, until: Tick) -> Tick {
    let (from, until) = (from.max(span.work_start()), until.min(span.end));
    let all = until.saturating_sub(from);
    match (span.switch_start(), span.right_start()) {
        (Some(switch), Some(right)) => all.saturating_sub(until.min(right).saturating_sub(switch.max(from))),
        _ => all,
    }
}

/// By how much to multiply the repetitions of a span. When both sides work in turn, they are given for one side.
fn times(side: WorkingSide) -> u64 {
    match side {
        WorkingSide::Both | WorkingSide::Left | WorkingSide::Right => 1,
        WorkingSide::Alternating | WorkingSide::LeftThenRight { .. } => 2,
    }
}

/// The repetitions that a group does at a station in a whole span, both sides together.
fn reps_of(station: &Station, span: &Span) -> u64 {
    let Some(tempo) = station.tempo.filter(|_| station.movement.guide.is_some()) else { return 0 };
    let working = span.length() - span.settle;
    match span.side {
        WorkingSide::LeftThenRight { each, .. } => 2 * tempo.reps_in(each),
        _ => tempo.reps_in(working),
    }
}
