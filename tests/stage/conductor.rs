//! The conductor, stepped by hand: what each key does in each phase, and that no sequence of keys breaks a class.

use crate::classes;

use std::sync::Arc;
use std::time::Duration;

use class::cue::{CueOutcome, GAP, SpeechLengths, SpeechSettings, UnsaidReason, opening_words};
use class::schedule::{
    Cue, CueKind, EventContent, SampleSubject, Schedule, ScheduleEvent, SpanPurpose, Tone, TransitionSample, compile,
};
use class::session::{BlockFormat, BlockStart, CallChoice, Session, SpeechLevel};
use class::time::Tick;
use classes::{any_session, block, session, station};
use journal::{Happening, TimedHappening};
use proptest::prelude::*;
use sound::SoundBus;
use stage::lead::{ClassOpening, ClassPhase, Conductor, LeadCommand, ScreenView};
use stage::runtime::{Clock, ClockTime, DisplayKind, StepEffect, StepInput, SteppedClock, UpcomingSounds};

/// How long a count-in without words takes, in milliseconds.
const COUNT_IN: u64 = Tick::of(stage::lead::COUNT_IN).0;

/// A class on a stepped clock, with a room that notes what it has to play.
struct Class {
    conductor: Conductor,
    clock: SteppedClock,
    /// The events still to sound, each with its time on the clock.
    queue: Vec<(u64, ScheduleEvent)>,
    heard: Vec<(u64, ScheduleEvent)>,
    /// The events that sounded already when the last part began, and continue.
    goes_on: Vec<ScheduleEvent>,
    happened: Vec<(Tick, Happening)>,
    left: bool,
    suspended: u32,
    /// Every volume that was asked for.
    volumes: Vec<(SoundBus, u8)>,
    /// The block whose music plays.
    music: Option<usize>,
}

impl Class {
    fn new(session: Arc<Session>, opening: ClassOpening) -> Class {
        let wall = "2026-01-10T18:10:00+00:00[UTC]".parse().unwrap();
        let mut clock = SteppedClock::new(wall);
        let conductor = Conductor::new(compile(session), opening, clock.read());
        Class {
            conductor,
            clock,
            queue: vec![],
            heard: vec![],
            goes_on: vec![],
            happened: vec![],
            left: false,
            suspended: 0,
            volumes: vec![],
            music: None,
        }
    }

    fn begun(session: Arc<Session>) -> Class {
        let mut class = Class::new(session, ClassOpening::default());
        class.press(LeadCommand::Go);
        class.wait(COUNT_IN);
        assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
        class
    }

    fn step(&mut self, inputs: &[StepInput<LeadCommand>]) -> Vec<StepEffect<TimedHappening>> {
        let reading = self.clock.read();
        let at = Tick::of(reading.at.0).0;
        self.sound_until(at);
        let effects = self.conductor.step(reading, inputs);
        for effect in &effects {
            match effect {
                StepEffect::Play(UpcomingSounds { from, after, events }) => {
                    self.goes_on = events.iter().filter(|event| event.at < *from).cloned().collect();
                    let heard = |event: &ScheduleEvent| self.heard.iter().any(|(_, heard)| heard.what == event.what);
                    assert!(self.goes_on.iter().all(heard), "only what was heard can continue");
                    let ahead = events.iter().filter(|event| event.at >= *from);
                    let when = |event: &ScheduleEvent| at + Tick::of(*after).0 + (event.at - *from).0;
                    self.queue = ahead.map(|event| (when(event), event.clone())).collect();
                }
                StepEffect::Hush => {
                    self.queue.clear();
                    self.music = None;
                }
                StepEffect::Volume(bus, percent) => self.volumes.push((*bus, *percent)),
                StepEffect::Music(block) => self.music = *block,
                StepEffect::Tell(told) => self.happened.push((told.at, told.what.clone())),
                StepEffect::Suspend => self.suspended += 1,
                StepEffect::End(_) => self.left = true,
                StepEffect::Over => {}
                StepEffect::Signal(_) => {}
            }
        }
        self.sound_until(at);
        effects
    }

    fn sound_until(&mut self, at: u64) {
        let due = self.queue.partition_point(|(when, _)| *when <= at);
        self.heard.extend(self.queue.drain(..due));
    }

    fn press(&mut self, press: LeadCommand) -> Vec<StepEffect<TimedHappening>> {
        self.step(&[StepInput::Press(press)])
    }

    fn wait(&mut self, ms: u64) -> Vec<StepEffect<TimedHappening>> {
        self.clock.step(Duration::from_millis(ms));
        self.step(&[])
    }

    fn phase(&self) -> ClassPhase {
        self.conductor.phase()
    }

    fn now(&self) -> Tick {
        self.conductor.now()
    }

    fn schedule(&self) -> &Schedule {
        self.conductor.schedule()
    }

    fn lost(&self) -> u64 {
        Tick::of(self.conductor.moment().lost).0
    }

    fn message(&self) -> Option<String> {
        self.conductor.moment().message.map(str::to_owned)
    }

    /// Waits until something changes by itself, again and again until the class is over; starts and resumes where
    /// needed.
    fn finish(&mut self) {
        for _ in 0..10_000 {
            match self.phase() {
                ClassPhase::Done => return,
                ClassPhase::Gate { .. } | ClassPhase::Paused { .. } | ClassPhase::Ready { .. } => {
                    // Long enough after any earlier press.
                    self.wait(2_000);
                    if self.conductor.moment().view == ScreenView::Quit {
                        self.press(LeadCommand::No);
                    }
                    self.press(LeadCommand::Go);
                }
                ClassPhase::Running | ClassPhase::CountIn { .. } => {
                    let wait = self.conductor.changes_in(DisplayKind::Lines).unwrap();
                    self.wait(Tick::of(wait).0);
                }
            }
        }
        panic!("the class does not end: {:?} at {:?} of {:?}", self.phase(), self.now(), self.schedule().total());
    }
}

