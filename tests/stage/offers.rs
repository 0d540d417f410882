//! Offers and the three buttons, on a stepped clock.

use crate::classes;

use std::sync::Arc;
use std::time::Duration;

use jiff::SignedDuration;

use class::change::LiveChange;
use class::movement::Sides;
use class::schedule::{SpanPurpose, WorkingSide, compile};
use class::session::{Block, BlockFormat, BlockKind, BlockStart, Session};
use class::time::Tick;
use classes::{any_session, block, session, station};
use journal::{Happening, TimedHappening};
use proptest::prelude::*;
use sound::ToneSignal;
use stage::lead::{ClassOpening, ClassPhase, Conductor, LeadCommand};
use stage::runtime::{Clock, RunEnding, StepEffect, StepInput, SteppedClock};

struct Class {
    conductor: Conductor,
    clock: SteppedClock,
    effects: Vec<StepEffect<TimedHappening>>,
}

impl Class {
    fn begun(session: Arc<Session>) -> Class {
        Class::begun_with(session, ClassOpening::default())
    }

    fn begun_with(session: Arc<Session>, opening: ClassOpening) -> Class {
        let mut clock = SteppedClock::new("2026-01-10T18:00:00+00:00[UTC]".parse().unwrap());
        let conductor = Conductor::new(compile(session), opening, clock.read());
        let mut class = Class { conductor, clock, effects: vec![] };
        class.press(LeadCommand::Go);
        class.press_later(LeadCommand::Go, 1_000);
        class
    }

    fn press(&mut self, press: LeadCommand) {
        self.press_later(press, 0);
    }

    fn press_later(&mut self, press: LeadCommand, ms: u64) {
        self.clock.step(Duration::from_millis(ms));
        self.effects = self.conductor.step(self.clock.read(), &[StepInput::Press(press)]);
    }

    fn wait(&mut self, ms: u64) {
        self.clock.step(Duration::from_millis(ms));
        self.effects = self.conductor.step(self.clock.read(), &[]);
    }

    /// Waits until a tick of class time.
    fn until(&mut self, tick: u64) {
        self.wait(tick - self.now());
    }

    fn now(&self) -> u64 {
        self.conductor.now().0
    }

    fn total(&self) -> u64 {
        self.conductor.schedule().total().0
    }

    fn shown(&self) -> Option<String> {
        self.conductor.moment().offer.map(|offer| offer.words.to_owned())
    }

    fn detail(&self) -> Option<String> {
        self.conductor.moment().offer.and_then(|offer| offer.detail.map(str::to_owned))
    }

    /// Steps through the offers until one with these words is shown.
    fn seek(&mut self, words: &str) {
        self.press(LeadCommand::Offer);
        let count = self.conductor.moment().offer.unwrap().count;
        for _ in 0..count {
            if self.shown().unwrap().contains(words) {
                return;
            }
            self.press(LeadCommand::Offer);
        }
        panic!("no offer of {words}");
    }

    fn signals(&self) -> Vec<ToneSignal> {
        let signal = |effect: &StepEffect<TimedHappening>| match effect {
            StepEffect::Signal(signal) => Some(*signal),
            _ => None,
        };
        self.effects.iter().filter_map(signal).collect()
    }

    fn changes(&self) -> Vec<Happening> {
        let told = |effect: &StepEffect<TimedHappening>| match effect {
            StepEffect::Tell(told) => Some(told.what.clone()),
            _ => None,
        };
        let change = |what: &Happening| matches!(what, Happening::Changed(_) | Happening::Undone | Happening::Redone);
        self.effects.iter().filter_map(told).filter(change).collect()
    }
}

fn three(work: u64, rest: u64) -> Block {
    let mut stations = vec![
        station("squat", Tick::seconds(work)),
        station("row", Tick::seconds(work)),
        station("plank", Tick::seconds(work)),
    ];
    for station in &mut stations {
        station.rest = Tick::seconds(rest);
    }
    block(BlockFormat::Circuit, stations)
}

