//! Cut: what to leave out so that the class ends on time with the lengths in the file.

use super::course::{Course, LengthSource, UpcomingSpan};
use super::fit::EARLY;
use crate::movement::Pattern;
use crate::schedule::{Activity, Span, SpanPurpose, WorkingSide};
use crate::session::BlockKind;
use crate::time::Tick;

/// A part of the class that can be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Omission {
    /// An optional station: block and station.
    Optional(usize, usize),
    /// The station with this index in every block of this kind.
    Everywhere(BlockKind, usize),
    /// A round of a block: block and round.
    Round(usize, u32),
}

/// The result of a cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutResult {
    pub course: Course,
    /// What is left out, in the order of the class. Empty when nothing needs to be left out, or nothing can be.
    pub units: Vec<Omission>,
    /// How much later than wanted the class still ends, when leaving everything out is not enough.
    pub late: Tick,
    /// How much earlier than wanted the class ends.
    pub early: Tick,
}

/// The penalty of a cut. Lower is better; the fields are compared in order. See [`Course::cut`].
type CutPenalty = (u64, u64, u64, usize, u64, u64);

impl Course {
    /// Chooses what to leave out after the span that contains `now`, so that the class ends at `end`, a tick of class
    /// time. The choice is the exact optimum.
    ///
    /// It minimises, in this order: the time over; the one-sided work whose other side is left out; the warm-up and
    /// cool-down time left out; the number of omissions; the time under beyond 30 s; the difference between push and
    /// pull work in the class. Among equal cuts, later work is left out. The search is branch and bound over the
    /// omissions, those that save most first.
    pub fn cut(&self, now: Tick, end: Tick) -> CutResult {
        let search = self.search(now, end);
        let (units, gone) = search.best();
        let course = match self.schedule().span_at(now) {
            Some(_) => self.continue_span_then(now, self.leave_out(&search.upcoming, |index| gone[index])),
            None => self.clone(),
        };
        let total = course.schedule().total();
        CutResult { course, units, late: total.saturating_sub(end), early: end.saturating_sub(total) }
    }

    fn search(&self, now: Tick, end: Tick) -> CutSearch<'_> {
        let current = self.schedule().span_at(now);
        let mut owed: Vec<UpcomingSpan> = current.map_or(vec![], |current| self.upcoming_from(current).collect());
        for item in owed.iter_mut().skip(1).filter(|item| item.origin.length == LengthSource::Planned) {
            let planned = &self.plan().spans[item.origin.plan];
            item.span = self.reshaped(&item.span, planned, planned.length());
        }
        let owed_from = owed.first().map_or(self.schedule().total(), |first| first.span.start);
        let past = self.schedule().spans.iter().take_while(|span| span.start < owed_from);
        let balance = past.chain(owed.first().map(|item| &item.span)).map(|span| self.push_less_pull(span)).sum();
        let mut units = self.units(&owed);
        // Equal rounds count as saving the same, so that the sort keeps the later round before the earlier one.
        for index in 0..units.len() {
            let alike = units.iter().filter(|other| other.alike.is_some() && other.alike == units[index].alike);
            units[index].saves = alike.map(|other| other.saves).fold(units[index].saves, Tick::max);
        }
        units.sort_by_key(|unit| std::cmp::Reverse(unit.saves));
        let room = end.0 as i64 - owed_from.0 as i64;
        let owes: i64 = owed.iter().map(|item| item.span.length().0 as i64).sum();
        let over = u64::try_from(owes - room).unwrap_or(0);
        let (mut gaps, mut gap_before) = (vec![0], vec![0; owed.len()]);
        for (index, item) in owed.iter().enumerate() {
            let last = gaps.len() - 1;
            gap_before[index] = last;
            if item.span.purpose == SpanPurpose::Work {
                gaps.push(0);
            } else {
                gaps[last] += item.span.length().0;
            }
        }
        CutSearch { course: self, room, over, upcoming: owed, gaps, gap_before, units, balance }
    }

    /// The omissions that are possible after the running span, the latest first.
    fn units(&self, owed: &[UpcomingSpan]) -> Vec<CutCandidate> {
        let mut found: Vec<(Omission, Vec<usize>)> = Vec::new();
        for (index, item) in owed.iter().enumerate().skip(1) {
            let span = &item.span;
            if span.purpose != SpanPurpose::Work || item.origin.length == LengthSource::Inserted {
                continue;
            }
            let block = self.schedule().block_of(span);
            let mut of = vec![];
            if let (Activity::Station(_), Activity::Station(station)) =
                (span.activity, self.planned_activity(span.block, span.activity))
            {
                if block.stations.get(station).is_some_and(|station| station.optional) {
                    of.push(Omission::Optional(span.block, station));
                }
                of.push(Omission::Everywhere(block.kind, station));
            }
            let running = &owed[0].span;
            if running.block != span.block || running.round != span.round || running.purpose == SpanPurpose::BlockRest {
                of.push(Omission::Round(span.block, span.round));
            }
            for unit in of {
                match found.iter_mut().find(|(known, _)| *known == unit) {
                    Some((_, spans)) => spans.push(index),
                    None => found.push((unit, vec![index])),
                }
            }
        }
        found.reverse();
        found.into_iter().map(|(unit, spans)| self.choice(owed, unit, spans)).collect()
    }

    fn choice(&self, owed: &[UpcomingSpan], unit: Omission, spans: Vec<usize>) -> CutCandidate {
        // Leaving out a work span also removes at most all idle spans between the work before it and the work after it.
        let beside = |index: usize| {
            let idle = |item: &&UpcomingSpan| item.span.purpose != SpanPurpose::Work;
            let before = owed[..index].iter().rev().take_while(idle);
            let after = owed[index + 1..].iter().take_while(idle);
            before.chain(after).map(|item| item.span.length()).sum::<Tick>()
        };
        let saves = spans.iter().map(|&index| owed[index].span.length() + beside(index)).sum();
        let alike = match unit {
            Omission::Round(block, round) => Some((block, self.round_shape(owed, block, round))),
            _ => None,
        };
        CutCandidate { unit, spans, saves, alike }
    }

    /// What happens in a round, to tell whether two rounds are equal.
    fn round_shape(&self, owed: &[UpcomingSpan], block: usize, round: u32) -> RoundShape {
        let of_round =
            owed.iter().skip(1).map(|item| &item.span).filter(|span| (span.block, span.round) == (block, round));
        let rests_between = |span: &&Span| {
            !matches!(span.purpose, SpanPurpose::RoundRest | SpanPurpose::BlockRest | SpanPurpose::Briefing)
        };
        of_round.filter(rests_between).map(|span| (span.activity, span.side, span.length())).collect()
    }

    fn push_less_pull(&self, span: &Span) -> i64 {
        let station = self.schedule().station_of(span).filter(|_| span.purpose == SpanPurpose::Work);
        match station.map(|station| station.movement.pattern) {
            Some(Pattern::Push) => span.length().0 as i64,
            Some(Pattern::Pull) => -(span.length().0 as i64),
            _ => 0,
        }
    }
}