/// Two blocks. A has two stations of 50 s, each with a rest of 10 s after it. Then a rest of 30 s. B waits for the
/// coach and has one station of 40 s. 50 + 10 + 50 + 30 + 40 = 180 s.
fn two_blocks() -> Arc<Session> {
    let with_rest = |id: &str| {
        let mut station = station(id, Tick::seconds(50));
        station.rest = Tick::seconds(10);
        station
    };
    let mut a = block(BlockFormat::Circuit, vec![with_rest("row"), with_rest("swing")]);
    a.rest_after = Tick::seconds(30);
    let mut b = block(BlockFormat::Circuit, vec![station("plank", Tick::seconds(40))]);
    b.start = BlockStart::OnKey;
    let mut session = Arc::unwrap_or_clone(session(vec![a, b]));
    session.slot = Some(Tick::seconds(200));
    session.emergency = Some("Boathouse, river side door".into());
    Arc::new(session)
}

fn lengths(schedule: &Schedule) -> Vec<u64> {
    schedule.spans.iter().map(|span| span.length().0).collect()
}

#[test]
fn the_plan_of_these_tests() {
    let plan = compile(two_blocks());
    assert_eq!(lengths(&plan), [50_000, 10_000, 50_000, 30_000, 40_000]);
    assert!(plan.spans[4].gate);
}

#[test]
fn the_class_begins_five_seconds_after_the_key_to_the_tick() {
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    class.wait(60_000);
    assert_eq!(class.phase(), ClassPhase::Ready { begins_in: None, waited: Duration::from_secs(60) });
    let effects = class.press(LeadCommand::Go);
    assert_eq!(class.phase(), ClassPhase::CountIn { left: Duration::from_secs(5) });
    let Some(StepEffect::Play(sounding)) = effects.last() else { panic!("no sound: {effects:?}") };
    assert_eq!((sounding.from, sounding.after), (Tick::ZERO, Duration::from_secs(5)));
    class.wait(4_999);
    assert_eq!((class.phase(), class.now()), (ClassPhase::CountIn { left: Duration::from_millis(1) }, Tick::ZERO));
    class.wait(1);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
    class.wait(1);
    assert_eq!(class.now(), Tick(1));
    assert_eq!(class.lost(), 0, "the count-in before the class loses no time");
}

#[test]
fn a_late_step_starts_the_class_on_time_all_the_same() {
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    class.press(LeadCommand::Go);
    class.wait(5_730);
    assert_eq!(class.now(), Tick(730));
}

#[test]
fn a_second_press_skips_the_count_in() {
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    class.press(LeadCommand::Go);
    class.wait(2_000);
    class.press(LeadCommand::Go);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
    class.wait(100);
    assert_eq!(class.now(), Tick(100));
}

#[test]
fn a_hold_costs_exactly_its_time() {
    let mut class = Class::begun(two_blocks());
    class.wait(12_345);
    class.press(LeadCommand::Go);
    assert_eq!(class.phase(), ClassPhase::Paused { lasted: Duration::ZERO, stopped: false });
    class.wait(7_000);
    assert_eq!(
        (class.phase(), class.now()),
        (ClassPhase::Paused { lasted: Duration::from_secs(7), stopped: false }, Tick(12_345))
    );
    assert_eq!(class.lost(), 7_000);
    class.press(LeadCommand::Go);
    assert_eq!(class.phase(), ClassPhase::CountIn { left: Duration::from_secs(5) });
    class.wait(5_100);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick(12_445)));
    assert_eq!(class.lost(), 12_000);
    assert_eq!(lengths(class.schedule()), [50_000, 10_000, 50_000, 30_000, 40_000]);
}

#[test]
fn nothing_sounds_in_a_hold_and_all_of_it_sounds_once() {
    let mut class = Class::begun(two_blocks());
    // Just before the ten-second call of the first station.
    class.wait(39_990);
    class.press(LeadCommand::Go);
    let heard = class.heard.len();
    class.wait(600_000);
    assert_eq!(class.heard.len(), heard);
    class.finish();
    let all: Vec<ScheduleEvent> = class.heard.iter().map(|(_, event)| event.clone()).collect();
    assert_eq!(all, class.schedule().events, "each event of the class, once and in order");
}

#[test]
fn a_block_on_a_key_waits_at_its_first_tick_and_the_wait_is_a_cost() {
    let mut class = Class::begun(two_blocks());
    class.wait(141_500);
    assert_eq!(
        (class.phase(), class.now()),
        (ClassPhase::Gate { waited: Duration::from_millis(1_500) }, Tick(140_000))
    );
    let start =
        |(_, event): &(u64, ScheduleEvent)| event.at == Tick(140_000) && event.what == EventContent::Tone(Tone::Start);
    assert!(!class.heard.iter().any(start), "the start of the waiting block does not sound");
    class.wait(8_500);
    class.press(LeadCommand::Go);
    assert_eq!((class.phase(), class.now(), class.lost()), (ClassPhase::Running, Tick(140_000), 10_000));
    assert_eq!(class.heard.iter().filter(|event| start(event)).count(), 1);
    class.wait(40_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Done, Tick(180_000)));
}

#[test]
fn the_coachs_start_starts_a_first_block_that_waits() {
    let mut b = block(BlockFormat::Circuit, vec![station("plank", Tick::seconds(40))]);
    b.start = BlockStart::OnKey;
    let mut class = Class::begun(session(vec![b.clone()]));
    class.wait(1_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick(1_000)));
    // A class begun by the clock waits for the coach.
    let opening = ClassOpening { begins: Some(ClockTime(Duration::from_secs(10))), ..ClassOpening::default() };
    let mut class = Class::new(session(vec![b.clone()]), opening.clone());
    class.wait(11_000);
    assert_eq!(class.phase(), ClassPhase::Gate { waited: Duration::from_secs(1) });
    // Unattended, the block begins by itself.
    let mut class = Class::new(session(vec![b]), ClassOpening { unattended: true, ..opening });
    class.wait(11_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick(1_000)));
}

