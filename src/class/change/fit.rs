//! Fit: new lengths for what is still to come, so that the class ends on time.

use super::course::{Course, Owed};
use super::families::Family;
use crate::schedule::{Side, Span};
use crate::session::Kind;
use crate::time::Tick;

/// To end early by up to this much is as good as to end on time (est.).
pub(super) const EARLY: Tick = Tick::seconds(30);

/// What a fit would make of a class.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    pub course: Course,
    /// The families of what was still to come, each with its new length.
    pub lengths: Vec<(Family, Tick)>,
    /// What was left over and goes to the cool-down, as far as that may grow.
    pub left_over: Tick,
    /// How much later than wanted the class still ends: even the shortest lengths do not reach.
    pub late: Tick,
    /// How much earlier than wanted it ends.
    pub early: Tick,
}

impl Course {
    /// New lengths for the spans after the one that holds `now`, so that the class ends at `end`, a tick of class
    /// time: what [`best_lengths`] chooses. Lengths are counted from the file's, so that fits do not add up.
    ///
    /// What is then left over goes to the last cool-down; without one the class ends early.
    pub fn fit(&self, now: Tick, end: Tick) -> Fit {
        let Some(current) = self.schedule().span_at(now) else {
            let course = self.clone();
            let total = course.schedule().total();
            return Fit {
                course,
                lengths: vec![],
                left_over: Tick::ZERO,
                late: total.less(end),
                early: end.less(total),
            };
        };
        let families = self.families(current);
        let movable: Tick = families.iter().flat_map(|family| &family.spans).map(|&span| self.length(span)).sum();
        let constant = self.schedule().total() - movable;
        let time = end.0 as i64 - constant.0 as i64;
        let mut lengths: Vec<(Family, Tick)> = {
            let best = best_lengths(&families, time);
            families.into_iter().zip(best).collect()
        };
        let filled: i64 = lengths.iter().map(|(family, length)| (family.count * length.0) as i64).sum();
        let left_over = self.give_cool_down(&mut lengths, Tick(u64::try_from(time - filled).unwrap_or(0)));
        let course = self.with_lengths(now, current, &lengths);
        let total = course.schedule().total();
        Fit { course, lengths, left_over, late: total.less(end), early: end.less(total) }
    }

    fn length(&self, span: usize) -> Tick {
        self.schedule().spans[span].length()
    }

    /// Gives the last cool-down what is left over, to the longest that it may be, and says how much that was.
    fn give_cool_down(&self, lengths: &mut [(Family, Tick)], left_over: Tick) -> Tick {
        let is_cool_down = |family: &Family| {
            let block = &self.schedule().session.blocks[self.schedule().spans[family.spans[0]].block];
            family.stretch.is_protected() && block.kind == Kind::CoolDown
        };
        let Some((family, length)) = lengths.iter_mut().rev().find(|(family, _)| is_cool_down(family)) else {
            return Tick::ZERO;
        };
        let longest = family.allowed.last().copied().unwrap_or(*length);
        let given = left_over.min(longest.less(*length));
        *length += given;
        given
    }

    /// The course with these lengths for what is still to come.
    fn with_lengths(&self, now: Tick, current: usize, lengths: &[(Family, Tick)]) -> Course {
        let mut owed: Vec<Owed> = self.from(current).collect();
        for (family, length) in lengths {
            let planned: Vec<&Span> =
                family.spans.iter().filter_map(|&span| Some(&self.plan().spans[self.origin(span)?.plan])).collect();
            let shares =
                if family.stretch.is_protected() { shares(&planned, *length) } else { vec![*length; planned.len()] };
            for ((&span, planned), share) in family.spans.iter().zip(planned).zip(shares) {
                let owed = &mut owed[span - current];
                owed.span = self.as_planned(&owed.span, planned, share);
            }
        }
        self.go_on(now, owed)
    }

    /// A span at another length, shaped from the planned one so that nothing is rounded twice.
    pub(super) fn as_planned(&self, span: &Span, planned: &Span, length: Tick) -> Span {
        let tempo = self.schedule().station_of(span).and_then(|station| station.tempo);
        let shape = if length == planned.length() { planned.clone() } else { planned.resized(length, tempo) };
        Span {
            start: Tick::ZERO,
            end: length,
            settle: shape.settle,
            side: shape.side,
            reps: shape.reps,
            ..span.clone()
        }
    }
}

