//! Works out the state of a class from the records of its journal.

use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;

use super::read::{JournalContents, JournalFault};
use super::record::{ChangeRecord, JournalEvent, JournalHeader};
use crate::ResumePoint;
use class::change::{ChangeHistory, Course, LiveChange};
use class::movement::{Catalogue, CatalogueSource, Movement};
use class::schedule::{ChangeoverCosts, Schedule, Span, compile_with};
use class::session::{self, SpeechLevel, limits};
use class::time::Tick;

/// The most changes of one class.
const CHANGES: usize = 5_000;

/// The plan of a class, made from the texts in its journal.
#[derive(Clone, Debug)]
pub struct PlannedClass {
    pub catalogue: Catalogue,
    /// Without cues.
    pub schedule: Schedule,
}

/// The state of a class at the end of its records.
#[derive(Clone, Debug)]
pub struct ReplayedClass {
    /// Without cues.
    pub course: Course,
    pub history: ChangeHistory,
    /// The class time that it had reached.
    pub now: Tick,
    /// The time of day of the last record.
    pub wall: Timestamp,
    /// How long finished pauses and waits had taken.
    pub lost: Duration,
    /// Since when class time had been stopped, if it was stopped.
    pub halted_since: Option<Timestamp>,
    /// Whether the span that starts at `now` need not wait for the coach.
    pub gate_opened: bool,
    pub level: Option<SpeechLevel>,
    pub muted: bool,
    /// How many marks the coach had set.
    pub marks: usize,
    /// Whether class time had run.
    pub began: bool,
    pub ended: Option<ClassEnding>,
}

/// How a class ended. A class that was cut off has no such value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClassEnding {
    /// Its last span was over.
    Done,
    /// The coach ended it early.
    Quit,
}

impl PlannedClass {
    /// Reads and compiles the texts in a journal.
    ///
    /// # Errors
    /// When the texts cannot be read, or this program makes a different plan of them.
    pub fn of(header: &JournalHeader) -> Result<PlannedClass, JournalFault> {
        let sources: Vec<CatalogueSource> =
            header.movements.iter().map(|file| CatalogueSource { name: &file.path, text: &file.text }).collect();
        let catalogue = Catalogue::with(&sources).map_err(|_| JournalFault::Session)?;
        let session = session::read(&header.session.text, &catalogue).session.ok_or(JournalFault::Session)?;
        let learned = header.learned.iter().map(|kind| kind.measured().ok_or(JournalFault::Garbled(1)));
        let costs =
            ChangeoverCosts { learned: learned.collect::<Result<_, JournalFault>>()?, ..ChangeoverCosts::ESTIMATED };
        let schedule = compile_with(Arc::new(session), &costs);
        if schedule.total().0 != header.plan_ms {
            return Err(JournalFault::OtherPlan(header.program.clone()));
        }
        Ok(PlannedClass { catalogue, schedule })
    }
}

/// Works out the state of a class at the end of its records.
///
/// # Errors
/// When a record does not fit what was before it.
pub fn replay(plan: &PlannedClass, kept: &JournalContents) -> Result<ReplayedClass, JournalFault> {
    let movements: Vec<Arc<Movement>> = plan.catalogue.iter().cloned().collect();
    let opening = &kept.header.opening;
    let mut left = ReplayedClass {
        course: Course::new(plan.schedule.clone()),
        history: ChangeHistory::default(),
        now: Tick(opening.from_ms),
        wall: kept.header.wall.timestamp(),
        lost: Duration::ZERO,
        halted_since: None,
        gate_opened: true,
        level: opening.level,
        muted: opening.muted,
        marks: 0,
        began: false,
        ended: None,
    };
    let mut changes = 0;
    for (number, record) in (2..).zip(&kept.records) {
        let at = Tick(record.at);
        if at > left.course.schedule().total() {
            return Err(JournalFault::Garbled(number));
        }
        // Notes are typed long after the class.
        if !matches!(record.what, JournalEvent::Note(_)) {
            left.wall = record.wall;
        }
        left.gate_opened &= at == left.now;
        left.now = at;
        match &record.what {
            JournalEvent::Changed { .. } | JournalEvent::Undone { .. } | JournalEvent::Redone { .. } => {
                changes += 1;
                if changes > CHANGES {
                    return Err(JournalFault::TooLarge);
                }
                left.repeat_change(&record.what, &movements).ok_or(JournalFault::OtherChange(number))?;
            }
            JournalEvent::Span(span) => {
                left.began = true;
                left.halted_since = None;
                left.gate_opened = left.course.schedule().spans.get(*span).is_some_and(|span| span.start == at);
            }
            JournalEvent::Beat => {
                left.began = true;
                left.halted_since = None;
            }
            JournalEvent::Gate | JournalEvent::Paused { .. } => {
                left.halted_since = left.halted_since.or(Some(record.wall))
            }
            JournalEvent::Opened { waited_ms } => {
                left.lost = left.lost.saturating_add(Duration::from_millis(*waited_ms));
                left.halted_since = None;
                left.gate_opened = true;
            }
            JournalEvent::Resumed { after_ms } => {
                left.lost = left.lost.saturating_add(Duration::from_millis(*after_ms));
                left.halted_since = None;
            }
            JournalEvent::ResumedAfterBreak { lost_ms } => {
                left.lost = left.lost.saturating_add(Duration::from_millis(*lost_ms));
                left.halted_since = None;
                left.ended = None;
            }
            JournalEvent::Level(level) => left.level = Some(*level),
            JournalEvent::Muted(muted) => left.muted = *muted,
            JournalEvent::Marked => left.marks += 1,
            JournalEvent::Done => left.ended = Some(ClassEnding::Done),
            JournalEvent::Quit => left.ended = Some(ClassEnding::Quit),
            JournalEvent::CountIn { .. }
            | JournalEvent::Slept { .. }
            | JournalEvent::Said(_)
            | JournalEvent::Note(_) => {}
        }
    }
    Ok(left)
}