#[test]
fn a_class_begins_at_the_time_given() {
    // 18:15 is five minutes after the wall clock of these tests.
    let opening = ClassOpening { begins: Some(ClockTime(Duration::from_secs(300))), ..ClassOpening::default() };
    let mut class = Class::new(two_blocks(), opening.clone());
    assert_eq!(class.conductor.moment().ends_at.as_deref(), Some("18:18"));
    class.wait(294_999);
    assert_eq!(
        class.phase(),
        ClassPhase::Ready { begins_in: Some(Duration::from_millis(5_001)), waited: Duration::from_millis(294_999) }
    );
    class.wait(1);
    assert_eq!(class.phase(), ClassPhase::CountIn { left: Duration::from_secs(5) });
    class.wait(5_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
    // The coach may begin earlier.
    let mut class = Class::new(two_blocks(), opening);
    class.press(LeadCommand::Go);
    class.wait(5_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
}

#[test]
fn next_ends_the_span_now() {
    let mut class = Class::begun(two_blocks());
    class.wait(20_000);
    class.press(LeadCommand::Next);
    assert_eq!(lengths(class.schedule()), [20_000, 10_000, 50_000, 30_000, 40_000]);
    assert_eq!(class.now(), Tick(20_000));
    let last = class.heard.last().unwrap();
    assert_eq!(
        (last.1.at, &last.1.what),
        (Tick(20_000), &EventContent::Tone(Tone::Rest)),
        "the start of the rest is heard"
    );
    // The calls of the first station that were still to come are never made.
    class.finish();
    assert!(!class.heard.iter().any(|(_, event)| event.span == 0 && event.at > Tick(20_000)));
}

#[test]
fn next_on_a_boundary_leaves_no_empty_span() {
    let mut class = Class::begun(two_blocks());
    class.wait(50_000);
    class.press(LeadCommand::Next);
    assert_eq!(lengths(class.schedule()), [50_000, 50_000, 30_000, 40_000], "the whole rest is left out");
}

#[test]
fn next_to_the_end_ends_the_class() {
    let mut class = Class::begun(two_blocks());
    for _ in 0..5 {
        class.wait(2_000);
        class.press(LeadCommand::Next);
    }
    // The last press opened the block that waited.
    class.wait(2_000);
    assert_eq!(class.phase(), ClassPhase::Running);
    class.press(LeadCommand::Next);
    assert_eq!(class.phase(), ClassPhase::Done);
    assert_eq!(class.now(), class.schedule().total());
    assert!(matches!(class.heard.last().unwrap().1.what, EventContent::Tone(Tone::ClassEnd)));
}

#[test]
fn back_goes_to_the_station_before_and_comes_again_by_here() {
    let mut class = Class::begun(two_blocks());
    class.wait(63_000);
    class.press(LeadCommand::Back);
    assert_eq!(
        lengths(class.schedule()),
        [50_000, 10_000, 3_000, 50_000, 10_000, 50_000, 30_000, 40_000],
        "row, rest, 3 s of swing; then the whole row, its rest, the whole swing, and so on"
    );
    assert_eq!(class.schedule().spans[3].start, Tick(63_000));
}

#[test]
fn back_again_goes_to_the_one_before_that() {
    let stations = ["row", "swing", "plank"].map(|id| station(id, Tick::seconds(40)));
    let mut class = Class::begun(session(vec![block(BlockFormat::Circuit, stations.to_vec())]));
    let doing = |class: &Class| {
        let schedule = class.schedule();
        schedule.station_of(&schedule.spans[schedule.span_at(class.now()).unwrap()]).unwrap().movement.id.clone()
    };
    class.wait(85_000);
    assert_eq!(doing(&class), "plank");
    class.press(LeadCommand::Back);
    assert_eq!(doing(&class), "swing");
    class.wait(1_000);
    class.press(LeadCommand::Back);
    assert_eq!(doing(&class), "swing", "too soon after the first");
    class.wait(1_000);
    class.press(LeadCommand::Back);
    assert_eq!(doing(&class), "row");
    // At the first station, back does the same as again.
    class.wait(5_000);
    class.press(LeadCommand::Back);
    assert_eq!((doing(&class), class.now()), ("row".to_owned(), Tick(92_000)));
    assert_eq!(lengths(class.schedule()), [40_000, 40_000, 5_000, 2_000, 5_000, 40_000, 40_000, 40_000]);
}

#[test]
fn again_starts_the_station_over() {
    let mut class = Class::begun(two_blocks());
    class.wait(30_000);
    class.press(LeadCommand::Again);
    assert_eq!(lengths(class.schedule()), [30_000, 50_000, 10_000, 50_000, 30_000, 40_000]);
    class.wait(52_000);
    class.press(LeadCommand::Again);
    assert_eq!(lengths(class.schedule()), [30_000, 50_000, 2_000, 10_000, 50_000, 30_000, 40_000], "a rest too");
}

#[test]
fn a_second_skip_counts_from_a_second_and_a_half_on() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(LeadCommand::Next);
    class.wait(1_499);
    class.press(LeadCommand::Next);
    assert_eq!(lengths(class.schedule())[..3], [10_000, 10_000, 50_000]);
    assert!(class.message().is_some());
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(LeadCommand::Next);
    class.wait(1_500);
    class.press(LeadCommand::Next);
    assert_eq!(lengths(class.schedule())[..3], [10_000, 1_500, 50_000]);
    // Another key counts, however soon.
    class.press(LeadCommand::Back);
    assert_eq!(class.schedule().spans.len(), 5 + 2, "row again, and the rest after it");
}

#[test]
fn a_key_held_down_is_one_press() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(LeadCommand::Go);
    // Repeats from a terminal that does not tell them from presses.
    class.wait(500);
    for _ in 0..200 {
        class.press(LeadCommand::Go);
        class.wait(33);
    }
    assert!(matches!(class.phase(), ClassPhase::Paused { .. }));
    class.wait(500);
    class.press(LeadCommand::Go);
    assert!(matches!(class.phase(), ClassPhase::CountIn { .. }));
}

#[test]
fn skips_in_a_hold_move_what_comes_and_stay_held() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(LeadCommand::Go);
    class.wait(3_000);
    class.press(LeadCommand::Next);
    assert!(matches!(class.phase(), ClassPhase::Paused { .. }));
    assert_eq!(class.now(), Tick(10_000));
    class.press(LeadCommand::Go);
    class.wait(5_000);
    assert_eq!(class.schedule().spans[class.schedule().span_at(class.now()).unwrap()].purpose, SpanPurpose::Rest);
}

#[test]
fn a_briefing_cut_short_needs_no_second_key() {
    let mut b = block(BlockFormat::Circuit, vec![station("plank", Tick::seconds(40))]);
    b.start = BlockStart::OnKey;
    b.briefing = Tick::seconds(60);
    let mut class = Class::begun(session(vec![b.clone()]));
    class.wait(20_000);
    class.press(LeadCommand::Next);
    assert_eq!((class.phase(), lengths(class.schedule())), (ClassPhase::Running, vec![20_000, 40_000]));
    class.wait(1_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick(21_000)));
    // A briefing that runs to its end waits.
    let mut class = Class::begun(session(vec![b]));
    class.wait(61_000);
    assert_eq!(class.phase(), ClassPhase::Gate { waited: Duration::from_secs(1) });
}

