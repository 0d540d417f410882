//! Changes of what is left of the class: made, undone, redone.

use super::{Conductor, State};
use crate::lead::keys::Press;
use crate::lead::offer::STRETCH;
use class::change::{Change, Course, Reach, change_words};
use class::cue::Anew;
use class::schedule::{Purpose, Schedule};
use class::words::{WORDS, fill};
use journal::Happening;

impl Conductor {
    /// Next, back and again. They move the class to another place, also from a gate and from the end.
    pub(super) fn skip(&mut self, press: Press) {
        match self.state {
            State::Ready { .. } => return self.not_begun(),
            State::Gate if press == Press::Next => return self.open(self.clock()),
            State::Gate if press == Press::Again => {
                return self.say(WORDS.lead.messages.block_not_begun.clone());
            }
            State::Done if press == Press::Next => return,
            _ => {}
        }
        let change = match press {
            Press::Back => Change::Back,
            Press::Again if self.state == State::Done => Change::Back,
            Press::Again => Change::Again,
            _ => Change::Next,
        };
        self.take(&change);
    }

    /// Makes the current span longer or shorter by one press.
    pub(super) fn stretch(&mut self, longer: bool) {
        let by = if longer { STRETCH } else { -STRETCH };
        if matches!(self.state, State::Ready { .. }) {
            return self.not_begun();
        }
        let change = Change::Stretch { by, reach: Reach::This };
        if self.take(&change) {
            self.say(change_words(&change, &self.schedule().session));
        } else {
            self.say(WORDS.change.nothing_to_change.clone());
        }
    }

    /// Makes a change. False if it would change nothing.
    pub(super) fn take(&mut self, change: &Change) -> bool {
        let now = self.now();
        let briefing = self.current().is_some_and(|span| self.schedule().spans[span].purpose == Purpose::Briefing);
        let Some(after) = self.course.changed(now, change, &self.movements) else { return false };
        self.history.record(now, self.course.clone(), after.clone());
        self.changed_at = Some(self.clock());
        // The coach skipped the briefing, so the span after it need not wait for another key.
        let breaks_off = self.goes_on_as(after, briefing && *change == Change::Next);
        self.tell(Happening::Changed(change.clone()));
        self.resound(breaks_off, matches!(change, Change::Next | Change::Back | Change::Again));
        true
    }

    /// Undoes the last change.
    pub(super) fn undo(&mut self) {
        let now = self.now();
        match self.history.undo(now, &self.course) {
            Some(before) => {
                let breaks_off = self.goes_on_as(before, false);
                self.tell(Happening::Undone);
                self.resound(breaks_off, false);
                self.say(WORDS.change.undone.clone());
            }
            None => self.say(WORDS.change.nothing_to_undo.clone()),
        }
    }

    /// Redoes the change that was undone last.
    pub(super) fn redo(&mut self) {
        let now = self.now();
        match self.history.redo(now, &self.course) {
            Some(after) => {
                let breaks_off = self.goes_on_as(after, false);
                self.tell(Happening::Redone);
                self.resound(breaks_off, false);
                self.say(WORDS.change.redone.clone());
            }
            None => self.say(WORDS.change.nothing_to_redo.clone()),
        }
    }

    pub(super) fn not_begun(&mut self) {
        let key = self.keymap.label(Press::Go).to_owned();
        self.say(fill(&WORDS.lead.messages.not_begun, &[("key", &key)]));
    }

    /// Replaces the current course with another one from now on. `opens`: the span that begins now does not wait for
    /// the coach. Returns whether another span runs now, so that the current cue breaks off.
    fn goes_on_as(&mut self, course: Course, opens: bool) -> bool {
        let now = self.now();
        let old = std::mem::replace(&mut self.course, course);
        self.stands_against_plan();
        let starts = |schedule: &Schedule| schedule.span_at(now).is_some_and(|span| schedule.spans[span].start == now);
        let breaks_off = starts(self.schedule()) && !starts(old.schedule());
        self.cue_up(Anew { from: now, breaks_off });
        let schedule = self.course.schedule();
        let past = schedule.spans.partition_point(|span| span.start < now);
        // A span that began at this tick and continues does not begin again.
        let goes_on = |index: usize| {
            let same = old.schedule().spans.get(index).zip(schedule.spans.get(index));
            same.is_some_and(|(old, new)| old.start == now && new.start == now && old.doing == new.doing)
                && old.origin(index).map(|origin| origin.plan) == self.course.origin(index).map(|origin| origin.plan)
        };
        let (begun, opened) = (self.begun, self.opened);
        self.begun = if begun == past + 1 && goes_on(past) { begun } else { past };
        // What was told at this tick is not told again.
        let told: Vec<_> = old.schedule().events[..self.told].iter().filter(|event| event.at == now).collect();
        let before = schedule.events.partition_point(|event| event.at < now);
        let at_now = schedule.events[before..].iter().take_while(|event| told.iter().any(|old| old.what == event.what));
        self.told = before + at_now.take_while(|event| event.at == now).count();
        self.opened = if opens { Some(self.begun) } else { opened.filter(|&index| index == begun && goes_on(index)) };
        breaks_off
    }

    /// Works out how the course differs from the plan, once for everything that draws it.
    pub(super) fn stands_against_plan(&mut self) {
        self.marks = self.course.marks();
        self.debts = self.course.ledger();
    }

    /// Plays the class as it is now. A skip starts class time if it stood still.
    fn resound(&mut self, breaks_off: bool, skips: bool) {
        match self.state {
            State::Running if !breaks_off => self.play_on(|_| true),
            State::Running | State::CountIn { .. } => self.play(),
            State::Gate if skips => {
                self.run(self.clock());
                self.play();
            }
            State::Done if self.now() < self.schedule().total() => {
                self.count_in(self.clock().after(class::cue::COUNT_IN));
            }
            State::Gate | State::Done | State::Ready { .. } | State::Held { .. } => {}
        }
    }
}
