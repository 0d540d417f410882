//! Undo and redo.

use super::course::{Course, LengthSource, UpcomingSpan};
use crate::schedule::WorkingSide;
use crate::time::Tick;

/// The changes made to a class, and those undone, for undo and redo.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChangeHistory {
    done: Vec<AppliedChange>,
    undone: Vec<AppliedChange>,
}

/// One change: when it was made, and the course before and after it.
#[derive(Clone, Debug, PartialEq)]
struct AppliedChange {
    at: Tick,
    before: Course,
    after: Course,
}

impl ChangeHistory {
    /// Records a change made at the tick `at`. Changes undone before it can then no longer be redone.
    pub fn record(&mut self, at: Tick, before: Course, after: Course) {
        self.undone.clear();
        self.done.push(AppliedChange { at, before, after });
    }

    /// The number of changes that can be undone.
    pub fn len(&self) -> usize {
        self.done.len()
    }

    /// Whether there is no change to undo.
    pub fn is_empty(&self) -> bool {
        self.done.is_empty()
    }

    /// The tick at which the last change that can be undone was made.
    pub fn last(&self) -> Option<Tick> {
        self.done.last().map(|change| change.at)
    }

    /// Undoes the last change: the spans that were still to come before it are still to come again, minus what has been
    /// done since. None when there is nothing to undo.
    pub fn undo(&mut self, now: Tick, course: &Course) -> Option<Course> {
        let change = self.done.pop()?;
        let restored = restore(&change.before, &change.after, change.at, course, now);
        self.undone.push(AppliedChange { at: now, before: course.clone(), after: restored.clone() });
        Some(restored)
    }

    /// Redoes the change that was undone last. None when there is nothing to redo.
    pub fn redo(&mut self, now: Tick, course: &Course) -> Option<Course> {
        let change = self.undone.pop()?;
        let restored = restore(&change.before, &change.after, change.at, course, now);
        self.done.push(AppliedChange { at: now, before: course.clone(), after: restored.clone() });
        Some(restored)
    }
}

/// Goes back from a change that led from `before` to `after` at the tick `at`. The result continues with the spans that
/// `before` had still to come at `at`, minus what has been done since then in `course`.
fn restore(before: &Course, after: &Course, at: Tick, course: &Course, now: Tick) -> Course {
    if now == at && course.runs_like(after) {
        return before.clone();
    }
    let current = course.schedule().span_at(now);
    let still: Vec<UpcomingSpan> = current.map_or(vec![], |current| course.upcoming_from(current).collect());
    let mut owed = upcoming_at(before, at);
    // A span of `after` has been done since when it is no longer among the spans still to come.
    let mut open: Vec<usize> = still.iter().map(|item| item.origin.plan).collect();
    for item in upcoming_at(after, at) {
        if let Some(place) = open.iter().position(|&plan| plan == item.origin.plan) {
            open.remove(place);
        } else if let Some(place) = owed.iter().position(|other| other.origin.plan == item.origin.plan) {
            owed.remove(place);
        }
    }
    let course = before.with_past_of(course);
    let running = still.first().zip(owed.first().cloned()).filter(|(running, first)| {
        running.origin.plan == first.origin.plan
            && running.span.purpose == first.span.purpose
            && running.span.activity == first.span.activity
    });
    let Some((running, first)) = running else { return course.end_span_then(now, owed) };
    // The running span continues, minus the time spent in it since the change.
    let since = now - running.span.start.max(at);
    let end = now + first.span.length().saturating_sub(since);
    let mut goes_on = running.clone();
    let same = before.schedule().span_at(at).map(|index| &before.schedule().spans[index]);
    let turned = running.span.switch_start().is_some_and(|switch_at| now >= switch_at);
    match (same.filter(|same| same.start == running.span.start), running.span.side) {
        // The right side gets as long as the left side had.
        (_, WorkingSide::LeftThenRight { .. }) if turned => {}
        (planned, WorkingSide::LeftThenRight { switch, .. }) => {
            let planned = planned.unwrap_or(&first.span);
            let (left, _) = planned.by_side();
            let each = left.max(now.saturating_sub(running.span.work_start()));
            goes_on.span.side = WorkingSide::LeftThenRight { each, switch };
            goes_on.span.end = running.span.work_start() + each + switch + each;
        }
        _ => {
            goes_on.span.end = end;
            goes_on.span.settle = goes_on.span.settle.min(goes_on.span.length());
        }
    }
    if goes_on.span.end != running.span.end {
        goes_on.span.reps = first.span.reps;
    }
    goes_on.origin.length = match running.origin.length {
        LengthSource::Partial | LengthSource::Inserted => running.origin.length,
        _ => first.origin.length,
    };
    if goes_on.span.end <= now {
        return course.end_span_then(now, owed.into_iter().skip(1));
    }
    course.continue_span_then(now, std::iter::once(goes_on).chain(owed.into_iter().skip(1)))
}

/// The spans that a course has still to come at a tick, beginning with the remainder of the running span.
fn upcoming_at(course: &Course, at: Tick) -> Vec<UpcomingSpan> {
    let Some(current) = course.schedule().span_at(at) else { return vec![] };
    let mut owed: Vec<UpcomingSpan> = course.upcoming_from(current).collect();
    if at > owed[0].span.start {
        owed[0].span = owed[0].span.after(at);
        if owed[0].origin.length != LengthSource::Inserted {
            owed[0].origin.length = LengthSource::Partial;
        }
    }
    owed
}