#[test]
fn stop_holds_silences_and_says_what_the_room_says() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(LeadCommand::Far);
    let effects = class.press(LeadCommand::Stop);
    assert!(effects.contains(&StepEffect::Hush));
    assert_eq!(class.phase(), ClassPhase::Paused { lasted: Duration::ZERO, stopped: true });
    assert_eq!(class.conductor.moment().view, ScreenView::Coach);
    // It works during a pause, while the question is open, and after the class.
    class.press(LeadCommand::Go);
    class.press(LeadCommand::Quit);
    class.press(LeadCommand::Stop);
    assert!(matches!(class.phase(), ClassPhase::Paused { stopped: true, .. }));
    class.wait(1_000);
    class.finish();
    class.press(LeadCommand::Stop);
    assert!(matches!(class.phase(), ClassPhase::Paused { stopped: true, .. }));
    class.wait(1_000);
    class.press(LeadCommand::Go);
    assert_eq!(class.phase(), ClassPhase::Done);
}

#[test]
fn muted_nothing_sounds_and_class_time_goes_on() {
    let mut class = Class::begun(two_blocks());
    class.wait(1_000);
    class.press(LeadCommand::Mute);
    let heard = class.heard.len();
    class.wait(60_000);
    assert_eq!((class.heard.len(), class.now()), (heard, Tick(61_000)));
    class.press(LeadCommand::Mute);
    class.wait(49_000);
    assert!(class.heard[heard..].iter().all(|(_, event)| event.at > Tick(61_000)));
    assert!(class.heard.len() > heard);
    let mut class = Class::new(two_blocks(), ClassOpening { muted: true, ..ClassOpening::default() });
    class.press(LeadCommand::Go);
    class.finish();
    assert!(class.heard.is_empty());
}

#[test]
fn volumes_go_in_steps_between_their_bounds_and_change_nothing_else() {
    let mut class = Class::begun(two_blocks());
    let ends = class.conductor.moment().schedule.total();
    for (bus, other) in [(SoundBus::Tones, SoundBus::Speech), (SoundBus::Speech, SoundBus::Tones)] {
        class.volumes.clear();
        (0..12).for_each(|_| drop(class.press(LeadCommand::Softer(bus))));
        let lowest = format!("Volume of {bus}: 10 % (minimum; m mutes)");
        assert_eq!(class.message().as_deref(), Some(lowest.as_str()), "one press too many does not silence");
        (0..12).for_each(|_| drop(class.press(LeadCommand::Louder(bus))));
        assert_eq!(class.message(), Some(format!("Volume of {bus}: 100 % (maximum)")));
        let asked: Vec<u8> = class.volumes.iter().map(|(_, percent)| *percent).collect();
        assert_eq!(asked, [90, 80, 70, 60, 50, 40, 30, 20, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100]);
        assert!(class.volumes.iter().all(|(asked, _)| *asked != other));
    }
    class.press(LeadCommand::Softer(SoundBus::Tones));
    assert_eq!(class.message().as_deref(), Some("Volume of tones: 90 %"));
    // Volumes are kept through pauses, mute and skips: nothing asks for another one.
    class.volumes.clear();
    class.press(LeadCommand::Go);
    class.press(LeadCommand::Mute);
    class.press(LeadCommand::Softer(SoundBus::Tones));
    assert_eq!(class.message().as_deref(), Some("Volume of tones: 80 %; muted (m unmutes)"));
    class.press(LeadCommand::Mute);
    class.wait(2_000);
    class.press(LeadCommand::Next);
    class.finish();
    assert_eq!(class.volumes, [(SoundBus::Tones, 80)]);
    assert!(class.schedule().total() <= ends);
}

#[test]
fn music_follows_the_block_that_runs_and_stands_while_class_time_does() {
    for plays_on in [false, true] {
        let mut session = Arc::unwrap_or_clone(two_blocks());
        session.music_in_pause = plays_on;
        let mut class = Class::new(Arc::new(session), ClassOpening::default());
        let music = |class: &mut Class, ms: u64, press: Option<LeadCommand>| {
            class.wait(ms);
            press.map(|press| class.press(press));
            class.music
        };
        let on = |block: usize| plays_on.then_some(block);
        assert_eq!(music(&mut class, 0, Some(LeadCommand::Go)), None, "not in the count-in before the class");
        assert_eq!(music(&mut class, COUNT_IN, None), Some(0));
        assert_eq!(music(&mut class, 10_000, Some(LeadCommand::Go)), on(0), "paused");
        assert_eq!(music(&mut class, 10_000, Some(LeadCommand::Go)), on(0), "counted in again");
        assert_eq!(music(&mut class, COUNT_IN, None), Some(0));
        assert_eq!(music(&mut class, 1_000, Some(LeadCommand::Mute)), None);
        assert_eq!(music(&mut class, 1_000, Some(LeadCommand::Next)), None, "muted through a skip");
        assert_eq!(music(&mut class, 1_000, Some(LeadCommand::Mute)), Some(0));
        assert_eq!(
            music(&mut class, 1_000, Some(LeadCommand::Stop)),
            None,
            "the stop key silences music at any setting"
        );
        assert_eq!(music(&mut class, 2_000, Some(LeadCommand::Go)), on(0));
        assert_eq!(music(&mut class, COUNT_IN, None), Some(0));
        class.wait(130_000);
        assert!(matches!(class.phase(), ClassPhase::Gate { .. }));
        assert_eq!(class.music, on(0), "while a block waits, the music before it plays on");
        assert_eq!(music(&mut class, 5_000, Some(LeadCommand::Go)), Some(1));
        assert_eq!(music(&mut class, 1_000, Some(LeadCommand::Suspend)), on(1));
        assert_eq!(music(&mut class, 2_000, Some(LeadCommand::Go)), on(1));
        assert_eq!(music(&mut class, 50_000, None), None, "the class is over");
    }
}

