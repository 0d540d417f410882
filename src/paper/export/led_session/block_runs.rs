//! What was done in a class, block by block, in the form that a session file can express.

use class::movement::Sides;
use class::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use class::session::{Station, TransitionMode, WorkAmount};
use class::time::Tick;

/// A block that the class did, or a part of it. Lengths are whole seconds.
pub(super) struct BlockRun {
    /// Index into the session's blocks.
    pub block: usize,
    pub what: BlockRunContent,
    /// Idle time before the first work.
    pub briefing: Tick,
    /// Idle time after the last work, up to the next block.
    pub rest_after: Tick,
}

pub(super) enum BlockRunContent {
    /// The whole block as planned.
    AsPlanned,
    /// These station runs, one after the other.
    Items(Vec<StationRun>),
    /// All stations of the block at the same time, for this long.
    Together(Tick),
}

/// One station's work.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct StationRun {
    /// Index into the stations of the block as it ran.
    pub station: usize,
    pub worked: SideUse,
    /// The length of the work; in a pair, of each side.
    pub work: Tick,
    /// Between the sides of a pair.
    pub between: Tick,
    pub rest: Tick,
}

/// How the sides worked.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SideUse {
    InOneSpan(Sides),
    /// Left and right in a span each, for the same length.
    Pair,
    /// One side only, or one side for another length than the other side.
    Only(WorkingSide),
}

/// The shortest switch of sides within one span, as it is planned when a file is read.
const SWITCH: Tick = class::movement::SIDE_SWITCH;

/// Every block that the class did, in order. `ran`: what ran and nothing else.
///
/// Work that was too short for one repetition, or for both sides, counts as not done, and its time as rest. The rest
/// after the last work is left out.
pub(super) fn block_runs(ran: &Schedule, plan: &Schedule) -> Vec<BlockRun> {
    let mut all: Vec<BlockRun> = Vec::new();
    let mut begun_as_planned = true;
    for spans in ran.spans.chunk_by(|a, b| a.block == b.block) {
        let block = spans[0].block;
        // The time of a changeover depends on what was before it, if it has its own span or comes before repetitions.
        let moved = |station: &Station| matches!(station.work, WorkAmount::Reps(_));
        let of_plan = &plan.session.blocks[block];
        let stands_alone = of_plan.transitions == TransitionMode::Inside && !of_plan.stations.iter().any(moved);
        let as_planned = ran_as_planned(spans, plan) && (begun_as_planned || stands_alone);
        let rest: Tick = spans.iter().filter(|span| span.purpose == SpanPurpose::BlockRest).map(Span::length).sum();
        begun_as_planned &= as_planned && block == all.len() && rest == of_plan.rest_after;
        let mut parts = parts(ran, spans);
        let lead = parts.lead;
        if as_planned {
            let rest_after = rest;
            all.push(BlockRun { block, what: BlockRunContent::AsPlanned, briefing: Tick::ZERO, rest_after });
        } else if parts.works.is_empty() {
            if let Some(last) = all.last_mut() {
                last.rest_after += lead;
            }
        } else if matches!(parts.works[0].span.activity, Activity::Station(_)) {
            let rest_after = parts.works.last_mut().map_or(Tick::ZERO, |last| std::mem::take(&mut last.after));
            all.push(BlockRun { block, what: BlockRunContent::Items(items(&parts.works)), briefing: lead, rest_after });
        } else {
            for (index, work) in parts.works.iter().enumerate() {
                let briefing = if index == 0 { lead } else { Tick::ZERO };
                let what = BlockRunContent::Together(work.span.length());
                all.push(BlockRun { block, what, briefing, rest_after: work.after });
            }
        }
    }
    if let Some(last) = all.last_mut() {
        last.rest_after = Tick::ZERO;
    }
    round_to_seconds(&mut all);
    all
}

/// Whether these spans are the whole block as planned, not counting the rest after it.
fn ran_as_planned(spans: &[Span], plan: &Schedule) -> bool {
    let of = |span: &&Span| span.purpose != SpanPurpose::BlockRest;
    let shape = |span: &Span| (span.purpose, span.round, span.activity, span.side, span.settle, span.length());
    let planned = plan.spans.iter().filter(|span| span.block == spans[0].block);
    let ends = [spans.first(), spans.last()].into_iter().flatten();
    // A block of which only the rest after it ran was not done.
    ends.into_iter().any(|span| span.purpose != SpanPurpose::BlockRest)
        && spans.iter().filter(of).map(shape).eq(planned.filter(of).map(shape))
}

