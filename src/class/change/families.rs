//! Families: the spans still to come whose lengths a fit decides together.

use std::collections::BTreeSet;

use super::course::{Course, Length};
use crate::movement::Sides;
use crate::schedule::{Purpose, Side, Span};
use crate::session::{Format, Kind, Work};
use crate::time::Tick;

/// Lengths move by this much, a protected block's by [`PROTECTED_STEP`], work in repetitions by whole ones.
const STEP: Tick = Tick::seconds(5);
const PROTECTED_STEP: Tick = Tick::seconds(15);

/// No fit makes work shorter than this, nor a rest shorter than [`SHORTEST_REST`], unless the file does.
pub(super) const SHORTEST_WORK: Tick = Tick::seconds(20);
pub(super) const SHORTEST_REST: Tick = Tick::seconds(15);

/// Spans whose lengths change together, so that what is said once holds for all of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Family {
    pub stretch: Stretch,
    /// How many there are, at least 1. A warm-up or cool-down is one, whatever it consists of.
    pub count: u64,
    /// The length in the file.
    pub length: Tick,
    /// The lengths that a fit may choose, ascending, that of the file among them.
    pub allowed: Vec<Tick>,
    /// Indices into the schedule's spans.
    pub spans: Vec<usize>,
}

/// What a family is a stretch of. The more it matters, the heavier a change of it weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stretch {
    /// Rests between blocks of a kind.
    BlockRest(Kind),
    /// Rests between stations and rounds in main blocks.
    Rest,
    /// Work in main blocks.
    Work,
    /// The work of a warm-up or cool-down, by index of the block.
    Protected(usize),
}

impl Stretch {
    /// How heavily a change of its length weighs.
    pub fn weight(self) -> u64 {
        match self {
            Stretch::BlockRest(_) => 1,
            Stretch::Rest => 2,
            Stretch::Work => 4,
            Stretch::Protected(_) => 8,
        }
    }

    /// Whether it is a warm-up or cool-down, whose time is kept before anything else is.
    pub fn is_protected(self) -> bool {
        matches!(self, Stretch::Protected(_))
    }

    fn step(self) -> Tick {
        if self.is_protected() { PROTECTED_STEP } else { STEP }
    }

    /// The shortest and the longest that a fit makes of a length in the file: work 2/3 to 5/4, a rest half to
    /// one and a half times, a warm-up or cool-down 5/6 to 4/3.
    fn range(self, length: Tick) -> (Tick, Tick) {
        let part = |times: u64, of: u64| (length.0 * times).div_ceil(of);
        let whole = |times: u64, of: u64| length.0 * times / of;
        let (least, most, floor) = match self {
            Stretch::Work => (part(2, 3), whole(5, 4), SHORTEST_WORK),
            Stretch::BlockRest(_) | Stretch::Rest => (part(1, 2), whole(3, 2), SHORTEST_REST),
            Stretch::Protected(_) => (part(5, 6), whole(4, 3), SHORTEST_WORK),
        };
        (Tick(least).max(floor), Tick(most))
    }

    /// The lengths in reach of one in the file by steps of this size, that one always among them.
    pub fn allowed(self, length: Tick, step: Tick) -> Vec<Tick> {
        let (least, most) = self.range(length);
        let step = step.0.max(1);
        // Steps are counted from the file's own length, so that it keeps its odd seconds.
        let down = length.less(least).0 / step;
        let first = length.0 - down * step;
        let mut allowed: Vec<Tick> = (first..=most.0).step_by(step as usize).map(Tick).collect();
        allowed.retain(|&tick| tick == length || tick >= least);
        if allowed.is_empty() {
            allowed.push(length);
        }
        allowed
    }
}

impl Course {
    /// The families of the spans after an index, in order of their first span.
    ///
    /// Constant are transitions and briefings, the minutes of an EMOM, the rests inside a warm-up or cool-down and
    /// its work in repetitions, a right whose left has begun, and every span whose length the coach has set or that
    /// the plan does not have.
    pub fn families(&self, after: usize) -> Vec<Family> {
        let mut families: Vec<Family> = Vec::new();
        for (index, span) in self.schedule().spans.iter().enumerate().skip(after + 1) {
            let Some(origin) = self.origin(index).filter(|origin| origin.length == Length::Free) else { continue };
            let Some((stretch, step)) = self.stretch_of(span).filter(|_| !self.has_its_left_before(index, after))
            else {
                continue;
            };
            let length = self.plan().spans[origin.plan].length();
            let same =
                |family: &&mut Family| family.stretch == stretch && (stretch.is_protected() || family.length == length);
            match families.iter_mut().find(same) {
                Some(block) if stretch.is_protected() => {
                    block.length += length;
                    block.spans.push(index);
                }
                Some(family) => {
                    let also: BTreeSet<Tick> = stretch.allowed(length, step).into_iter().collect();
                    family.allowed.retain(|tick| also.contains(tick));
                    family.count += 1;
                    family.spans.push(index);
                }
                None => {
                    let allowed = stretch.allowed(length, step);
                    families.push(Family { stretch, count: 1, length, allowed, spans: vec![index] });
                }
            }
        }
        for block in families.iter_mut().filter(|family| family.stretch.is_protected()) {
            block.allowed = block.stretch.allowed(block.length, PROTECTED_STEP);
        }
        families
    }

    /// Whether a span is the right to a left that has begun by the span `after`, and so owes what that took.
    fn has_its_left_before(&self, index: usize, after: usize) -> bool {
        let spans = &self.schedule().spans;
        let right = &spans[index];
        let left = |span: &&Span| {
            span.side == Side::Left && (span.block, span.doing, span.round) == (right.block, right.doing, right.round)
        };
        right.side == Side::Right && !spans[after + 1..index].iter().any(|span| left(&span))
    }

    /// What a span is a stretch of and by what steps it moves; None for one that stays as it is.
    fn stretch_of(&self, span: &Span) -> Option<(Stretch, Tick)> {
        let block = self.schedule().block_of(span);
        let emom = matches!(block.format, Format::Emom { .. });
        let protected = block.kind != Kind::Main;
        let rep = self.rep(span);
        let stretch = match span.purpose {
            Purpose::BlockRest => Stretch::BlockRest(block.kind),
            Purpose::Rest | Purpose::RoundRest if !emom && !protected => Stretch::Rest,
            Purpose::Work if emom || protected && rep.is_some() => return None,
            Purpose::Work if protected => Stretch::Protected(span.block),
            Purpose::Work => Stretch::Work,
            _ => return None,
        };
        Some((stretch, rep.unwrap_or(stretch.step())))
    }

    /// By how much one more repetition lengthens a span whose work is given in repetitions.
    fn rep(&self, span: &Span) -> Option<Tick> {
        let own = matches!(self.schedule().block_of(span).format, Format::Ladder { .. });
        let station = self.schedule().station_of(span).filter(|_| !own && span.purpose == Purpose::Work)?;
        let Work::Reps(_) = station.work else { return None };
        let rep = station.tempo.unwrap_or(crate::schedule::MODERATE).rep();
        Some(match station.sides {
            Sides::Together | Sides::EachSide => rep,
            Sides::Alternating | Sides::LeftThenRight => rep + rep,
        })
    }
}