#[test]
fn the_voice_goes_up_and_down() {
    let mut class = Class::begun(two_blocks());
    let level = |class: &Class| class.conductor.moment().level;
    assert_eq!(level(&class), SpeechLevel::Changes);
    for expected in [SpeechLevel::Calls, SpeechLevel::Tones, SpeechLevel::Silent, SpeechLevel::Silent] {
        class.press(LeadCommand::Less);
        assert_eq!(level(&class), expected);
    }
    let heard = class.heard.len();
    class.wait(55_000);
    assert_eq!(class.heard.len(), heard);
    class.press(LeadCommand::More);
    class.wait(50_000);
    assert!(class.heard.len() > heard);
    assert!(class.heard[heard..].iter().all(|(_, event)| matches!(event.what, EventContent::Tone(_))), "only tones");
}

#[test]
fn quitting_is_asked_and_ctrl_c_asks_too() {
    for yes in [LeadCommand::Yes, LeadCommand::Quit, LeadCommand::Interrupt] {
        for ask in [LeadCommand::Quit, LeadCommand::Interrupt] {
            let mut class = Class::begun(two_blocks());
            class.press(LeadCommand::Far);
            class.press(ask);
            assert_eq!(class.conductor.moment().view, ScreenView::Quit);
            class.wait(3_000);
            assert_eq!(class.now(), Tick(3_000), "the class keeps running while the question is open");
            class.press(LeadCommand::No);
            assert_eq!((class.conductor.moment().view, class.left), (ScreenView::Far, false));
            class.press(ask);
            class.press(LeadCommand::Go);
            assert_eq!((class.conductor.moment().view, class.phase()), (ScreenView::Far, ClassPhase::Running));
            class.press(ask);
            class.press(yes);
            assert!(class.left);
        }
    }
    let mut class = Class::begun(two_blocks());
    class.finish();
    class.press(LeadCommand::Quit);
    assert!(class.left, "after the class there is no question");
}

#[test]
fn the_keys_are_shown_over_either_view() {
    let mut class = Class::begun(two_blocks());
    let view = |class: &Class| class.conductor.moment().view;
    class.press(LeadCommand::Help);
    assert_eq!(view(&class), ScreenView::Help);
    class.press(LeadCommand::Help);
    assert_eq!(view(&class), ScreenView::Coach);
    class.press(LeadCommand::Far);
    class.press(LeadCommand::Help);
    class.press(LeadCommand::Go);
    assert_eq!(
        (view(&class), class.phase()),
        (ScreenView::Help, ClassPhase::Paused { lasted: Duration::ZERO, stopped: false })
    );
    class.press(LeadCommand::No);
    assert_eq!(view(&class), ScreenView::Far);
    class.press(LeadCommand::Far);
    assert_eq!(view(&class), ScreenView::Coach);
}

#[test]
fn going_to_the_shell_holds_the_class() {
    let mut class = Class::begun(two_blocks());
    class.wait(4_000);
    let effects = class.press(LeadCommand::Suspend);
    assert!(effects.ends_with(&[StepEffect::Hush, StepEffect::Suspend]));
    assert_eq!(class.phase(), ClassPhase::Paused { lasted: Duration::ZERO, stopped: false });
    assert_eq!(class.now(), Tick(4_000));
}

#[test]
fn sleep_of_the_machine_is_a_hold_from_where_it_fell_asleep() {
    let mut class = Class::begun(two_blocks());
    class.wait(20_000);
    class.clock.sleep(Duration::from_secs(600));
    let heard = class.heard.clone();
    let reading = class.clock.read();
    let effects = class.conductor.step(reading, &[]);
    assert!(!effects.iter().any(|effect| matches!(effect, StepEffect::Play(_))), "nothing is played late: {effects:?}");
    assert_eq!(
        (class.phase(), class.now()),
        (ClassPhase::Paused { lasted: Duration::from_secs(600), stopped: false }, Tick(20_000))
    );
    assert_eq!(class.lost(), 600_000);
    assert!(class.message().unwrap().contains("10:00"));
    assert_eq!(class.heard, heard);
    // A class that was to begin by itself does not begin if the computer slept past the start.
    let mut class = Class::new(
        two_blocks(),
        ClassOpening { begins: Some(ClockTime(Duration::from_secs(300))), ..ClassOpening::default() },
    );
    class.wait(1_000);
    class.clock.sleep(Duration::from_secs(3_600));
    class.step(&[]);
    assert!(matches!(class.phase(), ClassPhase::Ready { begins_in: None, .. }));
}

#[test]
fn the_end_and_the_spare_follow_what_is_lost() {
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    let shown = |class: &Class| {
        let moment = class.conductor.moment();
        (moment.ends_at.unwrap_or_default(), moment.spare.unwrap().as_millis())
    };
    // 18:10:00, a count-in, and three minutes.
    assert_eq!(shown(&class), ("18:13".to_owned(), 20_000));
    class.press(LeadCommand::Go);
    class.wait(15_000);
    assert_eq!(shown(&class), ("18:13".to_owned(), 20_000));
    class.press(LeadCommand::Go);
    assert_eq!(shown(&class).1, 15_000, "the count-in of resuming is counted");
    class.wait(60_000);
    assert_eq!(shown(&class), ("18:14".to_owned(), -45_000));
    class.press(LeadCommand::Go);
    class.wait(6_000);
    assert_eq!(shown(&class).1, -45_000);
    class.press(LeadCommand::Next);
    assert_eq!(shown(&class).1, -45_000 + 39_000, "10 s and 1 s of 50 s were done");
}

#[test]
fn a_class_can_begin_anywhere() {
    let mut class = Class::new(two_blocks(), ClassOpening { from: Tick(60_000), ..ClassOpening::default() });
    class.press(LeadCommand::Go);
    class.wait(5_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick(60_000)));
    assert_eq!(class.heard.first().map(|(_, event)| event.at), Some(Tick(60_000)));
    assert!(class.happened.contains(&(Tick(60_000), Happening::Span(2))));
    class.finish();
    assert_eq!(class.now(), Tick(180_000));
}

/// The phase of a class, without its times.
fn kind(phase: ClassPhase) -> &'static str {
    match phase {
        ClassPhase::Ready { .. } => "ready",
        ClassPhase::CountIn { .. } => "count-in",
        ClassPhase::Running => "running",
        ClassPhase::Gate { .. } => "gate",
        ClassPhase::Paused { stopped: false, .. } => "held",
        ClassPhase::Paused { stopped: true, .. } => "stopped",
        ClassPhase::Done => "done",
    }
}