/// How far a class would have run if it had not been cut off, and how long class time would have been stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ProjectedProgress {
    pub now: Tick,
    /// How long class time would have been stopped.
    pub halted: Duration,
}

impl ReplayedClass {
    /// How far the class would have run if it had continued: at most to the end, or to the next block that waits for
    /// the coach. A class that was stopped stays stopped.
    pub fn projected_to(&self, wall: Timestamp) -> ProjectedProgress {
        let since = self.halted_since.unwrap_or(self.wall);
        let gap = u64::try_from(since.duration_until(wall).as_millis()).unwrap_or(0);
        let spans = &self.course.schedule().spans;
        let waits = |span: &&Span| span.gate && (span.start > self.now || span.start == self.now && !self.gate_opened);
        let stop = spans.iter().find(waits).map_or(self.course.schedule().total(), |span| span.start);
        let runs = if self.halted_since.is_some() { 0 } else { gap.min(stop.saturating_sub(self.now).0) };
        ProjectedProgress { now: self.now + Tick(runs), halted: Duration::from_millis(gap - runs) }
    }

    /// The resume point of the class at a time of day. `on`: as if class time had run on. `again`: from the
    /// start of the span that ran, which is then done in full.
    pub fn resume_point(&self, on: bool, again: bool, wall: Timestamp) -> ResumePoint {
        let by_now = self.projected_to(wall);
        let gone = by_now.now.saturating_sub(self.now);
        let (now, lost) = if on { (by_now.now, by_now.halted) } else { (self.now, by_now.halted + gone.duration()) };
        let open = self.gate_opened && now == self.now;
        let lost = self.lost.saturating_add(lost);
        let runs = on && self.halted_since.is_none();
        let (course, history) = (self.course.clone(), self.history.clone());
        ResumePoint {
            course,
            history,
            now,
            lost,
            marks: self.marks,
            gate_opened: open,
            runs_at_once: runs,
            repeats_span: again,
        }
    }

    /// Repeats a change. None if the result differs from the recorded one.
    fn repeat_change(&mut self, what: &JournalEvent, movements: &[Arc<Movement>]) -> Option<()> {
        let (course, total_ms) = match what {
            JournalEvent::Changed { change, total_ms } => {
                self.is_within(change).then_some(())?;
                let after = self.course.with_change(self.now, &LiveChange::from(change), movements)?;
                self.history.record(self.now, self.course.clone(), after.clone());
                (after, total_ms)
            }
            JournalEvent::Undone { total_ms } => (self.history.undo(self.now, &self.course)?, total_ms),
            JournalEvent::Redone { total_ms } => (self.history.redo(self.now, &self.course)?, total_ms),
            _ => return Some(()),
        };
        let fits = course.schedule().total().0 == *total_ms && course.schedule().spans.len() as u64 <= limits::SPANS;
        self.course = course;
        self.gate_opened = false;
        self.ended = None;
        fits.then_some(())
    }

    /// Whether the stations of a change exist in this class, and its lengths are possible.
    fn is_within(&self, change: &ChangeRecord) -> bool {
        let most = limits::TOTAL.0;
        let blocks = &self.course.schedule().session.blocks;
        let is_station =
            |block: usize, station: usize| blocks.get(block).is_some_and(|block| station < block.stations.len());
        match change {
            ChangeRecord::AdjustLength { by_ms, .. } | ChangeRecord::ExtendPrevious { by_ms } => {
                by_ms.unsigned_abs() <= most
            }
            ChangeRecord::Fit { end_ms } | ChangeRecord::Cut { end_ms } => *end_ms <= 2 * most,
            ChangeRecord::Swap { block, station, .. } | ChangeRecord::Easier { block, station } => {
                is_station(*block, *station)
            }
            ChangeRecord::RepayDebt(debt) | ChangeRecord::WaiveDebt(debt) => debt.is_within(most, is_station),
            _ => true,
        }
    }
}