/// An omission, with the indices of the work spans it leaves out.
struct CutCandidate {
    unit: Omission,
    spans: Vec<usize>,
    /// The most time that this omission can save by itself.
    saves: Tick,
    /// For a round: its block and shape. Of equal rounds of a block, the last is left out first.
    alike: Option<(usize, RoundShape)>,
}

/// What happens in a round, span by span: what is done, with which side, for how long.
type RoundShape = Vec<(Activity, WorkingSide, Tick)>;

struct CutSearch<'a> {
    course: &'a Course,
    upcoming: Vec<UpcomingSpan>,
    /// The idle time before the first work span, between each two, and after the last, in ms.
    gaps: Vec<u64>,
    /// For each span of `owed`, an index into `gaps`: the gap it belongs to or, for work, the gap before it.
    gap_before: Vec<usize>,
    units: Vec<CutCandidate>,
    /// The time from the start of the running span to the wanted end, in ms.
    room: i64,
    /// How far the spans of `owed` go beyond `room`, in ms.
    over: u64,
    /// Push minus pull work, in ms, over the spans that can no longer be left out.
    balance: i64,
}

/// The best result that an omission can still lead to.
struct CutBound {
    /// How late the class would still end, in ms.
    late: u64,
    /// How many omissions it takes to end no later than the best known cut.
    more: usize,
}

/// A cut: its penalty, which work is left out (compared so that leaving out later work is better), and which omissions.
type BestCut = (CutPenalty, Vec<bool>, Vec<usize>);

