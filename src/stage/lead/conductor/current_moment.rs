//! The class as shown: the moment, and when it next looks different.

use std::time::Duration;

use jiff::SignedDuration;

use super::{Conductor, ConductorState};
use crate::lead::moment::{ClassChanges, ClassPhase, Moment};
use crate::lead::screen::GUIDE_STEP;
use crate::runtime::{DisplayKind, wall_after, wall_before};
use class::cue::COUNT_IN;
use class::session::SpeechLevel;
use class::time::Tick;

/// How long a line for the coach stays.
pub(super) const MESSAGE: Duration = Duration::from_secs(6);

impl Conductor {
    /// Everything that a screen may show at the last step.
    pub fn moment(&self) -> Moment<'_> {
        Moment {
            schedule: self.schedule(),
            now: self.now(),
            phase: self.phase(),
            ends_at: Some(self.ends_at_with(self.schedule().total())),
            spare: self.spare_with(self.schedule().total()),
            lost: self.lost(),
            cues: &self.cues,
            level: self.level_now(),
            muted: self.muted,
            view: self.view.shown(),
            changed: self.changed(),
            offer: self.offered(),
            message: self.message.as_ref().map(|(line, _)| line.as_str()),
            machine: &self.machine,
            keymap: &self.keymap,
        }
    }

    fn changed(&self) -> ClassChanges<'_> {
        ClassChanges {
            plan: Some(self.course.plan()),
            deviations: &self.deviations,
            debts: &self.debts,
            changes: self.history.len(),
            marks: self.marks,
        }
    }

    /// What the class is doing.
    pub fn phase(&self) -> ClassPhase {
        let clock = self.clock();
        match self.state {
            ConductorState::Ready { since, begins } => {
                ClassPhase::Ready { begins_in: begins.map(|begins| begins.since(clock)), waited: clock.since(since) }
            }
            ConductorState::CountIn { until, .. } => ClassPhase::CountIn { left: until.since(clock) },
            ConductorState::Running => ClassPhase::Running,
            ConductorState::Gate { halted_since } => ClassPhase::Gate { waited: clock.since(halted_since) },
            ConductorState::Paused { since, stopped, .. } => ClassPhase::Paused { lasted: clock.since(since), stopped },
            ConductorState::Done { .. } => ClassPhase::Done,
        }
    }

    /// How long it takes until the class looks or sounds different. None while nothing changes by itself.
    pub fn changes_in(&self, watcher: DisplayKind) -> Option<Duration> {
        let clock = self.clock();
        let message =
            self.message.as_ref().map(|(_, until)| until.since(clock)).filter(|_| watcher == DisplayKind::Screen);
        let state = match self.state {
            ConductorState::Ready { since, begins } => {
                let left = begins.map(|begins| begins.since(clock));
                match watcher {
                    DisplayKind::Screen => Some(left.map_or_else(|| from_second(clock.since(since)), to_second)),
                    DisplayKind::Lines => left.map(|left| left.saturating_sub(self.first_count_in())),
                }
            }
            ConductorState::CountIn { until, pips_from, .. } => {
                let left = until.since(clock);
                let pips = pips_from.map_or(left, |from| from.since(clock)).min(left);
                Some(if watcher == DisplayKind::Screen { pips.min(to_second(left)) } else { pips })
            }
            ConductorState::Running => Some(self.next_change_in_run(watcher).duration()),
            ConductorState::Gate { halted_since } => {
                (watcher == DisplayKind::Screen).then(|| from_second(clock.since(halted_since)))
            }
            ConductorState::Paused { since, halted_since, .. } => {
                (watcher == DisplayKind::Screen).then(|| from_second(clock.since(halted_since.unwrap_or(since))))
            }
            ConductorState::Done { .. } => None,
        };
        let offers = self.offers_close_in().filter(|_| watcher == DisplayKind::Screen);
        [state, message, offers].into_iter().flatten().min()
    }

    /// The class time until the class looks or sounds different while class time runs.
    fn next_change_in_run(&self, watcher: DisplayKind) -> Tick {
        let now = self.now();
        let schedule = self.schedule();
        let event = schedule.events.get(self.events_told).map(|event| event.at);
        let span = schedule.spans.get(self.spans_begun).map(|span| span.start);
        let due = [event, span, Some(schedule.total())].into_iter().flatten().min().unwrap_or(now);
        let due = due.saturating_sub(now);
        match (watcher, self.current()) {
            (DisplayKind::Screen, Some(current)) => {
                let span = &schedule.spans[current];
                let turns = [Some(span.work_start()), span.switch_start(), span.right_start()];
                let turn =
                    turns.into_iter().flatten().filter(|&turn| turn > now).map(|turn| turn.saturating_sub(now)).min();
                let digit = Tick::of(to_second(span.end.saturating_sub(now).duration()));
                // The guide counts its steps from where the working side began.
                let began = turns.into_iter().flatten().filter(|&turn| turn <= now).max();
                let guide =
                    span.reps.and(began).map(|began| Tick(GUIDE_STEP.0 - now.saturating_sub(began).0 % GUIDE_STEP.0));
                [Some(due), Some(digit), turn, guide].into_iter().flatten().min().unwrap_or(due)
            }
            _ => due,
        }
    }

    /// The current span.
    pub(super) fn current(&self) -> Option<usize> {
        self.schedule().span_at(self.now())
    }

    pub(super) fn level_now(&self) -> SpeechLevel {
        let spans = &self.schedule().spans;
        let span = self.current().and_then(|span| spans.get(span)).or(spans.last());
        span.map_or(SpeechLevel::default(), |span| self.level_in(span))
    }

    /// The time lost to pauses and waits so far. After the end of the class no more is lost.
    fn lost(&self) -> Duration {
        let halted_since = self.state.halted_since().filter(|_| !self.state.is_done());
        self.lost + halted_since.map_or(Duration::ZERO, |since| self.clock().since(since))
    }

    /// How long it takes until class time runs, if the coach starts it now.
    fn runs_in(&self) -> Duration {
        match self.state {
            ConductorState::Ready { begins: Some(begins), .. } => begins.since(self.clock()),
            ConductorState::CountIn { until, .. } => until.since(self.clock()),
            ConductorState::Ready { begins: None, .. } => self.first_count_in(),
            ConductorState::Paused { .. } => COUNT_IN,
            ConductorState::Running | ConductorState::Gate { .. } | ConductorState::Done { .. } => Duration::ZERO,
        }
    }

    /// The time of day at which the class ends or has ended, if its whole length is `total`.
    pub(super) fn ends_at_with(&self, total: Tick) -> String {
        let wall = &self.reading.wall;
        let end = match self.state {
            ConductorState::Done { halted_since } => wall_before(wall, self.clock().since(halted_since)),
            _ => wall_after(wall, self.left_of(total)),
        };
        end.strftime("%H:%M").to_string()
    }

    /// How long the class takes from now on if its whole length is `total` and the coach starts it now.
    fn left_of(&self, total: Tick) -> Duration {
        total.saturating_sub(self.now()).duration() + self.runs_in()
    }

    /// The time spare if the whole length of the class is `total`.
    pub(super) fn spare_with(&self, total: Tick) -> Option<SignedDuration> {
        let between = |takes: Duration, has: Duration| {
            Some(SignedDuration::try_from(has).ok()? - SignedDuration::try_from(takes).ok()?)
        };
        if let Some(until) = self.room_free_until {
            let now = match self.state {
                ConductorState::Done { halted_since } => halted_since,
                _ => self.clock(),
            };
            return between(now.after(self.left_of(total)).0, until.0);
        }
        let slot = self.schedule().session.slot?;
        let wait = if self.state.has_begun() { self.runs_in() } else { Duration::ZERO };
        between(total.duration() + self.lost() + wait, slot.duration())
    }

    /// When the class has to be over, in class time, if no more time is lost. None without a slot.
    pub(super) fn class_end(&self) -> Option<Tick> {
        let total = self.schedule().total();
        let spare = self.spare_with(total)?;
        let by = Tick::of(spare.unsigned_abs());
        Some(if spare.is_negative() { total.saturating_sub(by) } else { total + by })
    }
}

/// How long a countdown with this much left shows the same second.
fn to_second(left: Duration) -> Duration {
    match left.subsec_nanos() {
        0 => Duration::from_secs(1),
        nanos => Duration::from_nanos(u64::from(nanos)),
    }
}

/// How long a count that has come this far shows the same second.
fn from_second(passed: Duration) -> Duration {
    Duration::from_secs(1) - Duration::from_nanos(u64::from(passed.subsec_nanos()))
}