/// The work in a block, with the idle time before the first work and after each.
struct WorkSequence {
    lead: Tick,
    works: Vec<WorkPiece>,
}

struct WorkPiece {
    span: Span,
    only: Option<WorkingSide>,
    after: Tick,
}

fn parts(ran: &Schedule, spans: &[Span]) -> WorkSequence {
    let mut parts = WorkSequence { lead: Tick::ZERO, works: Vec::new() };
    for span in spans {
        if span.purpose != SpanPurpose::Work {
            parts.idle(span.length());
            continue;
        }
        let station = ran.station_of(span);
        let (left, right) = span.by_side();
        match span.side {
            WorkingSide::LeftThenRight { .. } if left != right => {
                let left_ends = span.settle + left;
                parts.work(span, left_ends, Some(WorkingSide::Left), station);
                parts.idle(span.length().saturating_sub(left_ends + right));
                parts.work(span, right, Some(WorkingSide::Right), station);
            }
            WorkingSide::Left | WorkingSide::Right => parts.work(span, span.length(), Some(span.side), station),
            _ => parts.work(span, span.length(), None, station),
        }
    }
    parts
}

impl WorkSequence {
    fn idle(&mut self, length: Tick) {
        match self.works.last_mut() {
            Some(last) => last.after += length,
            None => self.lead += length,
        }
    }

    fn work(&mut self, span: &Span, length: Tick, only: Option<WorkingSide>, station: Option<&Station>) {
        let rep = station.and_then(|station| station.tempo).map_or(Tick::ZERO, |tempo| tempo.rep());
        let once = rep.max(Tick::SECOND);
        let least = match (only, span.side) {
            (None, WorkingSide::Alternating) => once.max(rep + rep),
            (None, WorkingSide::LeftThenRight { .. }) => once + SWITCH + once,
            _ => once,
        };
        if length < least {
            return self.idle(length);
        }
        let span = Span { end: span.start + length, ..span.clone() };
        self.works.push(WorkPiece { span, only, after: Tick::ZERO });
    }
}

/// The work of the stations. Left and right of one station become a pair if they have the same length.
fn items(works: &[WorkPiece]) -> Vec<StationRun> {
    let mut items = Vec::new();
    let mut index = 0;
    while index < works.len() {
        let WorkPiece { span, only, after } = &works[index];
        index += 1;
        let Activity::Station(station) = span.activity else { continue };
        let mut item = StationRun {
            station,
            worked: only.map_or_else(|| SideUse::InOneSpan(sides(span.side)), SideUse::Only),
            work: span.length(),
            between: Tick::ZERO,
            rest: *after,
        };
        let right = works.get(index).filter(|right| {
            (*only, right.only) == (Some(WorkingSide::Left), Some(WorkingSide::Right))
                && (right.span.activity, right.span.length()) == (span.activity, span.length())
        });
        if let Some(right) = right {
            item = StationRun { worked: SideUse::Pair, between: *after, rest: right.after, ..item };
            index += 1;
        }
        items.push(item);
    }
    items
}

fn sides(side: WorkingSide) -> Sides {
    match side {
        WorkingSide::Alternating => Sides::Alternating,
        WorkingSide::LeftThenRight { .. } => Sides::LeftThenRight,
        WorkingSide::Both | WorkingSide::Left | WorkingSide::Right => Sides::Together,
    }
}

/// Rounds every length to whole seconds. What one length loses is added to the next, so that errors do not add up.
fn round_to_seconds(all: &mut [BlockRun]) {
    let mut carried: i64 = 0;
    let mut round = |length: &mut Tick, times: i64| {
        let whole = length.0 as i64 * times + carried;
        let seconds = (whole + 500 * times).div_euclid(1000 * times).max(0);
        carried = whole - seconds * 1000 * times;
        *length = Tick::seconds(seconds as u64);
    };
    for done in all {
        round(&mut done.briefing, 1);
        match &mut done.what {
            BlockRunContent::AsPlanned => {}
            BlockRunContent::Together(time) => round(time, 1),
            BlockRunContent::Items(items) => {
                for item in items {
                    round(&mut item.work, if item.worked == SideUse::Pair { 2 } else { 1 });
                    round(&mut item.between, 1);
                    round(&mut item.rest, 1);
                }
            }
        }
        round(&mut done.rest_after, 1);
    }
}
