//! Three buttons: one opens the offers and steps through them, one takes the offer that is shown, one closes or undoes.

use std::time::Duration;

use super::{Conductor, ConductorState, Effect};
use crate::lead::moment::ShownOffer;
use crate::lead::offer::{Offer, OfferAction, STRETCH, offers};
use crate::runtime::ClockTime;
use class::change::{ChangeReach, LiveChange};
use class::time::Tick;
use class::words::WORDS;
use sound::ToneSignal;

/// Offers that nobody touches close by themselves after this time.
const IDLE: Duration = Duration::from_secs(6);
/// A press this soon after a boundary was meant for the span before it.
const JUST_LEFT: Tick = Tick::SECOND;
/// The close button undoes a change that is younger than this.
const YOUNG: Duration = Duration::from_secs(10);

/// The open offers.
#[derive(Clone, Debug)]
pub(super) struct OpenOffers {
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
        if let Some(open) = &mut self.open_offers {
            open.at = (open.at + 1) % open.list.len();
            open.until = until;
            self.update_offer();
            return;
        }
        if matches!(self.state, ConductorState::Ready { .. }) {
            return self.say_not_begun();
        }
        let mut list = self.offers();
        if let Some(undo) = self.undo_offer().filter(|_| undoes) {
            list.insert(0, undo);
        }
        if list.is_empty() {
            return self.show_message(WORDS.change.nothing_to_change.clone());
        }
        self.open_offers = Some(OpenOffers { list, at: 0, until, span: self.current(), worked_out: self.now() });
        self.signal(ToneSignal::Opened);
    }

    /// Takes the offer that is shown.
    pub(super) fn take_offer(&mut self) {
        let Some(mut open) = self.open_offers.take() else { return };
        let offer = open.list[open.at].clone();
        let late = open.span != self.current() && self.span_just_began();
        let action = match offer.action {
            OfferAction::Change(LiveChange::AdjustLength { by: STRETCH, reach: ChangeReach::Current }) if late => {
                OfferAction::Change(LiveChange::ExtendPrevious { by: STRETCH })
            }
            // The span to be skipped has ended by itself.
            OfferAction::Change(LiveChange::Next | LiveChange::RestNow) if late => return,
            action => action,
        };
        let taken = match &action {
            OfferAction::Change(change) => self.apply(change),
            OfferAction::Start => {
                self.begin_gated_block();
                true
            }
            OfferAction::SayMore => {
                self.set_level(true);
                true
            }
            OfferAction::Undo => return self.undo_recent(),
        };
        if !taken {
            return self.show_message(WORDS.change.nothing_to_change.clone());
        }
        self.signal(ToneSignal::Taken);
        if action.may_repeat() {
            let list = self.offers();
            if let Some(at) = list.iter().position(|again| again.action == action) {
                (open.list, open.at, open.until) = (list, at, self.clock().after(IDLE));
                (open.span, open.worked_out) = (self.current(), self.now());
                self.open_offers = Some(open);
            }
        }
    }

    /// Closes the offers. If none are open: undoes a change just made.
    pub(super) fn close(&mut self) {
        if self.open_offers.take().is_none() {
            self.undo_recent();
        }
    }

    /// Undoes a change just made.
    fn undo_recent(&mut self) {
        if self.has_just_changed() {
            self.changed_at = None;
            self.undo();
            self.signal(ToneSignal::Undone);
        }
    }

    fn has_just_changed(&self) -> bool {
        self.changed_at.is_some_and(|at| self.clock().since(at) < YOUNG)
    }

    /// The offer to undo a change just made.
    fn undo_offer(&self) -> Option<Offer> {
        let before = self.history.clone().undo(self.now(), &self.course).filter(|_| self.has_just_changed())?;
        let total = before.schedule().total();
        Some(Offer { action: OfferAction::Undo, words: WORDS.change.undo_it.clone(), detail: None, total })
    }

    /// Lets time act on open offers: they close by themselves, and the offers of a span that is over give way to those
    /// of the next span.
    pub(super) fn expire_offers(&mut self) {
        let (current, now) = (self.current(), self.now());
        let Some(open) = &self.open_offers else { return };
        if open.until <= self.clock() {
            self.open_offers = None;
        } else if open.span != current && !self.span_just_began() {
            let list = self.offers();
            let shown = open.list[open.at].action.clone();
            let at = list.iter().position(|offer| offer.action == shown).unwrap_or(0);
            let until = open.until;
            self.open_offers =
                (!list.is_empty()).then_some(OpenOffers { list, at, until, span: current, worked_out: now });
        } else if open.worked_out.0 / 1000 != now.0 / 1000 {
            self.update_offer();
        }
    }

    /// How long it takes until open offers close.
    pub(super) fn offers_close_in(&self) -> Option<Duration> {
        self.open_offers.as_ref().map(|open| open.until.since(self.clock()))
    }

    /// The offer that is shown.
    pub(super) fn offered(&self) -> Option<ShownOffer<'_>> {
        let open = self.open_offers.as_ref()?;
        let offer = &open.list[open.at];
        Some(ShownOffer {
            words: &offer.words,
            detail: offer.detail.as_deref(),
            ends_at: Some(self.ends_at_with(offer.total)),
            spare: self.spare_with(offer.total),
            index: open.at,
            count: open.list.len(),
        })
    }

    /// Works out again what the shown offer makes of the class, because less of the span is left as time passes.
    fn update_offer(&mut self) {
        let now = self.now();
        let Some(open) = &mut self.open_offers else { return };
        open.worked_out = now;
        let offer = &mut open.list[open.at];
        // A fit or a cut has a fixed end.
        if let OfferAction::Change(change) = &offer.action
            && !matches!(change, LiveChange::Fit { .. } | LiveChange::Cut { .. })
            && let Some(after) = self.course.with_change(now, change, &self.movements)
        {
            offer.total = after.schedule().total();
        }
    }

    fn offers(&self) -> Vec<Offer> {
        let just_left = self.span_just_began();
        let mut list = offers(&self.course, self.now(), self.class_end(), just_left, &self.movements);
        if self.state.is_gate() {
            list.retain(|offer| {
                matches!(offer.action, OfferAction::Change(LiveChange::Fit { .. } | LiveChange::Cut { .. }))
            });
            let words = WORDS.change.start_now.clone();
            let start = Offer { action: OfferAction::Start, words, detail: None, total: self.schedule().total() };
            list.insert(0, start);
        }
        list
    }

    /// Whether a span has just begun, after another.
    fn span_just_began(&self) -> bool {
        let now = self.now();
        self.state == ConductorState::Running
            && self.current().is_some_and(|index| index > 0 && now - self.schedule().spans[index].start < JUST_LEFT)
    }

    fn begin_gated_block(&mut self) {
        if self.state.is_gate() {
            self.open_gate(self.clock());
        }
    }

    fn signal(&mut self, signal: ToneSignal) {
        if !self.muted {
            self.effects.push(Effect::Signal(signal));
        }
    }
}
