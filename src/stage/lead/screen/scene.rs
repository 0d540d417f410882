//! Which picture a moment needs, and the parts of the schedule that the picture is about.

use crate::lead::{ClassPhase, Moment};
use class::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide};
use class::session::{Block, Station};
use class::time::Tick;

use super::{spoken, tempo_guide};

/// The kind of picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Scene {
    Ready,
    CountIn,
    Settle,
    /// The switch from left to right within one span.
    Switch,
    Work,
    /// The last seconds of work or of the left side: what comes next is as large as what is running.
    Last,
    /// A rest of any kind, or a briefing.
    Rest,
    Gate,
    Paused,
    Stopped,
    Done,
}

/// How long before the end of a span or a side the screen announces what comes next: 15 s.
const LAST: Tick = Tick::seconds(15);

/// A moment, with the parts of the schedule that it is about.
#[derive(Clone)]
pub(super) struct SceneContext<'a> {
    pub(super) moment: &'a Moment<'a>,
    pub(super) schedule: &'a Schedule,
    /// The index of the current span, or of the last span when the class is over.
    pub(super) index: usize,
    pub(super) span: &'a Span,
    pub(super) block: &'a Block,
    pub(super) now: Tick,
    pub(super) scene: Scene,
}

impl<'a> SceneContext<'a> {
    /// Finds the parts of the schedule for a moment. None if the schedule has no spans.
    pub(super) fn of(moment: &'a Moment<'a>) -> Option<SceneContext<'a>> {
        let schedule = moment.schedule;
        let index = schedule.span_at(moment.now).or(schedule.spans.len().checked_sub(1))?;
        let span = &schedule.spans[index];
        let block = schedule.session.blocks.get(span.block)?;
        let now = moment.now;
        let scene = match moment.phase {
            ClassPhase::Ready { .. } => Scene::Ready,
            ClassPhase::CountIn { .. } => Scene::CountIn,
            ClassPhase::Gate { .. } => Scene::Gate,
            ClassPhase::Paused { stopped: true, .. } => Scene::Stopped,
            ClassPhase::Paused { .. } => Scene::Paused,
            ClassPhase::Done => Scene::Done,
            ClassPhase::Running => running(span, now),
        };
        Some(SceneContext { moment, schedule, index, span, block, now, scene })
    }

    /// The time left of the span.
    pub(super) fn left(&self) -> Tick {
        self.span.end.saturating_sub(self.now)
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
        match span.activity {
            Activity::Station(index) => self.block_at(span).stations.get(index),
            _ => None,
        }
    }

    /// The short name of what is done in a span, for large lettering.
    pub(super) fn short(&self, span: &Span) -> &'a str {
        match self.station(span) {
            Some(station) => &station.short,
            None => &self.block_at(span).name,
        }
    }

    /// The full name of what is done in a span.
    pub(super) fn name(&self, span: &Span) -> &'a str {
        match self.station(span) {
            Some(station) => &station.movement.name,
            None => &self.block_at(span).name,
        }
    }

    /// The next work, for the coach to read about ahead of time. None before the last third of this span, and if the
    /// next work is the same.
    pub(super) fn read_ahead(&self) -> Option<&'a Span> {
        let another = |next: &&Span| (next.block, next.activity) != (self.span.block, self.span.activity);
        self.next_work().filter(|_| self.now >= last_third(self.span)).filter(another)
    }

    /// The tick at which this picture began.
    pub(super) fn scene_start(&self) -> Tick {
        parts(self.span).filter(|&tick| tick <= self.now).max().unwrap_or(self.span.start)
    }

    /// The last tick up to now at which the picture changed: a number changed, a part of the span began, or the mark of
    /// the tempo guide or of the cues moved. Every tick until the next change gives the same picture.
    pub(super) fn last_change(&self, guide: Option<tempo_guide::CurrentRepetition>) -> Tick {
        let second = Tick(self.span.end.0.saturating_sub(self.left().countdown_seconds() * 1000));
        let step = guide.map(|guide| guide.step_at(self.now));
        let ticks = parts(self.span).chain([second]).chain(step).chain(spoken::change_ticks(self));
        ticks.filter(|&tick| tick <= self.now).max().unwrap_or(self.now)
    }

    /// The side to show: the side that works, or the side that the class gets ready for. A rotation shows no side,
    /// because only the group at the station with sides has one.
    pub(super) fn side(&self, span: &Span) -> WorkingSide {
        if matches!(span.activity, Activity::Turn(_)) {
            return WorkingSide::Both;
        }
        if self.now < span.start { span.side_at(span.start) } else { span.side_at(self.now) }
    }
}

/// The picture of a running span.
fn running(span: &Span, now: Tick) -> Scene {
    match span.purpose {
        SpanPurpose::Transition => Scene::Settle,
        SpanPurpose::Work if now < span.work_start() => Scene::Settle,
        SpanPurpose::Work if between(switch_of_all(span), now, span.right_start()) => Scene::Switch,
        SpanPurpose::Work if between(last_of_left(span), now, switch_of_all(span)) => Scene::Last,
        SpanPurpose::Work if now >= last_of(span) => Scene::Last,
        SpanPurpose::Work => Scene::Work,
        _ => Scene::Rest,
    }
}

fn between(from: Option<Tick>, now: Tick, until: Option<Tick>) -> bool {
    matches!((from, until), (Some(from), Some(until)) if from <= now && now < until)
}

/// The ticks at which a part of a span begins, and its end.
fn parts(span: &Span) -> impl Iterator<Item = Tick> {
    let always = [span.start, span.work_start(), last_third(span), last_of(span), span.end];
    let sides = [last_of_left(span), switch_of_all(span), span.right_start()];
    always.into_iter().chain(sides.into_iter().flatten())
}

/// The start of the last third of a span, at a whole second of the time left.
fn last_third(span: &Span) -> Tick {
    Tick(span.end.0 - span.length().0 / 3000 * 1000)
}

/// The start of the last seconds of a span: its last 15 s, or its last third if that is shorter.
fn last_of(span: &Span) -> Tick {
    last_third(span).max(span.end.saturating_sub(LAST))
}

/// The tick at which everybody switches sides. None in a rotation: only the group at the station with sides switches,
/// and hears the call.
pub(super) fn switch_of_all(span: &Span) -> Option<Tick> {
    span.switch_start().filter(|_| !matches!(span.activity, Activity::Turn(_)))
}

/// The start of the last seconds of the left side.
fn last_of_left(span: &Span) -> Option<Tick> {
    let switch_at = switch_of_all(span)?;
    Some(Tick(switch_at.0 - LAST.0.min((switch_at.0 - span.work_start().0) / 3)))
}