impl CutSearch<'_> {
    fn best(&self) -> (Vec<Omission>, Vec<bool>) {
        let all: Vec<usize> = (0..self.units.len()).collect();
        let (everything, gone) = self.penalty(&all);
        let least_late = everything.0;
        let mut best: Option<BestCut> = Some((everything, gone, all));
        for most in 0..=self.units.len() {
            self.branch(0, &mut Vec::new(), most, &mut best);
            if best.as_ref().is_some_and(|(bad, ..)| (bad.0, bad.1, bad.2) == (least_late, 0, 0) && bad.3 <= most) {
                break;
            }
        }
        let (_, gone, chosen) = best.unwrap_or((CutPenalty::default(), vec![false; self.upcoming.len()], vec![]));
        let mut units: Vec<&CutCandidate> = chosen.iter().map(|&unit| &self.units[unit]).collect();
        units.sort_by_key(|choice| choice.spans.first().copied());
        (units.iter().map(|choice| choice.unit).collect(), gone)
    }

    /// Tries every set of omissions from index `from` on, added to the chosen ones, up to `most` omissions in all.
    fn branch(&self, from: usize, chosen: &mut Vec<usize>, most: usize, best: &mut Option<BestCut>) {
        let (bad, gone) = self.penalty(chosen);
        let free = most.saturating_sub(chosen.len());
        let bounds =
            if free == 0 { vec![] } else { self.bounds(from, &gone, free, best.as_ref().map_or(0, |best| best.0.0)) };
        let found = (bad, gone, chosen.clone());
        if best.as_ref().is_none_or(|best| found < *best) {
            *best = Some(found);
        }
        for (next, bound) in (from..).zip(bounds) {
            let choice = &self.units[next];
            let later = (0..next).any(|other| {
                choice.alike.is_some() && self.units[other].alike == choice.alike && !chosen.contains(&other)
            });
            let may_be_better = best.as_ref().is_none_or(|(known, ..)| {
                let rest = (bad.1, bad.2, chosen.len() + bound.more) <= (known.1, known.2, known.3);
                bound.late < known.0 || bound.late == known.0 && rest
            });
            if later || !may_be_better {
                continue;
            }
            // Without the omissions passed over, even all of the others together may end later than the best known cut.
            let others: Vec<usize> = chosen.iter().copied().chain(next..self.units.len()).collect();
            if best.as_ref().is_some_and(|(known, ..)| self.penalty(&others).0.0 > known.0) {
                break;
            }
            chosen.push(next);
            self.branch(next + 1, chosen, most, best);
            chosen.pop();
        }
    }

    /// For each omission from index `from` on, a bound on the result of adding it, with at most `free` - 1 of the
    /// omissions after it, to the work that is `gone` already. `known`: how late the best known cut ends, in ms.
    ///
    /// Leaving out work saves at most that work and the idle time on both sides of it. Each gap is counted once, so an
    /// omission adds no more to a larger set than to a smaller one, and several omissions never save more than the sum
    /// of what each adds.
    fn bounds(&self, from: usize, gone: &[bool], free: usize, known: u64) -> Vec<CutBound> {
        // For each gap, what has counted it: an omission by its index, or `usize::MAX` for the work that is left out.
        let mut counted = vec![None; self.gaps.len()];
        let mut saved = 0;
        for index in (0..gone.len()).filter(|&index| gone[index]) {
            saved += self.gap_saved_with(index, Some(usize::MAX), &mut counted);
        }
        let mut longest: Vec<u64> = Vec::with_capacity(free);
        let mut bounds = Vec::with_capacity(self.units.len() - from);
        for unit in (from..self.units.len()).rev() {
            let spans = self.units[unit].spans.iter().filter(|&&span| !gone[span]);
            let adds: u64 = spans.map(|&span| self.gap_saved_with(span, Some(unit), &mut counted)).sum();
            let mut late = self.over.saturating_sub(saved + adds);
            let mut more = 1;
            for length in &longest {
                more += usize::from(late > known);
                late = late.saturating_sub(*length);
            }
            bounds.push(CutBound { late, more });
            let place = longest.partition_point(|length| *length >= adds);
            longest.insert(place, adds);
            longest.truncate(free - 1);
        }
        bounds.reverse();
        bounds
    }

    /// The most that leaving out a work span saves, without the gaps that are counted already, in ms.
    fn gap_saved_with(&self, span: usize, by: Option<usize>, counted: &mut [Option<usize>]) -> u64 {
        let before = self.gap_before[span];
        let gaps = (before..=before + 1).filter(|&gap| {
            let is_new = counted[gap] != by && counted[gap] != Some(usize::MAX);
            if is_new {
                counted[gap] = by;
            }
            is_new
        });
        self.upcoming[span].span.length().0 + gaps.map(|gap| self.gaps[gap]).sum::<u64>()
    }

    fn penalty(&self, chosen: &[usize]) -> (CutPenalty, Vec<bool>) {
        let mut gone = vec![false; self.upcoming.len()];
        for &unit in chosen {
            for &span in &self.units[unit].spans {
                gone[span] = true;
            }
        }
        let keep = self.course.spans_kept(&self.upcoming, |index| gone[index]);
        let (mut total, mut orphaned, mut protected, mut balance) = (0i64, 0u64, 0u64, self.balance);
        for (index, item) in self.upcoming.iter().enumerate() {
            let span = &item.span;
            if keep[index] {
                total += span.length().0 as i64;
                balance += if index > 0 { self.course.push_less_pull(span) } else { 0 };
            } else if span.purpose == SpanPurpose::Work {
                orphaned += if self.is_right_of_begun_left(index) { span.by_side().1.0 } else { 0 };
                let main = self.course.schedule().block_of(span).kind == BlockKind::Main;
                protected += if main { 0 } else { span.length().0 };
            }
        }
        let over = total - self.room;
        let early = (-over - EARLY.0 as i64).max(0) as u64;
        ((over.max(0) as u64, orphaned, protected, chosen.len(), early, balance.unsigned_abs()), gone)
    }

    /// Whether a span is the right side of a station whose left side has begun.
    fn is_right_of_begun_left(&self, index: usize) -> bool {
        let right = &self.upcoming[index].span;
        let left = |item: &UpcomingSpan| {
            let left = &item.span;
            left.side == WorkingSide::Left
                && (left.block, left.activity, left.round) == (right.block, right.activity, right.round)
        };
        right.side == WorkingSide::Right && !self.upcoming[1..index].iter().any(left)
    }
}