fn class_in(phase: &str) -> Class {
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    if phase != "ready" {
        class.press(LeadCommand::Go);
    }
    match phase {
        "ready" => {}
        "count-in" => {
            class.wait(1_000);
        }
        "running" => {
            class.wait(15_000);
        }
        "gate" => {
            class.wait(150_000);
        }
        "held" | "stopped" => {
            class.wait(15_000);
            class.press(if phase == "held" { LeadCommand::Go } else { LeadCommand::Stop });
            class.wait(1_000);
        }
        _ => {
            class.finish();
            // A press sooner than this was meant to pause.
            class.press(LeadCommand::Go);
            assert!(!class.left);
            class.wait(3_000);
        }
    }
    assert_eq!(kind(class.phase()), phase);
    class
}

#[test]
fn every_key_in_every_phase() {
    // One row for each key: the phase of the class after the key, for each phase before it.
    let phases = ["ready", "count-in", "running", "gate", "held", "stopped", "done"];
    #[rustfmt::skip]
    let table = [
        (LeadCommand::Go,        ["count-in", "running",  "held",    "running", "count-in", "count-in", "done"]),
        (LeadCommand::Next,      ["ready",    "count-in", "running", "running", "held",     "stopped",  "done"]),
        (LeadCommand::Back,      ["ready",    "count-in", "running", "running", "held",     "stopped",  "count-in"]),
        (LeadCommand::Again,     ["ready",    "count-in", "running", "gate",    "held",     "stopped",  "count-in"]),
        (LeadCommand::Stop,      ["stopped",  "stopped",  "stopped", "stopped", "stopped",  "stopped",  "stopped"]),
        (LeadCommand::Suspend,   ["ready",    "held",     "held",    "gate",    "held",     "stopped",  "done"]),
        (LeadCommand::Mute,      phases),
        (LeadCommand::Less,      phases),
        (LeadCommand::More,      phases),
        (LeadCommand::Softer(SoundBus::Tones), phases),
        (LeadCommand::Louder(SoundBus::Speech), phases),
        (LeadCommand::Far,       phases),
        (LeadCommand::Help,      phases),
        (LeadCommand::Quit,      phases),
        (LeadCommand::Interrupt, phases),
        (LeadCommand::Yes,       phases),
        (LeadCommand::No,        phases),
    ];
    for (press, after) in table {
        for (phase, after) in phases.into_iter().zip(after) {
            let mut class = class_in(phase);
            let plan = class.conductor.course().plan().clone();
            class.press(press);
            assert_eq!(kind(class.phase()), after, "{press:?} when {phase}");
            assert_eq!(
                class.left,
                phase == "done" && matches!(press, LeadCommand::Go | LeadCommand::Quit),
                "{press:?} {phase}"
            );
            assert_eq!(class.conductor.course().plan(), &plan);
        }
    }
}

/// Checks what must be true of any schedule that a class runs by.
fn sound(schedule: &Schedule) -> Result<(), TestCaseError> {
    let mut at = Tick::ZERO;
    for span in &schedule.spans {
        prop_assert_eq!(span.start, at);
        prop_assert!(span.end > span.start);
        prop_assert!(span.settle <= span.length());
        at = span.end;
    }
    prop_assert!(schedule.events.is_sorted_by_key(|event| event.at));
    for event in &schedule.events {
        prop_assert!(event.at <= at);
        prop_assert!(event.span < schedule.spans.len());
    }
    Ok(())
}

/// The past up to now, which must never change. Events have no span here, because indices change when a span is cut
/// away.
fn past(schedule: &Schedule, now: Tick) -> Vec<String> {
    let spans = schedule.spans.iter().filter(|span| span.start < now).map(|span| {
        let until = span.end.min(now);
        format!(
            "{:?}..{until:?} {} {} {} {:?} {:?}",
            span.start,
            span.purpose,
            span.block,
            span.round,
            span.activity,
            span.before(now).side
        )
    });
    let events =
        schedule.events.iter().filter(|event| event.at < now).map(|event| format!("{:?} {:?}", event.at, event.what));
    spans.chain(events).collect()
}

const ANY: [LeadCommand; 20] = [
    LeadCommand::Go,
    LeadCommand::Next,
    LeadCommand::Back,
    LeadCommand::Again,
    LeadCommand::Mute,
    LeadCommand::Less,
    LeadCommand::More,
    LeadCommand::NotNow,
    LeadCommand::SayAgain,
    LeadCommand::Softer(SoundBus::Speech),
    LeadCommand::Softer(SoundBus::Music),
    LeadCommand::Louder(SoundBus::Tones),
    LeadCommand::Stop,
    LeadCommand::Far,
    LeadCommand::Help,
    LeadCommand::Quit,
    LeadCommand::Yes,
    LeadCommand::No,
    LeadCommand::Interrupt,
    LeadCommand::Suspend,
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_keys_at_any_time_break_a_class(
        session in any_session(),
        keys in prop::collection::vec((0u64..40_000, prop::sample::select(ANY.to_vec())), 0..40),
    ) {
        let mut class = Class::new(session, ClassOpening::default());
        let mut before = Vec::new();
        let mut now = Tick::ZERO;
        for (ms, press) in keys {
            class.wait(ms);
            class.press(press);
            if class.left {
                return Ok(());
            }
            sound(class.schedule())?;
            prop_assert!(class.now() >= now, "class time never goes back");
            let after = past(class.schedule(), now);
            prop_assert_eq!(&before, &after, "the past changed");
            now = class.now();
            before = past(class.schedule(), now);
        }
        if class.conductor.moment().view == ScreenView::Quit {
            class.press(LeadCommand::No);
        }
        class.finish();
        prop_assert_eq!(class.now(), class.schedule().total());
        // Spans are told in order.
        let told: Vec<usize> = class.happened.iter().filter_map(|(_, what)| match what {
            Happening::Span(span) => Some(*span),
            _ => None,
        }).collect();
        prop_assert!(told.is_sorted());
    }

    #[test]
    fn what_sounds_is_what_is_told(
        session in any_session(),
        keys in prop::collection::vec(
            (0u64..60_000, prop::sample::select(vec![LeadCommand::Go, LeadCommand::Next, LeadCommand::Back, LeadCommand::Again, LeadCommand::Stop])),
            0..20,
        ),
    ) {
        let mut class = Class::new(session, ClassOpening::default());
        for (ms, press) in keys {
            class.wait(ms);
            class.press(press);
        }
        class.finish();
        // Every event that is told was heard, and no other event was heard.
        let told = class.happened.iter().filter(|(_, what)| matches!(what, Happening::Due(_))).count();
        prop_assert_eq!(told, class.heard.len());
    }

    #[test]
    fn a_class_without_keys_is_its_plan(session in any_session()) {
        let opening = ClassOpening { begins: Some(ClockTime(Duration::from_millis(COUNT_IN))), unattended: true, ..ClassOpening::default() };
        let mut class = Class::new(session, opening);
        class.step(&[]);
        class.finish();
        prop_assert_eq!(class.schedule(), class.conductor.course().plan());
        prop_assert_eq!(Tick::of(class.clock.read().at.0).0, COUNT_IN + class.schedule().total().0);
        prop_assert_eq!(class.lost(), 0);
        for (when, event) in &class.heard {
            prop_assert_eq!(*when, COUNT_IN + event.at.0);
        }
        let spans = class.happened.iter().filter(|(_, what)| matches!(what, Happening::Span(_))).count();
        prop_assert_eq!(spans, class.schedule().spans.len());
    }
}

