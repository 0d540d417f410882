//! The class as shown: the moment, and when it next looks different.

use super::{Conductor, ConductorState};
use crate::lead::moment::{ClassChanges, ClassPhase, Moment};
use crate::runtime::DisplayKind;
use class::cue::COUNT_IN;
use class::session::SpeechLevel;
use class::time::Tick;

/// How long a line for the coach stays, in milliseconds.
pub(super) const MESSAGE: u64 = 6_000;

/// How often the tempo guide moves, in milliseconds.
const GUIDE: u64 = 250;

impl Conductor {
    /// Everything that a screen may show at the last step.
    pub fn moment(&self) -> Moment<'_> {
        Moment {
            schedule: self.schedule(),
            now: self.now(),
            phase: self.phase(),
            ends_at: self.ends_at(),
            spare_ms: self.spare_ms(),
            lost_ms: self.lost_ms(),
            cues: &self.cues,
            level: self.level_now(),
            muted: self.muted,
            view: self.view,
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
            ConductorState::Ready { since, begins } => ClassPhase::Ready {
                begins_in_ms: begins.map(|begins| begins.since(clock)),
                waited_ms: clock.since(since),
            },
            ConductorState::CountIn { until } => ClassPhase::CountIn { left_ms: until.since(clock) },
            ConductorState::Running => ClassPhase::Running,
            ConductorState::Gate => ClassPhase::Gate { waited_ms: self.halted_ms() },
            ConductorState::Paused { since, stopped } => ClassPhase::Paused { for_ms: clock.since(since), stopped },
            ConductorState::Done => ClassPhase::Done,
        }
    }

    /// Milliseconds of the clock until the class looks or sounds different. None while nothing changes by itself.
    pub fn changes_in(&self, watcher: DisplayKind) -> Option<u64> {
        let to_second = |left: u64| if left.is_multiple_of(1000) { 1000 } else { left % 1000 };
        let clock = self.clock();
        let message =
            self.message.as_ref().map(|(_, until)| until.since(clock)).filter(|_| watcher == DisplayKind::Screen);
        let state = match self.state {
            ConductorState::Ready { since, begins } => {
                let left = begins.map(|begins| begins.since(clock));
                match watcher {
                    DisplayKind::Screen => Some(left.map_or_else(|| 1000 - clock.since(since) % 1000, to_second)),
                    DisplayKind::Lines => left.map(|left| left.saturating_sub(self.first_count_in())),
                }
            }
            ConductorState::CountIn { until } => {
                let left = until.since(clock);
                let pips = self.pips_from.map_or(left, |from| from.since(clock)).min(left);
                Some(if watcher == DisplayKind::Screen { pips.min(to_second(left)) } else { pips })
            }
            ConductorState::Running => Some(self.next_change_in_run(watcher, to_second)),
            ConductorState::Gate | ConductorState::Paused { .. } => {
                let stood = self.halted_ms();
                (watcher == DisplayKind::Screen).then_some(1000 - stood % 1000)
            }
            ConductorState::Done => None,
        };
        let offers = self.offers_close_in().filter(|_| watcher == DisplayKind::Screen);
        [state, message, offers].into_iter().flatten().min()
    }

    fn next_change_in_run(&self, watcher: DisplayKind, to_second: impl Fn(u64) -> u64) -> u64 {
        let now = self.now();
        let schedule = self.schedule();
        let event = schedule.events.get(self.events_told).map(|event| event.at);
        let span = schedule.spans.get(self.spans_begun).map(|span| span.start);
        let due = [event, span, Some(schedule.total())].into_iter().flatten().min().unwrap_or(now);
        let due = due.saturating_sub(now).0;
        match (watcher, self.current()) {
            (DisplayKind::Screen, Some(current)) => {
                let span = &schedule.spans[current];
                let turns = [Some(span.work_start()), span.switch_start(), span.right_start()];
                let turn =
                    turns.into_iter().flatten().filter(|&turn| turn > now).map(|turn| turn.saturating_sub(now).0).min();
                let digit = to_second(span.end.saturating_sub(now).0);
                // The guide counts its steps from where the working side began.
                let began = turns.into_iter().flatten().filter(|&turn| turn <= now).max();
                let guide = span.reps.and(began).map(|began| GUIDE - now.saturating_sub(began).0 % GUIDE);
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

    /// How long class time has stood still by now, once it has run. In milliseconds.
    pub(super) fn halted_ms(&self) -> u64 {
        let since = match (self.state, self.halted_since) {
            (_, Some(since)) => since,
            (ConductorState::Paused { since, .. }, None) => since,
            _ => return 0,
        };
        self.clock().since(since)
    }

    /// The time lost to pauses and waits so far, in milliseconds. After the end of the class no more is lost.
    fn lost_ms(&self) -> u64 {
        match (self.state, self.halted_since) {
            (ConductorState::Done, _) | (_, None) => self.lost_ms,
            (_, Some(since)) => self.lost_ms + self.clock().since(since),
        }
    }

    /// Milliseconds until class time runs, if the coach starts it now.
    fn runs_in_ms(&self) -> u64 {
        match self.state {
            ConductorState::Ready { begins: Some(begins), .. } => begins.since(self.clock()),
            ConductorState::CountIn { until } => until.since(self.clock()),
            ConductorState::Ready { begins: None, .. } => self.first_count_in(),
            ConductorState::Paused { .. } => COUNT_IN,
            ConductorState::Running | ConductorState::Gate | ConductorState::Done => 0,
        }
    }

    fn ends_at(&self) -> Option<String> {
        self.ends_at_with(self.schedule().total())
    }

    /// When the class ends if its whole length is `total`.
    pub(super) fn ends_at_with(&self, total: Tick) -> Option<String> {
        let end = match (self.state, self.halted_since) {
            (ConductorState::Done, None) => return None,
            (ConductorState::Done, Some(since)) => {
                crate::runtime::wall_before(&self.reading.wall, self.clock().since(since))
            }
            _ => {
                let left = total.saturating_sub(self.now()).0 + self.runs_in_ms();
                crate::runtime::wall_at(&self.reading.wall, left)
            }
        };
        Some(end.strftime("%H:%M").to_string())
    }

    fn spare_ms(&self) -> Option<i64> {
        self.spare_ms_with(self.schedule().total())
    }

    /// The time spare if the whole length of the class is `total`, in milliseconds.
    pub(super) fn spare_ms_with(&self, total: Tick) -> Option<i64> {
        if let Some(until) = self.room_free_until {
            let now = match (self.state, self.halted_since) {
                (ConductorState::Done, Some(since)) => since,
                _ => self.clock(),
            };
            let ends = now.after(total.saturating_sub(self.now()).0 + self.runs_in_ms());
            return Some(until.0 as i64 - ends.0 as i64);
        }
        let slot = self.schedule().session.slot?;
        let wait = if self.began { self.runs_in_ms() } else { 0 };
        let takes = total + Tick(self.lost_ms() + wait);
        Some(slot.0 as i64 - takes.0 as i64)
    }

    /// When the class has to be over, in class time, if no more time is lost. None without a slot.
    pub(super) fn class_end(&self) -> Option<Tick> {
        let total = self.schedule().total();
        Some(Tick(total.0.saturating_add_signed(self.spare_ms_with(total)?)))
    }
}
