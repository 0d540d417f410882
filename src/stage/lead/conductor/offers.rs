//! Three buttons: one opens the offers and steps through them, one takes the offer that is shown, one closes or undoes.

use super::{Conductor, Effect, State};
use crate::lead::moment::Offered;
use crate::lead::offer::{Action, Offer, STRETCH, offers};
use crate::runtime::ClockTime;
use class::change::{Change, Reach};
use class::time::Tick;
use class::words::WORDS;
use sound::Signal;

/// Offers that nobody touches close by themselves after this many milliseconds.
const IDLE: u64 = 6_000;
/// A press this soon after a boundary was meant for the span before it.
const JUST_LEFT: Tick = Tick::SECOND;
/// The close button undoes a change that is younger than this, in milliseconds.
const YOUNG: u64 = 10_000;

/// The open offers.
#[derive(Clone, Debug)]
pub(super) struct Open {
    list: Vec<Offer>,
    at: usize,
    /// When the offers close by themselves.
    until: ClockTime,
    /// The span that the offers are for, and the tick at which they were worked out.
    span: Option<usize>,
    worked_out: Tick,
}

impl Conductor {
    /// Opens the offers, or steps to the next one. `undoes`: the first offer undoes a change just made.
    pub(super) fn offer(&mut self, undoes: bool) {
        let until = self.clock().after(IDLE);
        if let Some(open) = &mut self.open {
            open.at = (open.at + 1) % open.list.len();
            open.until = until;
            self.refresh();
            return;
        }
        if matches!(self.state, State::Ready { .. }) {
            return self.not_begun();
        }
        let mut list = self.offers();
        if let Some(undo) = self.undo_offer().filter(|_| undoes) {
            list.insert(0, undo);
        }
        if list.is_empty() {
            return self.say(WORDS.change.nothing_to_change.clone());
        }
        self.open = Some(Open { list, at: 0, until, span: self.current(), worked_out: self.now() });
        self.signal(Signal::Opened);
    }

    /// Takes the offer that is shown.
    pub(super) fn take_offer(&mut self) {
        let Some(mut open) = self.open.take() else { return };
        let offer = open.list[open.at].clone();
        let late = open.span != self.current() && self.just_left();
        let action = match offer.action {
            Action::Change(Change::Stretch { by: STRETCH, reach: Reach::This }) if late => {
                Action::Change(Change::Return { by: STRETCH })
            }
            // The span to be skipped has ended by itself.
            Action::Change(Change::Next | Change::RestNow) if late => return,
            action => action,
        };
        let taken = match &action {
            Action::Change(change) => self.take(change),
            Action::Start => {
                self.open_block();
                true
            }
            Action::SayMore => {
                self.set_level(true);
                true
            }
            Action::Undo => return self.undo_young(),
        };
        if !taken {
            return self.say(WORDS.change.nothing_to_change.clone());
        }
        self.signal(Signal::Taken);
        if action.adds_up() {
            let list = self.offers();
            if let Some(at) = list.iter().position(|again| again.action == action) {
                (open.list, open.at, open.until) = (list, at, self.clock().after(IDLE));
                (open.span, open.worked_out) = (self.current(), self.now());
                self.open = Some(open);
            }
        }
    }

    /// Closes the offers. If none are open: undoes a change just made.
    pub(super) fn close(&mut self) {
        if self.open.take().is_none() {
            self.undo_young();
        }
    }

    /// Undoes a change just made.
    fn undo_young(&mut self) {
        if self.has_just_changed() {
            self.changed_at = None;
            self.undo();
            self.signal(Signal::Undone);
        }
    }

    fn has_just_changed(&self) -> bool {
        self.changed_at.is_some_and(|at| self.clock().since(at) < YOUNG)
    }

    /// The offer to undo a change just made.
    fn undo_offer(&self) -> Option<Offer> {
        let before = self.history.clone().undo(self.now(), &self.course).filter(|_| self.has_just_changed())?;
        let total = before.schedule().total();
        Some(Offer { action: Action::Undo, words: WORDS.change.undo_it.clone(), detail: None, total })
    }

    /// Lets time act on open offers: they close by themselves, and the offers of a span that is over give way to those
    /// of the next span.
    pub(super) fn offers_flow(&mut self) {
        let (current, now) = (self.current(), self.now());
        let Some(open) = &self.open else { return };
        if open.until <= self.clock() {
            self.open = None;
        } else if open.span != current && !self.just_left() {
            let list = self.offers();
            let shown = open.list[open.at].action.clone();
            let at = list.iter().position(|offer| offer.action == shown).unwrap_or(0);
            let until = open.until;
            self.open = (!list.is_empty()).then_some(Open { list, at, until, span: current, worked_out: now });
        } else if open.worked_out.0 / 1000 != now.0 / 1000 {
            self.refresh();
        }
    }

    /// Milliseconds of the clock until open offers close.
    pub(super) fn offers_close_in(&self) -> Option<u64> {
        self.open.as_ref().map(|open| open.until.since(self.clock()))
    }

    /// The offer that is shown.
    pub(super) fn offered(&self) -> Option<Offered<'_>> {
        let open = self.open.as_ref()?;
        let offer = &open.list[open.at];
        Some(Offered {
            words: &offer.words,
            detail: offer.detail.as_deref(),
            ends_at: self.ends_at_with(offer.total),
            spare_ms: self.spare_ms_with(offer.total),
            index: open.at,
            count: open.list.len(),
        })
    }

    /// Works out again what the shown offer makes of the class, because less of the span is left as time passes.
    fn refresh(&mut self) {
        let now = self.now();
        let Some(open) = &mut self.open else { return };
        open.worked_out = now;
        let offer = &mut open.list[open.at];
        // A fit or a cut has a fixed end.
        if let Action::Change(change) = &offer.action
            && !matches!(change, Change::Fit { .. } | Change::Cut { .. })
            && let Some(after) = self.course.changed(now, change, &self.movements)
        {
            offer.total = after.schedule().total();
        }
    }

    fn offers(&self) -> Vec<Offer> {
        let just_left = self.just_left();
        let mut list = offers(&self.course, self.now(), self.class_end(), just_left, &self.movements);
        if self.state == State::Gate {
            list.retain(|offer| matches!(offer.action, Action::Change(Change::Fit { .. } | Change::Cut { .. })));
            let words = WORDS.change.start_now.clone();
            let start = Offer { action: Action::Start, words, detail: None, total: self.schedule().total() };
            list.insert(0, start);
        }
        list
    }

    /// Whether a span has just begun, after another.
    fn just_left(&self) -> bool {
        let now = self.now();
        self.state == State::Running
            && self.current().is_some_and(|index| index > 0 && now - self.schedule().spans[index].start < JUST_LEFT)
    }

    fn open_block(&mut self) {
        if self.state == State::Gate {
            self.open(self.clock());
        }
    }

    fn signal(&mut self, signal: Signal) {
        if !self.muted {
            self.effects.push(Effect::Signal(signal));
        }
    }
}
