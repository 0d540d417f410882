//! Works out the state of a class from the records of its journal.

use std::sync::Arc;

use jiff::Timestamp;

use super::read::{Fault, Kept};
use super::record::{ChangeOut, Header, What};
use crate::Stand;
use class::change::{Change, Course, History};
use class::movement::{Catalogue, Movement, Source};
use class::schedule::{Costs, Schedule, Span, compile_with};
use class::session::{self, Level, bounds};
use class::time::Tick;

/// The most changes of one class.
const CHANGES: usize = 5_000;

/// The plan of a class, made from the texts in its journal.
#[derive(Clone, Debug)]
pub struct Plan {
    pub catalogue: Catalogue,
    /// Without cues.
    pub schedule: Schedule,
}

/// The state of a class at the end of its records.
#[derive(Clone, Debug)]
pub struct Left {
    /// Without cues.
    pub course: Course,
    pub history: History,
    /// The class time that it had reached.
    pub now: Tick,
    /// The time of day of the last record.
    pub wall: Timestamp,
    /// How long finished pauses and waits had taken, in milliseconds.
    pub lost_ms: u64,
    /// Since when class time had been stopped, if it was stopped.
    pub stands_since: Option<Timestamp>,
    /// Whether the span that starts at `now` need not wait for the coach.
    pub open: bool,
    pub level: Option<Level>,
    pub muted: bool,
    /// How many marks the coach had set.
    pub flags: usize,
    /// Whether class time had run.
    pub began: bool,
    pub ended: Option<Ended>,
}

/// How a class ended. A class that was cut off has no such value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// Its last span was over.
    Done,
    /// The coach ended it early.
    Quit,
}

impl Plan {
    /// Reads and compiles the texts in a journal.
    ///
    /// # Errors
    /// When the texts cannot be read, or this program makes a different plan of them.
    pub fn of(header: &Header) -> Result<Plan, Fault> {
        let sources: Vec<Source> =
            header.movements.iter().map(|file| Source { name: &file.path, text: &file.text }).collect();
        let catalogue = Catalogue::with(&sources).map_err(|_| Fault::Session)?;
        let session = session::read(&header.session.text, &catalogue).session.ok_or(Fault::Session)?;
        let learned = header.learned.iter().map(|kind| kind.measured().ok_or(Fault::Garbled(1)));
        let costs = Costs { learned: learned.collect::<Result<_, Fault>>()?, ..Costs::ESTIMATED };
        let schedule = compile_with(Arc::new(session), &costs);
        if schedule.total().0 != header.plan_ms {
            return Err(Fault::OtherPlan(header.program.clone()));
        }
        Ok(Plan { catalogue, schedule })
    }
}

/// Works out the state of a class at the end of its records.
///
/// # Errors
/// When a record does not fit what was before it.
pub fn replay(plan: &Plan, kept: &Kept) -> Result<Left, Fault> {
    let movements: Vec<Arc<Movement>> = plan.catalogue.iter().cloned().collect();
    let opening = &kept.header.opening;
    let mut left = Left {
        course: Course::new(plan.schedule.clone()),
        history: History::default(),
        now: Tick(opening.from_ms),
        wall: kept.header.wall.timestamp(),
        lost_ms: 0,
        stands_since: None,
        open: true,
        level: opening.level,
        muted: opening.muted,
        flags: 0,
        began: false,
        ended: None,
    };
    let mut changes = 0;
    for (number, record) in (2..).zip(&kept.records) {
        let at = Tick(record.at);
        if at > left.course.schedule().total() {
            return Err(Fault::Garbled(number));
        }
        // Notes are typed long after the class.
        if !matches!(record.what, What::Note(_)) {
            left.wall = record.wall;
        }
        left.open &= at == left.now;
        left.now = at;
        match &record.what {
            What::Changed { .. } | What::Undone { .. } | What::Redone { .. } => {
                changes += 1;
                if changes > CHANGES {
                    return Err(Fault::TooLarge);
                }
                left.change(&record.what, &movements).ok_or(Fault::OtherChange(number))?;
            }
            What::Span(span) => {
                left.began = true;
                left.stands_since = None;
                left.open = left.course.schedule().spans.get(*span).is_some_and(|span| span.start == at);
            }
            What::Beat => {
                left.began = true;
                left.stands_since = None;
            }
            What::Gate | What::Held { .. } => left.stands_since = left.stands_since.or(Some(record.wall)),
            What::Opened { waited_ms } => {
                left.lost_ms = left.lost_ms.saturating_add(*waited_ms);
                left.stands_since = None;
                left.open = true;
            }
            What::Resumed { after_ms } => {
                left.lost_ms = left.lost_ms.saturating_add(*after_ms);
                left.stands_since = None;
            }
            What::TakenUp { lost_ms } => {
                left.lost_ms = left.lost_ms.saturating_add(*lost_ms);
                left.stands_since = None;
                left.ended = None;
            }
            What::Level(level) => left.level = Some(*level),
            What::Muted(muted) => left.muted = *muted,
            What::Flagged => left.flags += 1,
            What::Done => left.ended = Some(Ended::Done),
            What::Quit => left.ended = Some(Ended::Quit),
            What::CountIn { .. } | What::Slept { .. } | What::Said(_) | What::Note(_) => {}
        }
    }
    Ok(left)
}