/// Shares a length out over the spans of a block, each by its planned length, in whole seconds where it can, left
/// and right alike. Of an odd tick that nobody can have alike, one is left out.
fn shares(planned: &[&Span], length: Tick) -> Vec<Tick> {
    // A left and its right are one share of two equal parts.
    let mut units: Vec<Vec<usize>> = Vec::new();
    for (index, span) in planned.iter().enumerate() {
        let left = units.iter_mut().find(|unit| {
            unit.len() == 1 && {
                let other = planned[unit[0]];
                (other.side, span.side) == (Side::Left, Side::Right)
                    && (other.doing, other.round, other.length()) == (span.doing, span.round, span.length())
            }
        });
        match left {
            Some(unit) => unit.push(index),
            None => units.push(vec![index]),
        }
    }
    let whole: u64 = planned.iter().map(|span| span.length().0).sum::<u64>().max(1);
    let mut given = vec![Tick::ZERO; planned.len()];
    let (mut seen, mut spent) = (0u128, 0u64);
    for (place, unit) in units.iter().enumerate() {
        let parts = unit.len() as u64;
        seen += u128::from(planned[unit[0]].length().0 * parts);
        let until = u64::try_from(seen * u128::from(length.0) / u128::from(whole)).unwrap_or(length.0);
        let mut each = until.saturating_sub(spent) / parts;
        if place + 1 < units.len() {
            each -= each % 1000;
        }
        for &index in unit {
            given[index] = Tick(each);
        }
        spent += each * parts;
    }
    given
}

/// How good a choice of lengths is once their sum is known: less is better, the first difference decides.
type Badness = (u64, u64, u64);

/// The lengths, one for each family and each of its allowed ones, that fill `time` milliseconds best. Exact.
///
/// With `sum` = Σ count × length and `change` = |length − the file's|, it minimises in this order: how far `sum` is
/// over; Σ count × change of protected families; how far `sum` is under by more than 30 s; how many families
/// change; Σ count × weight × ⌊1000 × change / the file's⌋²; how far `sum` is under. Then the longest length
/// for the family that comes first, then the second, and so on.
///
/// A table over the sums that can be reached, family by family from the last: for one sum the parts of the order that
/// depend on it are settled, and the others add up. Time grows with families × allowed lengths × reachable sums.
pub fn best_lengths(families: &[Family], time: i64) -> Vec<Tick> {
    let least: u64 = families.iter().map(|family| family.count * shortest(family).0).sum();
    let Some(room) = time.checked_sub_unsigned(least).and_then(|room| u64::try_from(room).ok()) else {
        return families.iter().map(shortest).collect();
    };
    let above = |family: &Family, length: Tick| family.count * (length - shortest(family)).0;
    let unit = families
        .iter()
        .flat_map(|family| family.allowed.iter().map(move |&length| above(family, length)))
        .fold(0, common_divisor)
        .max(1);
    let longest: u64 = families.iter().filter_map(|f| f.allowed.last().map(|&length| above(f, length))).sum();
    let sums = usize::try_from(room.min(longest) / unit).unwrap_or(usize::MAX - 1) + 1;

    let mut best: Vec<Option<Badness>> = vec![None; sums];
    best[0] = Some((0, 0, 0));
    let mut choices: Vec<Vec<usize>> = Vec::with_capacity(families.len());
    for family in families.iter().rev() {
        let mut next: Vec<Option<Badness>> = vec![None; sums];
        let mut chosen = vec![0usize; sums];
        // From the longest, so that of equals the longest stays.
        for (choice, &length) in family.allowed.iter().enumerate().rev() {
            let step = (above(family, length) / unit) as usize;
            let worse = badness(family, length);
            for sum in step..sums {
                let Some(rest) = best[sum - step] else { continue };
                let whole = (rest.0 + worse.0, rest.1 + worse.1, rest.2 + worse.2);
                if next[sum].is_none_or(|known| whole < known) {
                    next[sum] = Some(whole);
                    chosen[sum] = choice;
                }
            }
        }
        best = next;
        choices.push(chosen);
    }
    let under = |sum: usize| room - sum as u64 * unit;
    let rank = |sum: usize| {
        let (protected, changed, squares) = best[sum]?;
        Some((protected, under(sum).saturating_sub(EARLY.0), changed, squares, under(sum)))
    };
    let mut sum = (0..sums).filter(|&sum| best[sum].is_some()).min_by_key(|&sum| rank(sum)).unwrap_or(0);
    let mut lengths = Vec::with_capacity(families.len());
    for (family, chosen) in families.iter().zip(choices.iter().rev()) {
        let length = family.allowed[chosen[sum]];
        sum -= (above(family, length) / unit) as usize;
        lengths.push(length);
    }
    lengths
}

fn shortest(family: &Family) -> Tick {
    family.allowed.first().copied().unwrap_or(family.length)
}

/// What a length of a family adds: protected ticks moved, families changed, weighted squares of the change.
fn badness(family: &Family, length: Tick) -> Badness {
    let change = length.0.abs_diff(family.length.0);
    let thousandths = 1000 * change / family.length.0.max(1);
    let protected = if family.stretch.is_protected() { family.count * change } else { 0 };
    (protected, u64::from(change > 0), family.count * family.stretch.weight() * thousandths * thousandths)
}

fn common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}
