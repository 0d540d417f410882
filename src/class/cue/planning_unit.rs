//! One unit of planning: a work span with the rest after it, its fixed sounds, and the cues that should be said.

use std::ops::Range;

use crate::time::Tick;

/// Cues start on a grid of this step, counted from the start of their unit.
pub const GRID: Tick = Tick(100);

/// The least quiet time between a cue and any other cue, call or tone.
pub const GAP: Tick = Tick(700);

/// A work span at least this long keeps one stretch of [`QUIET`].
pub const QUIET_FROM: Tick = Tick::seconds(40);

/// The length of a stretch without any sound, in which the coach can speak.
pub const QUIET: Tick = Tick::seconds(12);

/// The number of ranks after the must-say rank 0. A higher rank counts as the last.
pub const RANKS: usize = 6;

/// A cue for the coach that comes ahead may be this much earlier still, if the cues for the class leave no other time
/// (est.).
const EARLY: Tick = Tick::seconds(10);

/// A stretch of class time that is planned on its own.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct PlanningUnit {
    /// All cues of the unit are within these ticks.
    pub within: Range<Tick>,
    /// The work span in the unit. Empty if nobody works, as in a briefing.
    pub work: Range<Tick>,
    /// Tones and calls in the unit, and sounds just outside it that cues must keep a distance from. They may overlap.
    pub fixed: Vec<FixedSound>,
    /// The share of the work span that is left to the coach, in percent, 0 to 100.
    pub talk_room: u8,
    /// The grid step for starts: [`GRID`], except in tests.
    pub step: Tick,
    pub wanted: Vec<WantedCue>,
}

/// Something that sounds at a fixed time.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct FixedSound {
    pub sounds: Range<Tick>,
    /// True for a call or a cue already said, false for a tone.
    pub speech: bool,
}

/// A cue that should be said. Its id is its place in [`PlanningUnit::wanted`].
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct WantedCue {
    /// Rank 0 must be said. A cue with a higher rank gives way first.
    pub rank: u8,
    /// The cue starts and ends within this window.
    pub window: Range<Tick>,
    /// The best start.
    pub ideal: Tick,
    /// The length of its full wording.
    pub full: Tick,
    /// The length of its terse wording, if there is one.
    pub terse: Option<Tick>,
}

impl WantedCue {
    /// The same wanted cue for the coach, who hears it a lead before the class hears it at the tick `at`. In either
    /// wording, it starts at the latest a lead before `at`. It may start up to `EARLY` earlier.
    pub(super) fn earlier_for_ear(&self, at: Tick, lead: Tick) -> WantedCue {
        let ideal = at.saturating_sub(lead);
        let shortest = self.terse.map_or(self.full, |terse| terse.min(self.full));
        WantedCue { window: self.window.start.saturating_sub(lead + EARLY)..ideal + shortest, ideal, ..self.clone() }
    }
}

/// Where one cue is placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PlacedCue {
    pub at: Tick,
    pub terse: bool,
}

/// How good a placement is. Lower is better; the fields are compared in order.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlacementScore {
    /// The number of must-say cues left unsaid.
    pub must_unsaid: u32,
    /// Whether a long work span has no stretch of [`QUIET`].
    pub no_quiet: bool,
    /// The number of other cues left unsaid, by rank from 1.
    pub unsaid: [u32; RANKS],
    /// The number of cues in terse wording.
    pub terse: u32,
    /// The sum of the distances of all cues from their ideal starts, in grid steps.
    pub off: u64,
}

impl PlanningUnit {
    /// The earliest tick in the unit.
    pub(super) fn first(&self) -> Tick {
        let sounds = self.fixed.iter().map(|fixed| fixed.sounds.start);
        let wishes = self.wanted.iter().flat_map(|wish| [wish.window.start, wish.window.end, wish.ideal]);
        let within = [self.within.start, self.work.start, self.work.end];
        sounds.chain(wishes).chain(within).min().unwrap_or(Tick::ZERO)
    }