/// How far a class would have run if it had not been cut off, and how long it would have been stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ByNow {
    pub now: Tick,
    /// How long class time would have been stopped, in milliseconds.
    pub stood_ms: u64,
}

impl Left {
    /// How far the class would have run if it had continued: at most to the end, or to the next block that waits for
    /// the coach. A class that was stopped stays stopped.
    pub fn by_now(&self, wall: Timestamp) -> ByNow {
        let since = self.stands_since.unwrap_or(self.wall);
        let gap = u64::try_from(since.duration_until(wall).as_millis()).unwrap_or(0);
        let spans = &self.course.schedule().spans;
        let waits = |span: &&Span| span.gate && (span.start > self.now || span.start == self.now && !self.open);
        let stop = spans.iter().find(waits).map_or(self.course.schedule().total(), |span| span.start);
        let runs = if self.stands_since.is_some() { 0 } else { gap.min(stop.less(self.now).0) };
        ByNow { now: self.now + Tick(runs), stood_ms: gap - runs }
    }

    /// The state in which the class is resumed at a time of day. `on`: as if class time had run on. `again`: from the
    /// start of the span that ran, which is then done in full.
    pub fn stand(&self, on: bool, again: bool, wall: Timestamp) -> Stand {
        let by_now = self.by_now(wall);
        let gone = by_now.now.less(self.now);
        let (now, lost) = if on { (by_now.now, by_now.stood_ms) } else { (self.now, by_now.stood_ms + gone.0) };
        let open = self.open && now == self.now;
        let lost_ms = self.lost_ms.saturating_add(lost);
        let runs = on && self.stands_since.is_none();
        let (course, history) = (self.course.clone(), self.history.clone());
        Stand { course, history, now, lost_ms, flags: self.flags, open, runs, again }
    }

    /// Repeats a change. None if the result differs from the recorded one.
    fn change(&mut self, what: &What, movements: &[Arc<Movement>]) -> Option<()> {
        let (course, total_ms) = match what {
            What::Changed { change, total_ms } => {
                self.is_within(change).then_some(())?;
                let after = self.course.changed(self.now, &Change::from(change), movements)?;
                self.history.record(self.now, self.course.clone(), after.clone());
                (after, total_ms)
            }
            What::Undone { total_ms } => (self.history.undo(self.now, &self.course)?, total_ms),
            What::Redone { total_ms } => (self.history.redo(self.now, &self.course)?, total_ms),
            _ => return Some(()),
        };
        let fits = course.schedule().total().0 == *total_ms && course.schedule().spans.len() as u64 <= bounds::SPANS;
        self.course = course;
        self.open = false;
        self.ended = None;
        fits.then_some(())
    }

    /// Whether the stations of a change exist in this class, and its lengths are possible.
    fn is_within(&self, change: &ChangeOut) -> bool {
        let most = bounds::TOTAL.0;
        let blocks = &self.course.schedule().session.blocks;
        let is_station =
            |block: usize, station: usize| blocks.get(block).is_some_and(|block| station < block.stations.len());
        match change {
            ChangeOut::Stretch { by_ms, .. } | ChangeOut::Return { by_ms } => by_ms.unsigned_abs() <= most,
            ChangeOut::Fit { end_ms } | ChangeOut::Cut { end_ms } => *end_ms <= 2 * most,
            ChangeOut::StandIn { block, station, .. } | ChangeOut::Easier { block, station } => {
                is_station(*block, *station)
            }
            ChangeOut::Repay(debt) | ChangeOut::LetBe(debt) => debt.is_within(most, is_station),
            _ => true,
        }
    }
}
