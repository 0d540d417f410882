//! Leaving spans out: what is removed with them, and how the remaining spans are joined.

use super::course::{Course, UpcomingSpan};
use crate::schedule::{Activity, Span, SpanPurpose, WorkingSide, change_between, with_settle};
use crate::session::{BlockFormat, TransitionMode};
use crate::time::Tick;

impl Course {
    /// The spans still to come when some of their work is left out. The first span of `owed` is running and stays.
    ///
    /// The transition before the work is removed with it, and so is a rest between two pieces of work that are removed.
    /// Of the rests that are then next to each other, one stays: a block rest before a round rest before a station
    /// rest. At the end of the class no rest stays. An EMOM's minute is removed whole. A block that waits for the start
    /// key still waits, before its first remaining work. A block that is left out whole loses its briefing too.
    pub(super) fn leave_out(&self, owed: &[UpcomingSpan], gone: impl Fn(usize) -> bool) -> Vec<UpcomingSpan> {
        let keep = self.spans_kept(owed, gone);
        let mut gate = None;
        let mut left: Vec<UpcomingSpan> = Vec::new();
        for (index, item) in owed.iter().enumerate() {
            let mut item = item.clone();
            if !keep[index] {
                gate = gate.or(item.span.gate.then_some(item.span.block));
                continue;
            }
            if item.span.purpose == SpanPurpose::Work && gate.take_if(|block| *block == item.span.block).is_some() {
                item.span.gate = true;
            }
            left.push(item);
        }
        self.with_changeovers_rejoined(left)
    }

    /// Which of the spans still to come stay when some of the work is removed.
    pub(super) fn spans_kept(&self, owed: &[UpcomingSpan], gone: impl Fn(usize) -> bool) -> Vec<bool> {
        let is_work = |index: usize| owed[index].span.purpose == SpanPurpose::Work;
        let mut keep: Vec<bool> = (0..owed.len()).map(|index| index == 0 || !is_work(index) || !gone(index)).collect();
        let running = owed.first().map(|item| item.span.block);
        let mut from = 1;
        while from < owed.len() {
            // From one work span that stays to the next.
            let until = (from..owed.len()).find(|&index| is_work(index) && keep[index]).unwrap_or(owed.len());
            let first = (from..until).find(|&index| is_work(index));
            let last = (from..until).rev().find(|&index| is_work(index));
            if let (Some(first), Some(last)) = (first, last) {
                // Rests between stations and rounds stay only between work of their own block.
                let ends = [from - 1, until].map(|index| owed.get(index).map(|item| item.span.block));
                let inside = |block: usize| ends == [Some(block); 2];
                let mut best: Option<usize> = (from == 1 && owed[0].span.purpose.is_rest()).then_some(0);
                for index in from..until {
                    let (before, span) = (&owed[index - 1].span, &owed[index].span);
                    match span.purpose {
                        SpanPurpose::Work => {}
                        SpanPurpose::Transition => {
                            keep[index] = owed.get(index + 1).is_some_and(|_| keep[index + 1]);
                        }
                        SpanPurpose::Briefing => {
                            let whole = |item: &UpcomingSpan| {
                                item.span.block == span.block && item.span.purpose == SpanPurpose::Work
                            };
                            let some = (from..owed.len()).any(|other| keep[other] && whole(&owed[other]));
                            keep[index] = some || running == Some(span.block);
                        }
                        // The rest that fills an EMOM's minute belongs to the work before it.
                        SpanPurpose::Rest if self.is_emom(span) => {
                            keep[index] = keep[index - 1] || before.block != span.block
                        }
                        // A rest between two pieces of work that are removed goes with them.
                        SpanPurpose::Rest if first < index && index < last => keep[index] = false,
                        SpanPurpose::Rest | SpanPurpose::RoundRest if !inside(span.block) => keep[index] = false,
                        _ => {
                            keep[index] = false;
                            if best.is_none_or(|best| rank(span) > rank(&owed[best].span)) {
                                best = Some(index);
                            }
                        }
                    }
                }
                if let Some(best) = best.filter(|_| until < owed.len()) {
                    keep[best] = true;
                }
            }
            from = until + 1;
        }
        keep
    }

