//! One unit of planning: a work span with the rest after it, what sounds in it anyway, and what should be said.

use std::ops::Range;

use crate::time::Tick;

/// The grid on which cues start, counted from the start of their unit.
pub const GRID: Tick = Tick(100);

/// Between any two of speech, call and tone there is at least this much quiet.
pub const GAP: Tick = Tick(700);

/// A work span this long or longer is left one stretch of [`QUIET`].
pub const QUIET_FROM: Tick = Tick::seconds(40);

/// One unbroken stretch in which the coach can speak.
pub const QUIET: Tick = Tick::seconds(12);

/// How many ranks are told apart beyond the must-say 0; a higher rank counts as the last.
pub const RANKS: usize = 6;

/// What is said ahead of time may come so much earlier still, where the floor leaves no other room (est.).
const EARLY: Tick = Tick::seconds(10);

/// A stretch of class time that is planned on its own.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Unit {
    /// Cues stay within it.
    pub within: Range<Tick>,
    /// The work span in it. Empty where nobody works, as in a briefing.
    pub work: Range<Tick>,
    /// Tones and calls in it, and whatever just outside it keeps its distance. They may overlap one another.
    pub fixed: Vec<Fixed>,
    /// Share of the work span that is left to the coach, in percent, 0 to 100.
    pub talk_room: u8,
    /// The grid for starts: [`GRID`] but in tests.
    pub step: Tick,
    pub wishes: Vec<Wish>,
}

/// Something that sounds at a fixed time.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Fixed {
    pub sounds: Range<Tick>,
    /// A call or a cue already said, as against a tone.
    pub speech: bool,
}

/// A cue that should be said. Its id is its place in [`Unit::wishes`].
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Wish {
    /// 0: it must be said. A higher one gives way first.
    pub rank: u8,
    /// It starts and ends within this.
    pub window: Range<Tick>,
    /// Where it would best start.
    pub ideal: Tick,
    /// How long it takes to say whole.
    pub full: Tick,
    /// How long its terse wording takes, where there is one.
    pub terse: Option<Tick>,
}

impl Wish {
    /// The same for ears that are to have it earlier by a lead than it is said at a tick: its start at the latest, in
    /// whichever wording, is so long before; its earliest some while before that.
    pub(super) fn ahead(&self, at: Tick, lead: Tick) -> Wish {
        let ideal = at.less(lead);
        let shortest = self.terse.map_or(self.full, |terse| terse.min(self.full));
        Wish { window: self.window.start.less(lead + EARLY)..ideal + shortest, ideal, ..self.clone() }
    }
}

/// Where one cue is placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Placed {
    pub at: Tick,
    pub terse: bool,
}

/// How good a placement is: the lower, the better, compared field by field.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Score {
    /// Must-say cues left unsaid.
    pub must_unsaid: u32,
    /// A long work span has no unbroken [`QUIET`].
    pub no_quiet: bool,
    /// Cues left unsaid, by rank from 1.
    pub unsaid: [u32; RANKS],
    /// Cues in their terse wording.
    pub terse: u32,
    /// How far all cues are from their ideals, in steps of the grid.
    pub off: u64,
}

impl Unit {
    /// The first tick that it speaks of.
    pub(super) fn first(&self) -> Tick {
        let sounds = self.fixed.iter().map(|fixed| fixed.sounds.start);
        let wishes = self.wishes.iter().flat_map(|wish| [wish.window.start, wish.window.end, wish.ideal]);
        let within = [self.within.start, self.work.start, self.work.end];
        sounds.chain(wishes).chain(within).min().unwrap_or(Tick::ZERO)
    }

    /// The same so much earlier, at most by [`Unit::first`].
    pub(super) fn earlier(&self, by: Tick) -> Unit {
        let range = |range: &Range<Tick>| range.start - by..range.end.less(by);
        let fixed = self.fixed.iter().map(|fixed| Fixed { sounds: range(&fixed.sounds), ..fixed.clone() });
        let wish = |wish: &Wish| Wish { window: range(&wish.window), ideal: wish.ideal - by, ..wish.clone() };
        Unit {
            within: range(&self.within),
            work: range(&self.work),
            fixed: fixed.collect(),
            wishes: self.wishes.iter().map(wish).collect(),
            ..self.clone()
        }
    }

    /// Whether a cue that starts here counts as spoken in the work span.
    pub fn in_work(&self, at: Tick) -> bool {
        self.work.contains(&at)
    }

    /// A grid step as a tick.
    pub fn tick(&self, step: u64) -> Tick {
        Tick(self.within.start.0 + step * self.step.0)
    }

    /// The grid step nearest to a tick; a half rounds up.
    pub fn nearest_step(&self, at: Tick) -> u64 {
        (at.less(self.within.start).0 + self.step.0 / 2) / self.step.0
    }

    /// The grid steps on which a cue of this length may start as far as its window and what is fixed allow.
    pub fn starts(&self, wish: &Wish, length: Tick) -> Vec<u64> {
        let from = wish.window.start.max(self.within.start);
        let until = wish.window.end.min(self.within.end);
        let Some(last) = until.checked_sub(length).and_then(|last| last.checked_sub(self.within.start)) else {
            return Vec::new();
        };
        let first = from.less(self.within.start).0.div_ceil(self.step.0);
        (first..=last.0 / self.step.0).filter(|&step| self.clear(self.tick(step), length)).collect()
    }

    /// Whether speech of this length from here keeps its distance from all that is fixed.
    pub fn clear(&self, at: Tick, length: Tick) -> bool {
        self.fixed.iter().all(|fixed| apart(&fixed.sounds, &(at..at + length)))
    }

    /// How much machine speech beyond the must-say a work span takes, before any must-say cue is counted.
    pub fn allowance(&self) -> Tick {
        let length = self.work.end.less(self.work.start).0;
        let share = length * u64::from(100 - self.talk_room.min(100)) / 100;
        let speech = self.fixed.iter().filter(|fixed| fixed.speech);
        let spoken: Tick = speech.map(|fixed| overlap(&fixed.sounds, &self.work)).sum();
        Tick(share).less(spoken)
    }

    /// Whether the work span is long enough that one stretch of it must stay quiet.
    pub fn wants_quiet(&self) -> bool {
        self.work.end.less(self.work.start) >= QUIET_FROM
    }

    /// The stretches of the work span in which nothing fixed sounds, in order; only those of [`QUIET`] and longer.
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
        stretches.retain(|stretch| stretch.end.less(stretch.start) >= QUIET);
        stretches
    }
}

/// Whether two intervals keep [`GAP`] between them.
pub fn apart(a: &Range<Tick>, b: &Range<Tick>) -> bool {
    a.end + GAP <= b.start || b.end + GAP <= a.start
}

fn overlap(a: &Range<Tick>, b: &Range<Tick>) -> Tick {
    a.end.min(b.end).less(a.start.max(b.start))
}
