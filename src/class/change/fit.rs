//! Fit: new lengths for the spans still to come, so that the class ends on time.

use super::course::{Course, UpcomingSpan};
use super::span_families::SpanFamily;
use crate::schedule::{Span, WorkingSide};
use crate::session::BlockKind;
use crate::time::Tick;

/// Ending up to this much early is as good as ending on time (est.).
pub(super) const EARLY: Tick = Tick::seconds(30);

/// The result of a fit.
#[derive(Clone, Debug, PartialEq)]
pub struct FitResult {
    pub course: Course,
    /// The families of the spans still to come, each with its new length.
    pub lengths: Vec<(SpanFamily, Tick)>,
    /// The time left over that was added to the cool-down. The cool-down grows to its longest allowed length at most.
    pub left_over: Tick,
    /// How much later than wanted the class still ends, when even the shortest lengths are too long.
    pub late: Tick,
    /// How much earlier than wanted the class ends.
    pub early: Tick,
}

impl Course {
    /// Chooses new lengths for the spans after the one that contains `now`, so that the class ends at `end`, a tick of
    /// class time. [`best_lengths`] makes the choice. It starts from the lengths in the file, so several fits do not
    /// add up.
    ///
    /// The time left over is added to the last cool-down. Without a cool-down the class ends early.
    pub fn fit(&self, now: Tick, end: Tick) -> FitResult {
        let Some(current) = self.schedule().span_at(now) else {
            let course = self.clone();
            let total = course.schedule().total();
            return FitResult {
                course,
                lengths: vec![],
                left_over: Tick::ZERO,
                late: total.saturating_sub(end),
                early: end.saturating_sub(total),
            };
        };
        let families = self.families(current);
        let movable: Tick = families.iter().flat_map(|family| &family.spans).map(|&span| self.length(span)).sum();
        let constant = self.schedule().total() - movable;
        let time = end.0 as i64 - constant.0 as i64;
        let mut lengths: Vec<(SpanFamily, Tick)> = {
            let best = best_lengths(&families, time);
            families.into_iter().zip(best).collect()
        };
        let filled: i64 = lengths.iter().map(|(family, length)| (family.count * length.0) as i64).sum();
        let left_over = self.give_left_over_to_cool_down(&mut lengths, Tick(u64::try_from(time - filled).unwrap_or(0)));
        let course = self.with_lengths(now, current, &lengths);
        let total = course.schedule().total();
        FitResult { course, lengths, left_over, late: total.saturating_sub(end), early: end.saturating_sub(total) }
    }

    fn length(&self, span: usize) -> Tick {
        self.schedule().spans[span].length()
    }

    /// Adds the time left over to the last cool-down, up to its longest allowed length. Returns how much was added.
    fn give_left_over_to_cool_down(&self, lengths: &mut [(SpanFamily, Tick)], left_over: Tick) -> Tick {
        let is_cool_down = |family: &SpanFamily| {
            let block = &self.schedule().session.blocks[self.schedule().spans[family.spans[0]].block];
            family.stretch.is_protected() && block.kind == BlockKind::CoolDown
        };
        let Some((family, length)) = lengths.iter_mut().rev().find(|(family, _)| is_cool_down(family)) else {
            return Tick::ZERO;
        };
        let longest = family.allowed.last().copied().unwrap_or(*length);
        let given = left_over.min(longest.saturating_sub(*length));
        *length += given;
        given
    }

    /// The course with these lengths for the spans still to come.
    fn with_lengths(&self, now: Tick, current: usize, lengths: &[(SpanFamily, Tick)]) -> Course {
        let mut owed: Vec<UpcomingSpan> = self.upcoming_from(current).collect();
        for (family, length) in lengths {
            let planned: Vec<&Span> =
                family.spans.iter().filter_map(|&span| Some(&self.plan().spans[self.origin(span)?.plan])).collect();
            let shares =
                if family.stretch.is_protected() { shares(&planned, *length) } else { vec![*length; planned.len()] };
            for ((&span, planned), share) in family.spans.iter().zip(planned).zip(shares) {
                let owed = &mut owed[span - current];
                owed.span = self.reshaped(&owed.span, planned, share);
            }
        }
        self.continue_span_then(now, owed)
    }