    /// The same unit, earlier by `by`, which is at most [`PlanningUnit::first`].
    pub(super) fn earlier(&self, by: Tick) -> PlanningUnit {
        let range = |range: &Range<Tick>| range.start - by..range.end.saturating_sub(by);
        let fixed = self.fixed.iter().map(|fixed| FixedSound { sounds: range(&fixed.sounds), ..fixed.clone() });
        let wish = |wish: &WantedCue| WantedCue { window: range(&wish.window), ideal: wish.ideal - by, ..wish.clone() };
        PlanningUnit {
            within: range(&self.within),
            work: range(&self.work),
            fixed: fixed.collect(),
            wanted: self.wanted.iter().map(wish).collect(),
            ..self.clone()
        }
    }

    /// Whether a cue that starts at a tick counts as spoken in the work span.
    pub fn in_work(&self, at: Tick) -> bool {
        self.work.contains(&at)
    }

    /// A grid step as a tick.
    pub fn tick_of_step(&self, step: u64) -> Tick {
        Tick(self.within.start.0 + step * self.step.0)
    }

    /// The grid step nearest to a tick; a half rounds up.
    pub fn nearest_step(&self, at: Tick) -> u64 {
        (at.saturating_sub(self.within.start).0 + self.step.0 / 2) / self.step.0
    }

    /// The grid steps at which a cue of this length may start, given its window and the fixed sounds.
    pub fn starts(&self, wish: &WantedCue, length: Tick) -> Vec<u64> {
        let from = wish.window.start.max(self.within.start);
        let until = wish.window.end.min(self.within.end);
        let Some(last) = until.checked_sub(length).and_then(|last| last.checked_sub(self.within.start)) else {
            return Vec::new();
        };
        let first = from.saturating_sub(self.within.start).0.div_ceil(self.step.0);
        (first..=last.0 / self.step.0).filter(|&step| self.is_clear(self.tick_of_step(step), length)).collect()
    }

    /// Whether speech of this length from a tick on keeps its distance from all fixed sounds.
    pub fn is_clear(&self, at: Tick, length: Tick) -> bool {
        self.fixed.iter().all(|fixed| apart(&fixed.sounds, &(at..at + length)))
    }

    /// How long the program may speak in the work span, besides the fixed speech. Must-say cues count first, and other
    /// cues may use what is left.
    pub fn allowance(&self) -> Tick {
        let length = self.work.end.saturating_sub(self.work.start).0;
        let share = length * u64::from(100 - self.talk_room.min(100)) / 100;
        let speech = self.fixed.iter().filter(|fixed| fixed.speech);
        let spoken: Tick = speech.map(|fixed| overlap(&fixed.sounds, &self.work)).sum();
        Tick(share).saturating_sub(spoken)
    }

    /// Whether the work span is long enough to keep a quiet stretch.
    pub fn wants_quiet(&self) -> bool {
        self.work.end.saturating_sub(self.work.start) >= QUIET_FROM
    }

    /// The stretches of the work span without fixed sounds that last at least [`QUIET`], in order.
    pub fn quiet_stretches(&self) -> Vec<Range<Tick>> {
        let mut sounds: Vec<&Range<Tick>> = self.fixed.iter().map(|fixed| &fixed.sounds).collect();
        sounds.sort_by_key(|sounds| sounds.start);
        let mut free_from = self.work.start;
        let mut stretches = Vec::new();
        for sound in sounds {
            stretches.push(free_from..sound.start.min(self.work.end));
            free_from = free_from.max(sound.end);
        }
        stretches.push(free_from..self.work.end);
        stretches.retain(|stretch| stretch.end.saturating_sub(stretch.start) >= QUIET);
        stretches
    }
}

/// Whether there is at least [`GAP`] between two intervals.
pub fn apart(a: &Range<Tick>, b: &Range<Tick>) -> bool {
    a.end + GAP <= b.start || b.end + GAP <= a.start
}

fn overlap(a: &Range<Tick>, b: &Range<Tick>) -> Tick {
    a.end.min(b.end).saturating_sub(a.start.max(b.start))
}
