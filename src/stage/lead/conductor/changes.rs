//! Changes of what is left of the class: made, undone, redone.

use super::{Conductor, ConductorState};
use crate::lead::commands::LeadCommand;
use crate::lead::offer::STRETCH;
use class::change::{ChangeReach, Course, LiveChange, change_words};
use class::cue::ReplanPoint;
use class::schedule::{Schedule, SpanPurpose};
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Next, back and again. They move the class to another place, also from a gate and from the end.
    pub(super) fn skip(&mut self, press: LeadCommand) {
        match self.state {
            ConductorState::Ready { .. } => return self.say_not_begun(),
            ConductorState::Gate { .. } if press == LeadCommand::Next => return self.open_gate(self.clock()),
            ConductorState::Gate { .. } if press == LeadCommand::Again => {
                return self.show_message(WORDS.lead.messages.block_not_begun.clone());
            }
            ConductorState::Done { .. } if press == LeadCommand::Next => return,
            _ => {}
        }
        let change = match press {
            LeadCommand::Back => LiveChange::Back,
            LeadCommand::Again if self.state.is_done() => LiveChange::Back,
            LeadCommand::Again => LiveChange::Again,
            _ => LiveChange::Next,
        };
        self.apply(&change);
    }

    /// Makes the current span longer or shorter by one press.
    pub(super) fn adjust_length(&mut self, longer: bool) {
        let by = if longer { STRETCH } else { -STRETCH };
        if matches!(self.state, ConductorState::Ready { .. }) {
            return self.say_not_begun();
        }
        let change = LiveChange::AdjustLength { by, reach: ChangeReach::Current };
        if self.apply(&change) {
            self.show_message(change_words(&change, &self.schedule().session));
        } else {
            self.show_message(WORDS.change.nothing_to_change.clone());
        }
    }

    /// Makes a change. False if it would change nothing.
    pub(super) fn apply(&mut self, change: &LiveChange) -> bool {
        let now = self.now();
        let briefing = self.current().is_some_and(|span| self.schedule().spans[span].purpose == SpanPurpose::Briefing);
        let Some(after) = self.course.with_change(now, change, &self.movements) else { return false };
        self.history.record(now, self.course.clone(), after.clone());
        self.changed_at = Some(self.clock());
        // The coach skipped the briefing, so the span after it need not wait for another key.
        let breaks_off = self.replace_course(after, briefing && *change == LiveChange::Next);
        self.tell(Happening::Changed(change.clone()));
        self.restart_sound(breaks_off, matches!(change, LiveChange::Next | LiveChange::Back | LiveChange::Again));
        true
    }

    /// Undoes the last change.
    pub(super) fn undo(&mut self) {
        let now = self.now();
        match self.history.undo(now, &self.course) {
            Some(before) => {
                let breaks_off = self.replace_course(before, false);
                self.tell(Happening::Undone);
                self.restart_sound(breaks_off, false);
                self.show_message(WORDS.change.undone.clone());
            }
            None => self.show_message(WORDS.change.nothing_to_undo.clone()),
        }
    }

    /// Redoes the change that was undone last.
    pub(super) fn redo(&mut self) {
        let now = self.now();
        match self.history.redo(now, &self.course) {
            Some(after) => {
                let breaks_off = self.replace_course(after, false);
                self.tell(Happening::Redone);
                self.restart_sound(breaks_off, false);
                self.show_message(WORDS.change.redone.clone());
            }
            None => self.show_message(WORDS.change.nothing_to_redo.clone()),
        }
    }

    pub(super) fn say_not_begun(&mut self) {
        let key = self.keymap.label(LeadCommand::Go).to_owned();
        self.show_message(fill(&WORDS.lead.messages.not_begun, &[("key", &key)]));
    }

    /// Replaces the current course with another one from now on. `opens`: the span that begins now does not wait for
    /// the coach. Returns whether another span runs now, so that the current cue breaks off.
    fn replace_course(&mut self, course: Course, opens: bool) -> bool {
        let now = self.now();
        let old = std::mem::replace(&mut self.course, course);
        self.update_deviations();
        let starts = |schedule: &Schedule| schedule.span_at(now).is_some_and(|span| schedule.spans[span].start == now);
        let breaks_off = starts(self.schedule()) && !starts(old.schedule());
        self.replan_cues(ReplanPoint { from: now, breaks_off });
        let schedule = self.course.schedule();
        let past = schedule.spans.partition_point(|span| span.start < now);
        // A span that began at this tick and continues does not begin again.
        let goes_on = |index: usize| {
            let same = old.schedule().spans.get(index).zip(schedule.spans.get(index));
            same.is_some_and(|(old, new)| old.start == now && new.start == now && old.activity == new.activity)
                && old.origin(index).map(|origin| origin.plan) == self.course.origin(index).map(|origin| origin.plan)
        };
        let begun = self.spans_begun;
        self.spans_begun = if begun == past + 1 && goes_on(past) { begun } else { past };
        // What was told at this tick is not told again.
        let told: Vec<_> = old.schedule().events[..self.events_told].iter().filter(|event| event.at == now).collect();
        let before = schedule.events.partition_point(|event| event.at < now);
        let at_now = schedule.events[before..].iter().take_while(|event| told.iter().any(|old| old.what == event.what));
        self.events_told = before + at_now.take_while(|event| event.at == now).count();
        self.next_is_opened = opens || self.next_is_opened && goes_on(begun);
        breaks_off
    }

    /// Works out how the course differs from the plan, once for everything that draws it.
    pub(super) fn update_deviations(&mut self) {
        self.deviations = self.course.deviations();
        self.debts = self.course.side_debts();
    }

    /// Plays the class as it is now. A skip starts class time if it stood still.
    fn restart_sound(&mut self, breaks_off: bool, skips: bool) {
        match self.state {
            ConductorState::Running if !breaks_off => self.play_keeping(|_| true),
            ConductorState::Running | ConductorState::CountIn { .. } => self.play(),
            ConductorState::Gate { .. } if skips => {
                self.run(self.clock());
                self.play();
            }
            ConductorState::Done { .. } if self.now() < self.schedule().total() => {
                self.count_in(self.clock().after(class::cue::COUNT_IN));
            }
            ConductorState::Gate { .. }
            | ConductorState::Done { .. }
            | ConductorState::Ready { .. }
            | ConductorState::Paused { .. } => {}
        }
    }
}