fn one_block() -> Arc<Session> {
    session(vec![three(40, 20)])
}

/// The class of the worked example: 18 times 60 s of work in three blocks, 60 s between the blocks, and a cool-down of
/// 6:00.
fn worked(slot: u64) -> Arc<Session> {
    let main = |name: &str| Block {
        name: name.into(),
        rest_after: Tick::seconds(60),
        ..block(BlockFormat::Circuit, (0..6).map(|_| station("squat", Tick::seconds(60))).collect())
    };
    let third = Block { rest_after: Tick::ZERO, ..main("Three") };
    let down = Block {
        name: "Down".into(),
        kind: BlockKind::CoolDown,
        ..block(BlockFormat::Circuit, (0..6).map(|_| station("fold", Tick::seconds(60))).collect())
    };
    let mut class = Session::clone(&session(vec![main("One"), main("Two"), third, down]));
    class.slot = Some(Tick::seconds(slot));
    Arc::new(class)
}

#[test]
fn the_offers_open_step_and_close_by_themselves() {
    let mut class = Class::begun(one_block());
    class.until(10_000);
    class.press(LeadCommand::Offer);
    assert_eq!((class.shown().as_deref(), class.signals()), (Some("+15 s"), vec![ToneSignal::Opened]));
    let offer = class.conductor.moment().offer.unwrap();
    // 160 s and 15 s more; the class began 1 s after 18:00.
    assert_eq!((offer.index, offer.ends_at.as_deref()), (0, Some("18:02")));
    class.press(LeadCommand::Offer);
    assert_eq!(class.shown().as_deref(), Some("next now"));
    class.wait(5_999);
    assert!(class.shown().is_some());
    class.wait(1);
    assert_eq!(class.shown(), None);
    assert_eq!(class.total(), 160_000, "nothing was taken");
}

#[test]
fn stretches_add_up_and_the_back_button_undoes_them_one_by_one() {
    let mut class = Class::begun(one_block());
    class.until(10_000);
    class.press(LeadCommand::Offer);
    class.press(LeadCommand::Go);
    assert_eq!((class.total(), class.signals()), (175_000, vec![ToneSignal::Taken]));
    class.press_later(LeadCommand::Go, 1_000);
    assert_eq!((class.total(), class.shown().as_deref()), (190_000, Some("+15 s")));
    class.press(LeadCommand::Close);
    assert_eq!((class.shown(), class.total()), (None, 190_000), "the button only closed the offers");
    class.press_later(LeadCommand::Close, 2_000);
    assert_eq!((class.total(), class.signals()), (175_000, vec![ToneSignal::Undone]));
    assert_eq!(class.conductor.phase(), ClassPhase::Running, "the close button does not pause");
}

#[test]
fn what_is_ten_seconds_old_is_not_undone_by_the_back_button() {
    let mut class = Class::begun(one_block());
    class.until(5_000);
    class.press(LeadCommand::Longer);
    class.press_later(LeadCommand::Close, 10_000);
    assert_eq!(class.total(), 175_000);
    class.press(LeadCommand::Undo);
    assert_eq!(class.total(), 160_000, "the undo key has no time limit");
    class.press(LeadCommand::Redo);
    assert_eq!(class.total(), 175_000);
}

#[test]
fn with_no_offer_open_the_take_button_holds() {
    let mut class = Class::begun(one_block());
    class.until(10_000);
    class.press(LeadCommand::Go);
    assert!(matches!(class.conductor.phase(), ClassPhase::Paused { .. }));
    class.press_later(LeadCommand::Offer, 1_000);
    class.press(LeadCommand::Go);
    assert_eq!(class.total(), 175_000, "an offer is taken in a pause too");
    assert!(matches!(class.conductor.phase(), ClassPhase::Paused { .. }));
}