    fn is_emom(&self, span: &Span) -> bool {
        matches!(self.schedule().block_of(span).format, BlockFormat::Emom { .. })
    }

    /// The spans still to come with every changeover recomputed where the work before is not the one of the plan. The
    /// first span of `owed` is running and stays as it is.
    pub(super) fn with_changeovers_rejoined(&self, mut owed: Vec<UpcomingSpan>) -> Vec<UpcomingSpan> {
        let session = std::sync::Arc::clone(&self.schedule().session);
        let mut before: Option<Span> = self.work_before(owed.first());
        let mut paid = Tick::ZERO;
        let mut left_settle: Option<Tick> = None;
        for index in 0..owed.len() {
            let span = owed[index].span.clone();
            if span.purpose.is_rest() || span.purpose == SpanPurpose::Briefing {
                paid += span.length();
            }
            if span.purpose != SpanPurpose::Work {
                continue;
            }
            let change = change_between(&session, before.as_ref(), &span, &self.schedule().costs);
            let planned_before = before.as_ref().map(|before| (before.block, before.activity, before.side));
            let same = planned_before == self.planned_before(owed[index].origin.plan)
                && change.movement == span.change.movement;
            if index > 0 && !same {
                let transition = owed[index - 1].span.purpose == SpanPurpose::Transition;
                let covered = span.gate || before.is_none();
                let open = if covered { Tick::ZERO } else { change.needs.saturating_sub(paid) };
                let fixed = matches!(session.blocks[span.block].transitions, TransitionMode::Fixed(_));
                // A transition that is running keeps its length: a part of it is past.
                if transition && !fixed && index > 1 {
                    let put_in = &mut owed[index - 1].span;
                    put_in.end = put_in.start + open;
                    put_in.change = change.clone();
                } else if !transition {
                    owed[index].span = with_settle(&session, &span, open.max(self.right_settle(&owed, index)));
                    left_settle = (span.side == WorkingSide::Left).then_some(owed[index].span.settle);
                }
                owed[index].span.change = change;
            } else if let Some(settle) = left_settle.take().filter(|_| span.side == WorkingSide::Right) {
                owed[index].span = with_settle(&session, &span, settle);
            }
            before = Some(owed[index].span.clone());
            paid = Tick::ZERO;
        }
        owed
    }

    /// The settle time that the right side needs of its own. The left side must then get the same settle time.
    fn right_settle(&self, owed: &[UpcomingSpan], left: usize) -> Tick {
        let side = owed[left].span.side;
        let rest: Tick = owed[left + 1..]
            .iter()
            .take_while(|item| item.span.purpose != SpanPurpose::Work)
            .map(|item| item.span.length())
            .sum();
        let right = owed[left + 1..].iter().find(|item| item.span.purpose == SpanPurpose::Work);
        right
            .filter(|right| {
                side == WorkingSide::Left && right.span.side == WorkingSide::Right && right.span.settle > Tick::ZERO
            })
            .map_or(Tick::ZERO, |right| right.span.change.needs.saturating_sub(rest))
    }

    /// The last work span before the spans still to come.
    fn work_before(&self, first: Option<&UpcomingSpan>) -> Option<Span> {
        let from = first.map_or(self.schedule().total(), |first| first.span.start);
        let past = self.schedule().spans.iter().take_while(|span| span.start < from);
        past.filter(|span| span.purpose == SpanPurpose::Work).last().cloned()
    }

    fn planned_before(&self, plan: usize) -> Option<(usize, Activity, WorkingSide)> {
        let before = self.plan().spans[..plan].iter().rev().find(|span| span.purpose == SpanPurpose::Work);
        before.map(|span| (span.block, span.activity, span.side))
    }
}

fn rank(span: &Span) -> u8 {
    match span.purpose {
        SpanPurpose::BlockRest => 2,
        SpanPurpose::RoundRest => 1,
        _ => 0,
    }
}
