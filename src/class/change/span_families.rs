//! Families: groups of spans still to come that a fit gives one common length.

use std::collections::BTreeSet;

use super::course::{Course, LengthSource};
use crate::movement::Sides;
use crate::schedule::{Span, SpanPurpose, WorkingSide};
use crate::session::{BlockFormat, BlockKind, WorkAmount};
use crate::time::Tick;

/// A fit changes lengths in steps of this. A protected block changes in steps of [`PROTECTED_STEP`], work in
/// repetitions in whole repetitions.
const STEP: Tick = Tick::seconds(5);
const PROTECTED_STEP: Tick = Tick::seconds(15);

/// No fit makes work shorter than this, or a rest shorter than [`SHORTEST_REST`], unless the file does.
pub(super) const SHORTEST_WORK: Tick = Tick::seconds(20);
pub(super) const SHORTEST_REST: Tick = Tick::seconds(15);

/// Spans that always get the same new length, so that one announcement is true for all of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SpanFamily {
    pub stretch: FamilyKind,
    /// The number of spans, at least 1. A warm-up or cool-down counts as one.
    pub count: u64,
    /// The length in the file. For a warm-up or cool-down, the sum over its spans.
    pub length: Tick,
    /// The lengths that a fit may choose, in rising order, including the length in the file.
    pub allowed: Vec<Tick>,
    /// Indices into the schedule's spans.
    pub spans: Vec<usize>,
}

/// The kind of spans in a family. The more the kind matters, the more a change of its length weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FamilyKind {
    /// Rests after blocks of a kind.
    BlockRest(BlockKind),
    /// Rests between stations and rounds in main blocks.
    Rest,
    /// Work in main blocks.
    Work,
    /// The work of a warm-up or cool-down, by index of the block.
    Protected(usize),
}

impl FamilyKind {
    /// The weight of a change of length, 1 to 8.
    pub fn weight(self) -> u64 {
        match self {
            FamilyKind::BlockRest(_) => 1,
            FamilyKind::Rest => 2,
            FamilyKind::Work => 4,
            FamilyKind::Protected(_) => 8,
        }
    }

    /// Whether it is a warm-up or cool-down. A fit keeps these lengths before all others.
    pub fn is_protected(self) -> bool {
        matches!(self, FamilyKind::Protected(_))
    }

    fn length_step(self) -> Tick {
        if self.is_protected() { PROTECTED_STEP } else { STEP }
    }

    /// The shortest and the longest length that a fit may choose, from the length in the file: 2/3 to 5/4 for work, 1/2
    /// to 3/2 for a rest, 5/6 to 4/3 for a warm-up or cool-down.
    fn range(self, length: Tick) -> (Tick, Tick) {
        let part = |times: u64, of: u64| (length.0 * times).div_ceil(of);
        let whole = |times: u64, of: u64| length.0 * times / of;
        let (least, most, floor) = match self {
            FamilyKind::Work => (part(2, 3), whole(5, 4), SHORTEST_WORK),
            FamilyKind::BlockRest(_) | FamilyKind::Rest => (part(1, 2), whole(3, 2), SHORTEST_REST),
            FamilyKind::Protected(_) => (part(5, 6), whole(4, 3), SHORTEST_WORK),
        };
        (Tick(least).max(floor), Tick(most))
    }

    /// The lengths that a fit may choose, in steps of this size from the length in the file. That length is always
    /// included.
    pub fn allowed(self, length: Tick, step: Tick) -> Vec<Tick> {
        let (least, most) = self.range(length);
        let step = step.0.max(1);
        // Steps are counted from the length in the file, so that this length need not be a multiple of a step.
        let down = length.saturating_sub(least).0 / step;
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
    /// The families of the spans after the index `after`, in order of their first span.
    ///
    /// These spans keep their length and are in no family: transitions and briefings; the minutes of an EMOM; the rests
    /// and the work in repetitions inside a warm-up or cool-down; a right side whose left side has begun; spans whose
    /// length the coach has set; and spans that the plan does not have.
    pub fn families(&self, after: usize) -> Vec<SpanFamily> {
        let mut families: Vec<SpanFamily> = Vec::new();
        for (index, span) in self.schedule().spans.iter().enumerate().skip(after + 1) {
            let Some(origin) = self.origin(index).filter(|origin| origin.length == LengthSource::Planned) else {
                continue;
            };
            let Some((stretch, step)) = self.family_kind(span).filter(|_| !self.has_its_left_before(index, after))
            else {
                continue;
            };
            let length = self.plan().spans[origin.plan].length();
            let same = |family: &&mut SpanFamily| {
                family.stretch == stretch && (stretch.is_protected() || family.length == length)
            };
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
                    families.push(SpanFamily { stretch, count: 1, length, allowed, spans: vec![index] });
                }
            }
        }
        for block in families.iter_mut().filter(|family| family.stretch.is_protected()) {
            block.allowed = block.stretch.allowed(block.length, PROTECTED_STEP);
        }
        families
    }

    /// Whether a span is the right side of a station whose left side began in the span `after` or before it. The right
    /// side must then take as long as the left side did.
    fn has_its_left_before(&self, index: usize, after: usize) -> bool {
        let spans = &self.schedule().spans;
        let right = &spans[index];
        let left = |span: &&Span| {
            span.side == WorkingSide::Left
                && (span.block, span.activity, span.round) == (right.block, right.activity, right.round)
        };
        right.side == WorkingSide::Right && !spans[after + 1..index].iter().any(|span| left(&span))
    }

    /// The kind of family that a span belongs to, and the step by which its length changes. None when its length is
    /// constant.
    fn family_kind(&self, span: &Span) -> Option<(FamilyKind, Tick)> {
        let block = self.schedule().block_of(span);
        let emom = matches!(block.format, BlockFormat::Emom { .. });
        let protected = block.kind != BlockKind::Main;
        let rep = self.rep_length(span);
        let stretch = match span.purpose {
            SpanPurpose::BlockRest => FamilyKind::BlockRest(block.kind),
            SpanPurpose::Rest | SpanPurpose::RoundRest if !emom && !protected => FamilyKind::Rest,
            SpanPurpose::Work if emom || protected && rep.is_some() => return None,
            SpanPurpose::Work if protected => FamilyKind::Protected(span.block),
            SpanPurpose::Work => FamilyKind::Work,
            _ => return None,
        };
        Some((stretch, rep.unwrap_or(stretch.length_step())))
    }

    /// How much longer a span becomes with one more repetition. None when its work is not given in repetitions.
    fn rep_length(&self, span: &Span) -> Option<Tick> {
        let own = matches!(self.schedule().block_of(span).format, BlockFormat::Ladder { .. });
        let station = self.schedule().station_of(span).filter(|_| !own && span.purpose == SpanPurpose::Work)?;
        let WorkAmount::Reps(_) = station.work else { return None };
        let rep = station.tempo.unwrap_or(crate::schedule::MODERATE).rep();
        Some(match station.sides {
            Sides::Together | Sides::EachSide => rep,
            Sides::Alternating | Sides::LeftThenRight => rep + rep,
        })
    }
}