/// The coach presses a moment after the boundary and means the span that has just ended.
#[test]
fn a_late_press_is_for_the_span_just_left() {
    let mut class = Class::begun(one_block());
    class.until(40_900);
    class.press(LeadCommand::Offer);
    assert_eq!(class.shown().as_deref(), Some("back to the one before, +15 s"));
    class.press(LeadCommand::Go);
    assert_eq!(class.changes(), [Happening::Changed(LiveChange::ExtendPrevious { by: 15_000 })]);
    let schedule = class.conductor.schedule();
    let spans: Vec<(u64, SpanPurpose)> =
        schedule.spans[..5].iter().map(|span| (span.length().0, span.purpose)).collect();
    let (work, rest) = (SpanPurpose::Work, SpanPurpose::Rest);
    assert_eq!(spans, [(40_000, work), (900, rest), (15_000, work), (20_000, rest), (40_000, work)]);
}

/// The offers are opened in time, and one is taken a moment too late.
#[test]
fn an_offer_opened_before_the_boundary_is_still_for_its_span() {
    let mut class = Class::begun(one_block());
    class.until(39_000);
    class.press(LeadCommand::Offer);
    class.press_later(LeadCommand::Go, 1_500);
    assert_eq!(class.changes(), [Happening::Changed(LiveChange::ExtendPrevious { by: 15_000 })]);
    // The span to be skipped has ended by itself.
    let mut class = Class::begun(one_block());
    class.until(39_000);
    class.seek("next now");
    class.press_later(LeadCommand::Go, 1_500);
    assert_eq!((class.changes(), class.total()), (vec![], 160_000));
}

#[test]
fn a_second_later_the_offers_are_for_what_runs() {
    let mut class = Class::begun(one_block());
    class.until(41_000);
    class.press(LeadCommand::Offer);
    assert_eq!(class.shown().as_deref(), Some("+15 s"));
    class.press(LeadCommand::Offer);
    assert_eq!(class.shown().as_deref(), Some("start now"));
    class.press(LeadCommand::Go);
    assert_eq!(class.conductor.schedule().spans[1].length(), Tick(1_000));
}

#[test]
fn at_a_gate_the_first_offer_is_to_start() {
    let mut second = three(40, 20);
    second.name = "Second".into();
    second.start = BlockStart::OnKey;
    let mut class = Class::begun(session(vec![three(40, 20), second]));
    class.until(160_000);
    assert!(matches!(class.conductor.phase(), ClassPhase::Gate { .. }));
    class.press_later(LeadCommand::Offer, 5_000);
    assert_eq!(class.shown().as_deref(), Some("start now"));
    class.press(LeadCommand::Go);
    assert_eq!(class.conductor.phase(), ClassPhase::Running);
}

/// The first minute is running when the offers are opened, so 17 of the 18 are left to shorten: 3:00 is 17 times 10 s
/// and 2 times 5 s.
#[test]
fn the_fit_is_shown_with_its_lengths_before_it_is_taken() {
    let slot = 23 * 60;
    let mut class = Class::begun(worked(slot));
    class.press(LeadCommand::Offer);
    assert_eq!(class.shown().as_deref(), Some("cut 3:00: adjust lengths"), "over, so it is first");
    assert_eq!(class.detail().as_deref(), Some("work 0:50, rest between blocks 0:55"));
    assert_eq!(class.total(), 26 * 60_000, "nothing is changed yet");
    class.press_later(LeadCommand::Go, 1_000);
    assert_eq!((class.total(), class.conductor.moment().spare), (slot * 1000, Some(SignedDuration::ZERO)));
}

/// A pause does not last whole seconds, but the time to lose is shown in whole seconds.
#[test]
fn what_is_to_be_lost_is_told_in_whole_seconds() {
    let mut class = Class::begun(worked(26 * 60));
    class.press_later(LeadCommand::Go, 2_000);
    class.press_later(LeadCommand::Go, 51_697);
    class.press_later(LeadCommand::Go, 1_000);
    class.press_later(LeadCommand::Offer, 2_000);
    // This includes the second of the count-in.
    assert_eq!(class.shown().as_deref(), Some("cut 0:53: adjust lengths"));
}