/// The cues in a list of events, each with its time on the clock.
fn cues(events: &[(u64, ScheduleEvent)]) -> Vec<(u64, &Cue)> {
    events
        .iter()
        .filter_map(|(at, event)| match &event.what {
            EventContent::Cue(cue) => Some((*at, cue)),
            _ => None,
        })
        .collect()
}

/// A class led to 500 ms after the start of its first cue, which says what comes next.
fn within_the_first_cue() -> (Class, Cue) {
    let mut class = Class::begun(two_blocks());
    let first = class.schedule().events.iter().find_map(|event| match &event.what {
        EventContent::Cue(cue) => Some((event.at, cue.clone())),
        _ => None,
    });
    let (at, cue) = first.expect("a cue");
    assert_eq!(cue.kind, CueKind::Next);
    class.wait(at.0 + 500);
    assert_eq!(cues(&class.heard).len(), 1);
    (class, cue)
}

#[test]
fn saying_more_cuts_nothing_off_and_repeats_nothing() {
    let (mut class, cue) = within_the_first_cue();
    class.press(LeadCommand::More);
    assert!(class.goes_on.iter().any(|event| event.what == EventContent::Cue(cue.clone())), "the cue continues");
    let start = Tick::of(class.clock.read().at.0).0;
    class.wait(60_000);
    assert!(
        cues(&class.heard).iter().all(|(at, other)| *at < start || other.text != cue.text),
        "and the cue is not said twice"
    );
    // At the level of calls only, the current cue breaks off.
    let (mut class, _) = within_the_first_cue();
    class.press(LeadCommand::Less);
    assert!(class.goes_on.is_empty() && cues(&class.queue).is_empty());
}

#[test]
fn a_cue_that_a_hold_cuts_off_is_said_when_the_class_goes_on() {
    let (mut class, cue) = within_the_first_cue();
    class.press(LeadCommand::Go);
    class.wait(20_000);
    class.press(LeadCommand::Go);
    class.wait(COUNT_IN + 30_000);
    let said: Vec<&str> = cues(&class.heard).iter().map(|(_, cue)| cue.text.as_str()).collect();
    assert_eq!(said.iter().filter(|text| **text == cue.text).count(), 2, "{said:?}");
    // A stretch leaves the span as it is, so it cuts nothing off.
    let (mut class, cue) = within_the_first_cue();
    class.press(LeadCommand::Longer);
    assert!(class.goes_on.iter().any(|event| event.what == EventContent::Cue(cue.clone())));
}

#[test]
fn not_now_leaves_nothing_but_the_time_in_this_span() {
    let (mut class, cue) = within_the_first_cue();
    class.press(LeadCommand::NotNow);
    assert!(class.goes_on.is_empty(), "the current cue breaks off");
    let end = class.schedule().spans[0].end;
    let in_span = |class: &Class| cues(&class.queue).iter().filter(|(at, _)| *at < end.0 + COUNT_IN).count();
    assert_eq!(in_span(&class), 0);
    assert!(class.queue.iter().any(|(_, event)| matches!(event.what, EventContent::Call(_))), "the calls stay");
    assert!(!cues(&class.queue).is_empty(), "and later spans have their cues");
    let unsaid = class
        .conductor
        .moment()
        .cues
        .iter()
        .filter(|cue| cue.outcome == CueOutcome::LeftUnsaid(UnsaidReason::NotNow))
        .count();
    assert_eq!(unsaid, 0, "the span had only one cue, and this cue was being said");
    // Planning again for another reason keeps it so.
    class.press(LeadCommand::Longer);
    assert_eq!(in_span(&class), 0);
    assert!(cues(&class.queue).iter().all(|(_, other)| other.text != cue.text));
    // If nothing is being said, there is nothing to drop.
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    class.press(LeadCommand::NotNow);
    assert_eq!(class.message().as_deref(), Some("Nothing is being said just now"));
}

#[test]
fn what_must_be_known_is_said_again_where_there_is_room() {
    let (mut class, cue) = within_the_first_cue();
    class.wait(cue.length.0);
    class.press(LeadCommand::SayAgain);
    let again = class.schedule().events.iter().filter(|event| event.what == EventContent::Cue(cue.clone())).count();
    assert_eq!(again, 2);
    class.wait(20_000);
    let said: Vec<u64> =
        cues(&class.heard).iter().filter(|(_, other)| other.text == cue.text).map(|(at, _)| *at).collect();
    assert_eq!(said.len(), 2);
    // The repeat keeps its distance from all other sounds.
    let begins = said[1];
    for (at, event) in
        class.heard.iter().filter(|(at, event)| *at > begins && !matches!(event.what, EventContent::Cue(_)))
    {
        assert!(*at >= begins + cue.length.0 + GAP.0, "{event:?}");
    }
    // Before the class, only the opening words can be repeated.
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    class.press(LeadCommand::SayAgain);
    assert!(class.message().is_some_and(|line| line.starts_with("First, row")));
    assert_eq!(class.queue.len() + class.heard.len(), 1);
}