    /// A span with another length. It is resized from the planned span, so that nothing is rounded twice.
    pub(super) fn reshaped(&self, span: &Span, planned: &Span, length: Tick) -> Span {
        let tempo = self.schedule().station_of(span).and_then(|station| station.tempo);
        let shape = if length == planned.length() { planned.clone() } else { planned.with_length(length, tempo) };
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

/// Shares a length out over the spans of a block in proportion to their planned lengths, in whole seconds where
/// possible. A left side and its right side get the same length; a tick that cannot be halved is dropped.
fn shares(planned: &[&Span], length: Tick) -> Vec<Tick> {
    // A left side and its right side form one share of two equal parts.
    let mut units: Vec<Vec<usize>> = Vec::new();
    for (index, span) in planned.iter().enumerate() {
        let left = units.iter_mut().find(|unit| {
            unit.len() == 1 && {
                let other = planned[unit[0]];
                (other.side, span.side) == (WorkingSide::Left, WorkingSide::Right)
                    && (other.activity, other.round, other.length()) == (span.activity, span.round, span.length())
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

/// The penalty of a choice of lengths, apart from its sum. Lower is better; the fields are compared in order.
type FitPenalty = (u64, u64, u64);

/// The lengths that fill `time` milliseconds best: one for each family, out of its allowed lengths. The choice is the
/// exact optimum.
///
/// With `sum` = Σ count × length, `file` = the length in the file and `change` = |length − file|, it minimises in this
/// order: how far `sum` is over `time`; Σ count × change of the protected families; how far `sum` is under `time`
/// beyond 30 s; how many families change; Σ count × weight × ⌊1000 × change / file⌋²; how far `sum` is under `time`.
/// Among equal choices, the first family gets the longest length, then the second, and so on.
///
/// Method: a table over the sums that can be reached, built family by family from the last. For a given sum, the
/// criteria that depend on the sum are known, and the others add up over the families. The run time grows with families
/// × allowed lengths × reachable sums.
pub fn best_lengths(families: &[SpanFamily], time: i64) -> Vec<Tick> {
    let least: u64 = families.iter().map(|family| family.count * shortest(family).0).sum();
    let Some(room) = time.checked_sub_unsigned(least).and_then(|room| u64::try_from(room).ok()) else {
        return families.iter().map(shortest).collect();
    };
    let above = |family: &SpanFamily, length: Tick| family.count * (length - shortest(family)).0;
    let unit = families
        .iter()
        .flat_map(|family| family.allowed.iter().map(move |&length| above(family, length)))
        .fold(0, common_divisor)
        .max(1);
    let longest: u64 = families.iter().filter_map(|f| f.allowed.last().map(|&length| above(f, length))).sum();
    let sums = usize::try_from(room.min(longest) / unit).unwrap_or(usize::MAX - 1) + 1;

    let mut best: Vec<Option<FitPenalty>> = vec![None; sums];
    best[0] = Some((0, 0, 0));
    let mut choices: Vec<Vec<usize>> = Vec::with_capacity(families.len());
    for family in families.iter().rev() {
        let mut next: Vec<Option<FitPenalty>> = vec![None; sums];
        let mut chosen = vec![0usize; sums];
        // From the longest on, so that the longest of equal lengths is kept.
        for (choice, &length) in family.allowed.iter().enumerate().rev() {
            let step = (above(family, length) / unit) as usize;
            let worse = penalty(family, length);
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

fn shortest(family: &SpanFamily) -> Tick {
    family.allowed.first().copied().unwrap_or(family.length)
}

/// What a length of a family adds to the penalty: protected ticks changed, families changed, weighted squares of the
/// change.
fn penalty(family: &SpanFamily, length: Tick) -> FitPenalty {
    let change = length.0.abs_diff(family.length.0);
    let thousandths = 1000 * change / family.length.0.max(1);
    let protected = if family.stretch.is_protected() { family.count * change } else { 0 };
    (protected, u64::from(change > 0), family.count * family.stretch.weight() * thousandths * thousandths)
}

fn common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}