#[test]
fn what_is_left_out_is_named() {
    let mut lean = three(40, 0);
    lean.rounds = 2;
    let mut class = Session::clone(&session(vec![lean]));
    class.slot = Some(Tick::seconds(200));
    let mut class = Class::begun(Arc::new(class));
    class.seek("leave something out");
    // Only the squat of the second round is dropped: the one of the first round is running.
    assert_eq!(class.detail().as_deref(), Some("squat"));
}

/// The button that pauses, pressed as the class ends, does not leave the class.
#[test]
fn a_hold_that_comes_too_late_leaves_the_end_standing() {
    let mut class = Class::begun(one_block());
    class.wait(class.total() - class.now());
    class.press_later(LeadCommand::Go, 400);
    assert!(!class.effects.contains(&StepEffect::End(RunEnding::Done)));
    class.press_later(LeadCommand::Go, 3_000);
    assert!(class.effects.contains(&StepEffect::End(RunEnding::Done)));
}

/// 8:20 over: even the shortest lengths end 20 s late, so the cut comes first.
#[test]
fn where_no_lengths_reach_the_cut_comes_first() {
    let mut class = Class::begun(worked(26 * 60 - 500));
    class.press(LeadCommand::Offer);
    assert!(class.shown().unwrap().ends_with("leave something out"), "{:?}", class.shown());
    class.press(LeadCommand::Offer);
    assert!(class.shown().unwrap().ends_with("adjust lengths"));
    assert!(class.detail().unwrap().contains("over"), "{:?}", class.detail());
}

#[test]
fn the_time_that_the_room_is_needed_counts_for_the_slot() {
    let opening = ClassOpening {
        room_free_until: Some(stage::runtime::ClockTime(Duration::from_millis(24 * 60_000 + 1_000))),
        ..ClassOpening::default()
    };
    let mut class = Class::begun_with(worked(3600), opening);
    assert_eq!(class.conductor.moment().spare, Some(SignedDuration::from_secs(-120)));
    class.press(LeadCommand::Offer);
    assert_eq!(class.shown().as_deref(), Some("cut 2:00: adjust lengths"));
}

#[test]
fn quitting_is_not_among_the_three() {
    let mut class = Class::begun(one_block());
    class.until(10_000);
    class.press(LeadCommand::Offer);
    let count = class.conductor.moment().offer.unwrap().count;
    for _ in 0..count {
        assert!(!class.shown().unwrap().contains("quit"));
        class.press(LeadCommand::Offer);
    }
}

#[test]
fn with_two_buttons_what_has_just_been_changed_is_undone_by_the_first_offer() {
    let mut class = Class::begun(one_block());
    class.until(10_000);
    class.press(LeadCommand::OfferUndo);
    let first = class.shown();
    assert_ne!(first.as_deref(), Some("undo the last change"), "nothing is changed yet");
    let planned = class.total();
    class.press(LeadCommand::Go);
    assert_eq!(class.total(), planned + 15_000);
    class.wait(6_100);
    assert_eq!(class.shown(), None);
    class.press(LeadCommand::OfferUndo);
    assert_eq!(class.shown().as_deref(), Some("undo the last change"));
    class.press(LeadCommand::Go);
    assert_eq!((class.total(), class.changes()), (planned, vec![Happening::Undone]));
    // A change that is ten seconds old is not among the offers, just as the close button does not undo it.
    class.press_later(LeadCommand::OfferUndo, 1_000);
    class.press(LeadCommand::Go);
    class.wait(10_100);
    class.press(LeadCommand::OfferUndo);
    assert_eq!(class.shown(), first);
}

/// A class in which the right side of the first station was cut short by 12 s.
fn owing() -> Class {
    let mut lunge = station("lunge", Tick::seconds(42));
    lunge.sides = Sides::EachSide;
    let mut class = Class::begun(session(vec![block(
        BlockFormat::Circuit,
        vec![lunge, station("march", Tick::seconds(40)), station("row", Tick::seconds(40))],
    )]));
    class.until(72_000);
    class.press(LeadCommand::Next);
    class
}