#[test]
fn the_opening_words_are_over_before_the_pips() {
    let session = two_blocks();
    let text = opening_words(&compile(Arc::clone(&session))).expect("the class begins with work");
    let mut lengths = SpeechLengths::default();
    lengths.learn([(text.clone(), Duration::from_millis(2_345))]);
    let voicing = SpeechSettings { lengths, ..SpeechSettings::default() };
    // On the coach's key: the count-in is long enough for the opening words.
    let mut class =
        Class::new(Arc::clone(&session), ClassOpening { voicing: voicing.clone(), ..ClassOpening::default() });
    class.press(LeadCommand::Go);
    assert_eq!(class.phase(), ClassPhase::CountIn { left: Duration::from_secs(7) });
    assert_eq!(cues(&class.heard).iter().map(|(_, cue)| cue.text.as_str()).collect::<Vec<_>>(), [text.as_str()]);
    let Some(ms) = class.conductor.changes_in(DisplayKind::Lines).map(|wait| Tick::of(wait).0) else {
        panic!("the pips")
    };
    let Some(StepEffect::Play(pips)) = class.wait(ms).into_iter().next() else { panic!("the pips") };
    let after = Tick::of(pips.after).0;
    assert!(after >= 3_000 && ms >= 2_345 + GAP.0, "{ms} {after}");
    class.wait(after);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
    // At a given time: the opening words come earlier, and the class begins at that time.
    let opening = ClassOpening { begins: Some(ClockTime(Duration::from_secs(60))), voicing, ..ClassOpening::default() };
    let mut class = Class::new(Arc::clone(&session), opening);
    class.wait(52_999);
    assert!(matches!(class.phase(), ClassPhase::Ready { .. }));
    class.wait(1);
    assert_eq!(cues(&class.heard).len(), 1);
    class.wait(7_000);
    assert_eq!((class.phase(), class.now()), (ClassPhase::Running, Tick::ZERO));
    // The class does not wait for speech that is not ready.
    let mut class = Class::new(session, ClassOpening::default());
    class.press(LeadCommand::Go);
    assert_eq!(class.phase(), ClassPhase::CountIn { left: Duration::from_millis(COUNT_IN) });
}

#[test]
fn before_the_class_the_plan_follows_the_voice() {
    let mut class = Class::new(two_blocks(), ClassOpening::default());
    let of = |class: &Class| {
        cues(&class.schedule().events.iter().map(|e| (e.at.0, e.clone())).collect::<Vec<_>>())
            .iter()
            .map(|(_, cue)| (cue.text.clone(), cue.length))
            .collect::<Vec<_>>()
    };
    let (text, planned) = of(&class)[0].clone();
    let lengths = || vec![(text.clone(), Duration::from_millis(planned.0 + 1_000))];
    class.step(&[StepInput::Lengths(lengths())]);
    assert_eq!(of(&class)[0], (text.clone(), planned + Tick(1_000)));
    // During the class, lengths count from the next planning on.
    let mut class = Class::begun(two_blocks());
    class.step(&[StepInput::Lengths(lengths())]);
    assert_eq!(of(&class)[0], (text.clone(), planned));
    class.press(LeadCommand::More);
    class.press(LeadCommand::Less);
    assert_eq!(of(&class)[0], (text, planned + Tick(1_000)));
}

#[test]
fn the_next_change_is_the_next_second_or_the_next_event() {
    let mut class = Class::begun(two_blocks());
    assert_eq!(class.conductor.changes_in(DisplayKind::Screen), Some(Duration::from_secs(1)));
    class.wait(300);
    assert_eq!(class.conductor.changes_in(DisplayKind::Screen), Some(Duration::from_millis(700)));
    // The first call: halfway through 50 s.
    assert!(class.schedule().session.blocks[0].calls.contains(&CallChoice::Halfway));
    assert_eq!(class.conductor.changes_in(DisplayKind::Lines), Some(Duration::from_millis(24_700)));
    class.press(LeadCommand::Go);
    assert_eq!(class.conductor.changes_in(DisplayKind::Lines), None);
    assert_eq!(class.conductor.changes_in(DisplayKind::Screen), Some(Duration::from_secs(1)));
}

/// Two stations with a bell between them: it goes up, then down again.
fn bells() -> Arc<Session> {
    let text = r#"(title: "Bells", blocks: [(name: "A", work: "20s", rest: "15s", stations: [
        "march-tall", "bell-deadlift", "march-tall", "arm-sweeps",
    ])])"#;
    let session = class::session::read(text, class::movement::Catalogue::built_in()).session;
    Arc::new(session.expect("a session without faults"))
}

#[test]
fn a_change_is_measured_once_and_never_over_a_hold() {
    let mut class = Class::begun(bells());
    let said = |class: &Class| match class.happened.last() {
        Some((_, Happening::Said(line))) => line.clone(),
        other => panic!("nothing said: {other:?}"),
    };
    class.wait(5_000);
    class.press(LeadCommand::AllReady);
    assert_eq!(said(&class), "No changeover to time here");
    // A pause in the work before it does not matter.
    class.press(LeadCommand::Go);
    class.wait(1_000);
    class.press(LeadCommand::Go);
    class.wait(COUNT_IN);
    let work = class.conductor.schedule().spans.iter().filter(|span| span.purpose == SpanPurpose::Work);
    let ends: Vec<u64> = work.map(|span| span.end.0).collect();
    class.wait(ends[0] + 6_400 - class.now().0);
    class.press(LeadCommand::AllReady);
    assert_eq!(said(&class), "Ready after 6.4 s: recorded for planning");
    class.wait(1_000);
    class.press(LeadCommand::AllReady);
    assert_eq!(said(&class), "This changeover is already recorded");
    // A pause after the work before it prevents the measurement.
    class.wait(ends[1] + 2_000 - class.now().0);
    class.press(LeadCommand::Go);
    class.wait(10_000);
    class.press(LeadCommand::Go);
    class.wait(COUNT_IN);
    class.press(LeadCommand::AllReady);
    assert_eq!(said(&class), "You paused here, so this changeover was not timed");
    // Only the movement changes here.
    class.wait(ends[2] + 3_000 - class.now().0);
    class.press(LeadCommand::AllReady);
    assert_eq!(said(&class), "No changeover to time here");
    let kind = "kit_up".parse().unwrap();
    assert_eq!(class.conductor.samples(), [TransitionSample { kind, took: Tick(6_400), who: SampleSubject::Group }]);
}
