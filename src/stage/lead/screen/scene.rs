//! What a moment is: which picture it asks for, and the parts of the schedule it is about.

use crate::lead::{Moment, Phase};
use class::schedule::{Doing, Purpose, Schedule, Side, Span};
use class::session::{Block, Station};
use class::time::Tick;

use super::{guide, spoken};

/// Which picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Scene {
    Ready,
    CountIn,
    Settle,
    /// Between left and right in one span.
    Switch,
    Work,
    /// The last seconds of work, or of the left side: what comes is as large as what is.
    Last,
    /// The three rests and briefings.
    Rest,
    Gate,
    Held,
    Stopped,
    Done,
}

/// The last seconds of a span or a side in which what comes is announced.
const LAST: Tick = Tick::seconds(15);

/// A moment with what it is about looked up.
#[derive(Clone)]
pub(super) struct At<'a> {
    pub(super) moment: &'a Moment<'a>,
    pub(super) schedule: &'a Schedule,
    /// The span now, the last one when the class is over.
    pub(super) index: usize,
    pub(super) span: &'a Span,
    pub(super) block: &'a Block,
    pub(super) now: Tick,
    pub(super) scene: Scene,
}

impl<'a> At<'a> {
    /// None when the schedule has no spans.
    pub(super) fn of(moment: &'a Moment<'a>) -> Option<At<'a>> {
        let schedule = moment.schedule;
        let index = schedule.span_at(moment.now).or(schedule.spans.len().checked_sub(1))?;
        let span = &schedule.spans[index];
        let block = schedule.session.blocks.get(span.block)?;
        let now = moment.now;
        let scene = match moment.phase {
            Phase::Ready { .. } => Scene::Ready,
            Phase::CountIn { .. } => Scene::CountIn,
            Phase::Gate { .. } => Scene::Gate,
            Phase::Held { stopped: true, .. } => Scene::Stopped,
            Phase::Held { .. } => Scene::Held,
            Phase::Done => Scene::Done,
            Phase::Running => running(span, now),
        };
        Some(At { moment, schedule, index, span, block, now, scene })
    }

    /// What is left of the span.
    pub(super) fn left(&self) -> Tick {
        self.span.end.less(self.now)
    }

    /// The span that the class gets ready for: this one if it is work, else the next work.
    pub(super) fn ahead(&self) -> Option<&'a Span> {
        self.schedule.work_from(self.index).map(|index| &self.schedule.spans[index])
    }

    /// The work span after this one.
    pub(super) fn next_work(&self) -> Option<&'a Span> {
        self.schedule.work_from(self.index + 1).map(|index| &self.schedule.spans[index])
    }

    /// The rest right after this span, if one follows.
    pub(super) fn next_rest(&self) -> Option<&'a Span> {
        self.schedule.spans.get(self.index + 1).filter(|span| span.purpose.is_rest())
    }

    pub(super) fn block_at(&self, span: &Span) -> &'a Block {
        &self.schedule.session.blocks[span.block]
    }

    pub(super) fn station(&self, span: &Span) -> Option<&'a Station> {
        match span.doing {
            Doing::Station(index) => self.block_at(span).stations.get(index),
            _ => None,
        }
    }

    /// The name for large lettering of what is done in a span.
    pub(super) fn short(&self, span: &Span) -> &'a str {
        match self.station(span) {
            Some(station) => &station.short,
            None => &self.block_at(span).name,
        }
    }

    /// The name in full of what is done in a span.
    pub(super) fn name(&self, span: &Span) -> &'a str {
        match self.station(span) {
            Some(station) => &station.movement.name,
            None => &self.block_at(span).name,
        }
    }

    /// The work that the coach reads of ahead of time: from the last third of work on, if something else comes then.
    pub(super) fn read_ahead(&self) -> Option<&'a Span> {
        let another = |next: &&Span| (next.block, next.doing) != (self.span.block, self.span.doing);
        self.next_work().filter(|_| self.now >= last_third(self.span)).filter(another)
    }

    /// The tick at which this picture began.
    pub(super) fn since(&self) -> Tick {
        parts(self.span).filter(|&tick| tick <= self.now).max().unwrap_or(self.span.start)
    }

    /// The last tick up to now at which the picture changed, so that every tick until the next change gives the
    /// same picture: a number changed, a part of the span began, the mark of the tempo or of what is said moved.
    pub(super) fn snapped(&self, guide: Option<guide::Guide>) -> Tick {
        let second = Tick(self.span.end.0.saturating_sub(self.left().digits() * 1000));
        let step = guide.map(|guide| guide.step_at(self.now));
        let ticks = parts(self.span).chain([second]).chain(step).chain(spoken::turns(self));
        ticks.filter(|&tick| tick <= self.now).max().unwrap_or(self.now)
    }

    /// The side to show: the one that works, or the one that the class settles or switches to.
    /// Of a rotation none: it belongs only to the group at the station that has sides.
    pub(super) fn side(&self, span: &Span) -> Side {
        if matches!(span.doing, Doing::Turn(_)) {
            return Side::Both;
        }
        if self.now < span.start { span.side_at(span.start) } else { span.side_at(self.now) }
    }
}

/// The picture of a running span.
fn running(span: &Span, now: Tick) -> Scene {
    match span.purpose {
        Purpose::Transition => Scene::Settle,
        Purpose::Work if now < span.working_from() => Scene::Settle,
        Purpose::Work if between(switch_of_all(span), now, span.right_at()) => Scene::Switch,
        Purpose::Work if between(last_of_left(span), now, switch_of_all(span)) => Scene::Last,
        Purpose::Work if now >= last_of(span) => Scene::Last,
        Purpose::Work => Scene::Work,
        _ => Scene::Rest,
    }
}

fn between(from: Option<Tick>, now: Tick, until: Option<Tick>) -> bool {
    matches!((from, until), (Some(from), Some(until)) if from <= now && now < until)
}

/// The ticks at which a part of a span begins, and its end.
fn parts(span: &Span) -> impl Iterator<Item = Tick> {
    let always = [span.start, span.working_from(), last_third(span), last_of(span), span.end];
    let sides = [last_of_left(span), switch_of_all(span), span.right_at()];
    always.into_iter().chain(sides.into_iter().flatten())
}

/// Where the last third of a span begins, at a full second of what is left.
fn last_third(span: &Span) -> Tick {
    Tick(span.end.0 - span.length().0 / 3000 * 1000)
}

/// Where the last seconds of a span begin: 15 of them, in a short span the last third.
fn last_of(span: &Span) -> Tick {
    last_third(span).max(span.end.less(LAST))
}

/// Where everybody changes sides. In a rotation only the group at the station that has sides does, and hears so.
pub(super) fn switch_of_all(span: &Span) -> Option<Tick> {
    span.switch_at().filter(|_| !matches!(span.doing, Doing::Turn(_)))
}

/// Where the last seconds of the left side begin.
fn last_of_left(span: &Span) -> Option<Tick> {
    let switch_at = switch_of_all(span)?;
    Some(Tick(switch_at.0 - LAST.0.min((switch_at.0 - span.working_from().0) / 3)))
}