#[test]
fn what_a_side_owes_is_shown_until_one_offer_repays_it() {
    let mut class = owing();
    let owes = |class: &Class| {
        let moment = class.conductor.moment();
        moment.changed.debts.iter().map(|debt| (debt.side, debt.by.0)).collect::<Vec<_>>()
    };
    assert_eq!(owes(&class), [(WorkingSide::Right, 12_000)]);
    class.wait(9_000);
    let before = class.total();
    class.seek("right side 12 s more: lunge");
    class.press_later(LeadCommand::Go, 1_000);
    // The change to the other side takes time too.
    assert!((12_000..15_000).contains(&(class.total() - before)));
    assert_eq!(owes(&class), []);
    class.press_later(LeadCommand::Close, 1_000);
    assert_eq!(owes(&class), [(WorkingSide::Right, 12_000)]);
}

#[test]
fn what_a_side_owes_can_be_let_be() {
    let mut class = owing();
    class.wait(9_000);
    let before = class.total();
    class.seek("right side: leave it short");
    class.press_later(LeadCommand::Go, 1_000);
    assert_eq!((class.conductor.moment().changed.debts.len(), class.total()), (0, before));
    class.press_later(LeadCommand::Close, 1_000);
    assert_eq!(class.conductor.moment().changed.debts.len(), 1);
}

#[test]
fn after_the_class_it_is_known_when_it_ended_and_what_was_changed() {
    let mut class = owing();
    class.press_later(LeadCommand::Mark, 1_000);
    class.press_later(LeadCommand::Longer, 1_000);
    class.press_later(LeadCommand::Mark, 1_000);
    class.press_later(LeadCommand::Undo, 1_000);
    class.wait(class.total() - class.now());
    let at_the_end = class.conductor.moment();
    assert_eq!(at_the_end.phase, ClassPhase::Done);
    // The count-in was cut after 1 s; then 72 s of 84 s, and twice 40 s.
    let ended = at_the_end.ends_at.clone();
    assert_eq!(ended.as_deref(), Some("18:02"));
    assert_eq!((at_the_end.changed.changes, at_the_end.changed.marks), (1, 2));
    class.wait(600_000);
    assert_eq!(class.conductor.moment().ends_at, ended);
}

#[test]
fn more_is_said_when_a_voice_fails() {
    let mut class = Class::begun(one_block());
    class.until(10_000);
    class.seek("more voice");
    class.press(LeadCommand::Go);
    assert_eq!(class.conductor.moment().level, class::session::SpeechLevel::Full);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// Whichever of the three buttons are pressed, and whenever: the past stays, the class runs to its end, and no
    /// offer is without effect.
    #[test]
    fn three_buttons_never_break_a_class(
        session in any_session(),
        presses in prop::collection::vec((0..3usize, 0..30_000u64), 1..40),
    ) {
        let mut class = Class::begun(session);
        for (button, ms) in presses {
            let before = class.conductor.schedule().clone();
            class.press_later([LeadCommand::Offer, LeadCommand::Go, LeadCommand::Close][button], ms);
            let (after, now) = (class.conductor.schedule(), class.conductor.now());
            for (old, new) in before.spans.iter().zip(&after.spans).filter(|(old, _)| old.end < now) {
                prop_assert_eq!((old.start, old.end, old.purpose), (new.start, new.end, new.purpose));
            }
            let mut at = Tick::ZERO;
            for span in &after.spans {
                prop_assert_eq!(span.start, at);
                prop_assert!(span.end > span.start && span.settle <= span.length());
                at = span.end;
            }
            if let Some(offer) = class.conductor.moment().offer {
                prop_assert!(offer.index < offer.count && !offer.words.is_empty());
            }
        }
    }
}
