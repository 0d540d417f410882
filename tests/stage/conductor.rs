//! The conductor, stepped by hand: what each key does in each phase, and that no sequence of keys breaks a class.

use crate::classes;

use std::sync::Arc;

use class::cue::{Fate, GAP, Lengths, Reason, Voicing, opening_words};
use class::schedule::{Cue, CueKind, Event, Purpose, Sample, Schedule, Tone, What, Who, compile};
use class::session::{CallWord, Format, Level, Session, Start};
use class::time::Tick;
use classes::{any_session, block, session, station};
use journal::{Happening, Told};
use proptest::prelude::*;
use sound::Bus;
use stage::lead::{COUNT_IN, Conductor, Opening, Phase, Press, View};
use stage::runtime::{Clock, ClockTime, Effect, Input, Sounding, SteppedClock, Watcher};

/// A class on a stepped clock, with a room that notes what it has to play.
struct Class {
    conductor: Conductor,
    clock: SteppedClock,
    /// The events still to sound, each with its time on the clock.
    queue: Vec<(u64, Event)>,
    heard: Vec<(u64, Event)>,
    /// The events that sounded already when the last part began, and continue.
    goes_on: Vec<Event>,
    happened: Vec<(Tick, Happening)>,
    left: bool,
    suspended: u32,
    /// Every volume that was asked for.
    volumes: Vec<(Bus, u8)>,
    /// The block whose music plays.
    music: Option<usize>,
}

impl Class {
    fn new(session: Arc<Session>, opening: Opening) -> Class {
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
        let mut class = Class::new(session, Opening::default());
        class.press(Press::Go);
        class.wait(COUNT_IN);
        assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
        class
    }

    fn step(&mut self, inputs: &[Input<Press>]) -> Vec<Effect<Told>> {
        let reading = self.clock.read();
        let at = reading.at.0;
        self.sound_until(at);
        let effects = self.conductor.step(reading, inputs);
        for effect in &effects {
            match effect {
                Effect::Play(Sounding { from, after_ms, events }) => {
                    self.goes_on = events.iter().filter(|event| event.at < *from).cloned().collect();
                    let heard = |event: &Event| self.heard.iter().any(|(_, heard)| heard.what == event.what);
                    assert!(self.goes_on.iter().all(heard), "only what was heard can continue");
                    let ahead = events.iter().filter(|event| event.at >= *from);
                    let when = |event: &Event| at + after_ms + (event.at - *from).0;
                    self.queue = ahead.map(|event| (when(event), event.clone())).collect();
                }
                Effect::Hush => {
                    self.queue.clear();
                    self.music = None;
                }
                Effect::Volume(bus, percent) => self.volumes.push((*bus, *percent)),
                Effect::Music(block) => self.music = *block,
                Effect::Tell(told) => self.happened.push((told.at, told.what.clone())),
                Effect::Suspend => self.suspended += 1,
                Effect::End(_) => self.left = true,
                Effect::Over => {}
                Effect::Signal(_) => {}
            }
        }
        self.sound_until(at);
        effects
    }

    fn sound_until(&mut self, at: u64) {
        let due = self.queue.partition_point(|(when, _)| *when <= at);
        self.heard.extend(self.queue.drain(..due));
    }

    fn press(&mut self, press: Press) -> Vec<Effect<Told>> {
        self.step(&[Input::Press(press)])
    }

    fn wait(&mut self, ms: u64) -> Vec<Effect<Told>> {
        self.clock.step(ms);
        self.step(&[])
    }

    fn phase(&self) -> Phase {
        self.conductor.phase()
    }

    fn now(&self) -> Tick {
        self.conductor.now()
    }

    fn schedule(&self) -> &Schedule {
        self.conductor.schedule()
    }

    fn lost(&self) -> u64 {
        self.conductor.moment().lost_ms
    }

    fn message(&self) -> Option<String> {
        self.conductor.moment().message.map(str::to_owned)
    }

    /// Waits until something changes by itself, again and again until the class is over; starts and resumes where
    /// needed.
    fn finish(&mut self) {
        for _ in 0..10_000 {
            match self.phase() {
                Phase::Done => return,
                Phase::Gate { .. } | Phase::Held { .. } | Phase::Ready { .. } => {
                    // Long enough after any earlier press.
                    self.wait(2_000);
                    if self.conductor.moment().view == View::Quit {
                        self.press(Press::No);
                    }
                    self.press(Press::Go);
                }
                Phase::Running | Phase::CountIn { .. } => {
                    let ms = self.conductor.changes_in(Watcher::Lines).unwrap();
                    self.wait(ms);
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
    let mut a = block(Format::Circuit, vec![with_rest("row"), with_rest("swing")]);
    a.rest_after = Tick::seconds(30);
    let mut b = block(Format::Circuit, vec![station("plank", Tick::seconds(40))]);
    b.start = Start::OnKey;
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
    let mut class = Class::new(two_blocks(), Opening::default());
    class.wait(60_000);
    assert_eq!(class.phase(), Phase::Ready { begins_in_ms: None, waited_ms: 60_000 });
    let effects = class.press(Press::Go);
    assert_eq!(class.phase(), Phase::CountIn { left_ms: 5_000 });
    let Some(Effect::Play(sounding)) = effects.last() else { panic!("no sound: {effects:?}") };
    assert_eq!((sounding.from, sounding.after_ms), (Tick::ZERO, 5_000));
    class.wait(4_999);
    assert_eq!((class.phase(), class.now()), (Phase::CountIn { left_ms: 1 }, Tick::ZERO));
    class.wait(1);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
    class.wait(1);
    assert_eq!(class.now(), Tick(1));
    assert_eq!(class.lost(), 0, "the count-in before the class loses no time");
}

#[test]
fn a_late_step_starts_the_class_on_time_all_the_same() {
    let mut class = Class::new(two_blocks(), Opening::default());
    class.press(Press::Go);
    class.wait(5_730);
    assert_eq!(class.now(), Tick(730));
}

#[test]
fn a_second_press_skips_the_count_in() {
    let mut class = Class::new(two_blocks(), Opening::default());
    class.press(Press::Go);
    class.wait(2_000);
    class.press(Press::Go);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
    class.wait(100);
    assert_eq!(class.now(), Tick(100));
}

#[test]
fn a_hold_costs_exactly_its_time() {
    let mut class = Class::begun(two_blocks());
    class.wait(12_345);
    class.press(Press::Go);
    assert_eq!(class.phase(), Phase::Held { for_ms: 0, stopped: false });
    class.wait(7_000);
    assert_eq!((class.phase(), class.now()), (Phase::Held { for_ms: 7_000, stopped: false }, Tick(12_345)));
    assert_eq!(class.lost(), 7_000);
    class.press(Press::Go);
    assert_eq!(class.phase(), Phase::CountIn { left_ms: 5_000 });
    class.wait(5_100);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick(12_445)));
    assert_eq!(class.lost(), 12_000);
    assert_eq!(lengths(class.schedule()), [50_000, 10_000, 50_000, 30_000, 40_000]);
}

#[test]
fn nothing_sounds_in_a_hold_and_all_of_it_sounds_once() {
    let mut class = Class::begun(two_blocks());
    // Just before the ten-second call of the first station.
    class.wait(39_990);
    class.press(Press::Go);
    let heard = class.heard.len();
    class.wait(600_000);
    assert_eq!(class.heard.len(), heard);
    class.finish();
    let all: Vec<Event> = class.heard.iter().map(|(_, event)| event.clone()).collect();
    assert_eq!(all, class.schedule().events, "each event of the class, once and in order");
}

#[test]
fn a_block_on_a_key_waits_at_its_first_tick_and_the_wait_is_a_cost() {
    let mut class = Class::begun(two_blocks());
    class.wait(141_500);
    assert_eq!((class.phase(), class.now()), (Phase::Gate { waited_ms: 1_500 }, Tick(140_000)));
    let start = |(_, event): &(u64, Event)| event.at == Tick(140_000) && event.what == What::Tone(Tone::Start);
    assert!(!class.heard.iter().any(start), "the start of the waiting block does not sound");
    class.wait(8_500);
    class.press(Press::Go);
    assert_eq!((class.phase(), class.now(), class.lost()), (Phase::Running, Tick(140_000), 10_000));
    assert_eq!(class.heard.iter().filter(|event| start(event)).count(), 1);
    class.wait(40_000);
    assert_eq!((class.phase(), class.now()), (Phase::Done, Tick(180_000)));
}

#[test]
fn the_coachs_start_starts_a_first_block_that_waits() {
    let mut b = block(Format::Circuit, vec![station("plank", Tick::seconds(40))]);
    b.start = Start::OnKey;
    let mut class = Class::begun(session(vec![b.clone()]));
    class.wait(1_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick(1_000)));
    // A class begun by the clock waits for the coach.
    let opening = Opening { begins: Some(ClockTime(10_000)), ..Opening::default() };
    let mut class = Class::new(session(vec![b.clone()]), opening.clone());
    class.wait(11_000);
    assert_eq!(class.phase(), Phase::Gate { waited_ms: 1_000 });
    // Unattended, the block begins by itself.
    let mut class = Class::new(session(vec![b]), Opening { unattended: true, ..opening });
    class.wait(11_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick(1_000)));
}

#[test]
fn a_class_begins_at_the_time_given() {
    // 18:15 is five minutes after the wall clock of these tests.
    let opening = Opening { begins: Some(ClockTime(300_000)), ..Opening::default() };
    let mut class = Class::new(two_blocks(), opening.clone());
    assert_eq!(class.conductor.moment().ends_at.as_deref(), Some("18:18"));
    class.wait(294_999);
    assert_eq!(class.phase(), Phase::Ready { begins_in_ms: Some(5_001), waited_ms: 294_999 });
    class.wait(1);
    assert_eq!(class.phase(), Phase::CountIn { left_ms: 5_000 });
    class.wait(5_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
    // The coach may begin earlier.
    let mut class = Class::new(two_blocks(), opening);
    class.press(Press::Go);
    class.wait(5_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
}

#[test]
fn next_ends_the_span_now() {
    let mut class = Class::begun(two_blocks());
    class.wait(20_000);
    class.press(Press::Next);
    assert_eq!(lengths(class.schedule()), [20_000, 10_000, 50_000, 30_000, 40_000]);
    assert_eq!(class.now(), Tick(20_000));
    let last = class.heard.last().unwrap();
    assert_eq!((last.1.at, &last.1.what), (Tick(20_000), &What::Tone(Tone::Rest)), "the start of the rest is heard");
    // The calls of the first station that were still to come are never made.
    class.finish();
    assert!(!class.heard.iter().any(|(_, event)| event.span == 0 && event.at > Tick(20_000)));
}

#[test]
fn next_on_a_boundary_leaves_no_empty_span() {
    let mut class = Class::begun(two_blocks());
    class.wait(50_000);
    class.press(Press::Next);
    assert_eq!(lengths(class.schedule()), [50_000, 50_000, 30_000, 40_000], "the whole rest is left out");
}

#[test]
fn next_to_the_end_ends_the_class() {
    let mut class = Class::begun(two_blocks());
    for _ in 0..5 {
        class.wait(2_000);
        class.press(Press::Next);
    }
    // The last press opened the block that waited.
    class.wait(2_000);
    assert_eq!(class.phase(), Phase::Running);
    class.press(Press::Next);
    assert_eq!(class.phase(), Phase::Done);
    assert_eq!(class.now(), class.schedule().total());
    assert!(matches!(class.heard.last().unwrap().1.what, What::Tone(Tone::ClassEnd)));
}

#[test]
fn back_goes_to_the_station_before_and_comes_again_by_here() {
    let mut class = Class::begun(two_blocks());
    class.wait(63_000);
    class.press(Press::Back);
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
    let mut class = Class::begun(session(vec![block(Format::Circuit, stations.to_vec())]));
    let doing = |class: &Class| {
        let schedule = class.schedule();
        schedule.station_of(&schedule.spans[schedule.span_at(class.now()).unwrap()]).unwrap().movement.id.clone()
    };
    class.wait(85_000);
    assert_eq!(doing(&class), "plank");
    class.press(Press::Back);
    assert_eq!(doing(&class), "swing");
    class.wait(1_000);
    class.press(Press::Back);
    assert_eq!(doing(&class), "swing", "too soon after the first");
    class.wait(1_000);
    class.press(Press::Back);
    assert_eq!(doing(&class), "row");
    // At the first station, back does the same as again.
    class.wait(5_000);
    class.press(Press::Back);
    assert_eq!((doing(&class), class.now()), ("row".to_owned(), Tick(92_000)));
    assert_eq!(lengths(class.schedule()), [40_000, 40_000, 5_000, 2_000, 5_000, 40_000, 40_000, 40_000]);
}

#[test]
fn again_starts_the_station_over() {
    let mut class = Class::begun(two_blocks());
    class.wait(30_000);
    class.press(Press::Again);
    assert_eq!(lengths(class.schedule()), [30_000, 50_000, 10_000, 50_000, 30_000, 40_000]);
    class.wait(52_000);
    class.press(Press::Again);
    assert_eq!(lengths(class.schedule()), [30_000, 50_000, 2_000, 10_000, 50_000, 30_000, 40_000], "a rest too");
}

#[test]
fn a_second_skip_counts_from_a_second_and_a_half_on() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(Press::Next);
    class.wait(1_499);
    class.press(Press::Next);
    assert_eq!(lengths(class.schedule())[..3], [10_000, 10_000, 50_000]);
    assert!(class.message().is_some());
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(Press::Next);
    class.wait(1_500);
    class.press(Press::Next);
    assert_eq!(lengths(class.schedule())[..3], [10_000, 1_500, 50_000]);
    // Another key counts, however soon.
    class.press(Press::Back);
    assert_eq!(class.schedule().spans.len(), 5 + 2, "row again, and the rest after it");
}

#[test]
fn a_key_held_down_is_one_press() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(Press::Go);
    // Repeats from a terminal that does not tell them from presses.
    class.wait(500);
    for _ in 0..200 {
        class.press(Press::Go);
        class.wait(33);
    }
    assert!(matches!(class.phase(), Phase::Held { .. }));
    class.wait(500);
    class.press(Press::Go);
    assert!(matches!(class.phase(), Phase::CountIn { .. }));
}

#[test]
fn skips_in_a_hold_move_what_comes_and_stay_held() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(Press::Go);
    class.wait(3_000);
    class.press(Press::Next);
    assert!(matches!(class.phase(), Phase::Held { .. }));
    assert_eq!(class.now(), Tick(10_000));
    class.press(Press::Go);
    class.wait(5_000);
    assert_eq!(class.schedule().spans[class.schedule().span_at(class.now()).unwrap()].purpose, Purpose::Rest);
}

#[test]
fn a_briefing_cut_short_needs_no_second_key() {
    let mut b = block(Format::Circuit, vec![station("plank", Tick::seconds(40))]);
    b.start = Start::OnKey;
    b.briefing = Tick::seconds(60);
    let mut class = Class::begun(session(vec![b.clone()]));
    class.wait(20_000);
    class.press(Press::Next);
    assert_eq!((class.phase(), lengths(class.schedule())), (Phase::Running, vec![20_000, 40_000]));
    class.wait(1_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick(21_000)));
    // A briefing that runs to its end waits.
    let mut class = Class::begun(session(vec![b]));
    class.wait(61_000);
    assert_eq!(class.phase(), Phase::Gate { waited_ms: 1_000 });
}

#[test]
fn stop_holds_silences_and_says_what_the_room_says() {
    let mut class = Class::begun(two_blocks());
    class.wait(10_000);
    class.press(Press::Far);
    let effects = class.press(Press::Stop);
    assert!(effects.contains(&Effect::Hush));
    assert_eq!(class.phase(), Phase::Held { for_ms: 0, stopped: true });
    assert_eq!(class.conductor.moment().view, View::Coach);
    // It works during a pause, while the question is open, and after the class.
    class.press(Press::Go);
    class.press(Press::Quit);
    class.press(Press::Stop);
    assert!(matches!(class.phase(), Phase::Held { stopped: true, .. }));
    class.wait(1_000);
    class.finish();
    class.press(Press::Stop);
    assert!(matches!(class.phase(), Phase::Held { stopped: true, .. }));
    class.wait(1_000);
    class.press(Press::Go);
    assert_eq!(class.phase(), Phase::Done);
}

#[test]
fn muted_nothing_sounds_and_class_time_goes_on() {
    let mut class = Class::begun(two_blocks());
    class.wait(1_000);
    class.press(Press::Mute);
    let heard = class.heard.len();
    class.wait(60_000);
    assert_eq!((class.heard.len(), class.now()), (heard, Tick(61_000)));
    class.press(Press::Mute);
    class.wait(49_000);
    assert!(class.heard[heard..].iter().all(|(_, event)| event.at > Tick(61_000)));
    assert!(class.heard.len() > heard);
    let mut class = Class::new(two_blocks(), Opening { muted: true, ..Opening::default() });
    class.press(Press::Go);
    class.finish();
    assert!(class.heard.is_empty());
}

#[test]
fn volumes_go_in_steps_between_their_bounds_and_change_nothing_else() {
    let mut class = Class::begun(two_blocks());
    let ends = class.conductor.moment().schedule.total();
    for (bus, other) in [(Bus::Tones, Bus::Speech), (Bus::Speech, Bus::Tones)] {
        class.volumes.clear();
        (0..12).for_each(|_| drop(class.press(Press::Softer(bus))));
        let lowest = format!("Volume of {bus}: 10 % (minimum; m mutes)");
        assert_eq!(class.message().as_deref(), Some(lowest.as_str()), "one press too many does not silence");
        (0..12).for_each(|_| drop(class.press(Press::Louder(bus))));
        assert_eq!(class.message(), Some(format!("Volume of {bus}: 100 % (maximum)")));
        let asked: Vec<u8> = class.volumes.iter().map(|(_, percent)| *percent).collect();
        assert_eq!(asked, [90, 80, 70, 60, 50, 40, 30, 20, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100]);
        assert!(class.volumes.iter().all(|(asked, _)| *asked != other));
    }
    class.press(Press::Softer(Bus::Tones));
    assert_eq!(class.message().as_deref(), Some("Volume of tones: 90 %"));
    // Volumes are kept through pauses, mute and skips: nothing asks for another one.
    class.volumes.clear();
    class.press(Press::Go);
    class.press(Press::Mute);
    class.press(Press::Softer(Bus::Tones));
    assert_eq!(class.message().as_deref(), Some("Volume of tones: 80 %; muted (m unmutes)"));
    class.press(Press::Mute);
    class.wait(2_000);
    class.press(Press::Next);
    class.finish();
    assert_eq!(class.volumes, [(Bus::Tones, 80)]);
    assert!(class.schedule().total() <= ends);
}

#[test]
fn music_follows_the_block_that_runs_and_stands_while_class_time_does() {
    for plays_on in [false, true] {
        let mut session = Arc::unwrap_or_clone(two_blocks());
        session.music_in_hold = plays_on;
        let mut class = Class::new(Arc::new(session), Opening::default());
        let music = |class: &mut Class, ms: u64, press: Option<Press>| {
            class.wait(ms);
            press.map(|press| class.press(press));
            class.music
        };
        let on = |block: usize| plays_on.then_some(block);
        assert_eq!(music(&mut class, 0, Some(Press::Go)), None, "not in the count-in before the class");
        assert_eq!(music(&mut class, COUNT_IN, None), Some(0));
        assert_eq!(music(&mut class, 10_000, Some(Press::Go)), on(0), "paused");
        assert_eq!(music(&mut class, 10_000, Some(Press::Go)), on(0), "counted in again");
        assert_eq!(music(&mut class, COUNT_IN, None), Some(0));
        assert_eq!(music(&mut class, 1_000, Some(Press::Mute)), None);
        assert_eq!(music(&mut class, 1_000, Some(Press::Next)), None, "muted through a skip");
        assert_eq!(music(&mut class, 1_000, Some(Press::Mute)), Some(0));
        assert_eq!(music(&mut class, 1_000, Some(Press::Stop)), None, "the stop key silences music at any setting");
        assert_eq!(music(&mut class, 2_000, Some(Press::Go)), on(0));
        assert_eq!(music(&mut class, COUNT_IN, None), Some(0));
        class.wait(130_000);
        assert!(matches!(class.phase(), Phase::Gate { .. }));
        assert_eq!(class.music, on(0), "while a block waits, the music before it plays on");
        assert_eq!(music(&mut class, 5_000, Some(Press::Go)), Some(1));
        assert_eq!(music(&mut class, 1_000, Some(Press::Suspend)), on(1));
        assert_eq!(music(&mut class, 2_000, Some(Press::Go)), on(1));
        assert_eq!(music(&mut class, 50_000, None), None, "the class is over");
    }
}

#[test]
fn the_voice_goes_up_and_down() {
    let mut class = Class::begun(two_blocks());
    let level = |class: &Class| class.conductor.moment().level;
    assert_eq!(level(&class), Level::Changes);
    for expected in [Level::Calls, Level::Tones, Level::Silent, Level::Silent] {
        class.press(Press::Less);
        assert_eq!(level(&class), expected);
    }
    let heard = class.heard.len();
    class.wait(55_000);
    assert_eq!(class.heard.len(), heard);
    class.press(Press::More);
    class.wait(50_000);
    assert!(class.heard.len() > heard);
    assert!(class.heard[heard..].iter().all(|(_, event)| matches!(event.what, What::Tone(_))), "only tones");
}

#[test]
fn quitting_is_asked_and_ctrl_c_asks_too() {
    for yes in [Press::Yes, Press::Quit, Press::Interrupt] {
        for ask in [Press::Quit, Press::Interrupt] {
            let mut class = Class::begun(two_blocks());
            class.press(Press::Far);
            class.press(ask);
            assert_eq!(class.conductor.moment().view, View::Quit);
            class.wait(3_000);
            assert_eq!(class.now(), Tick(3_000), "the class keeps running while the question is open");
            class.press(Press::No);
            assert_eq!((class.conductor.moment().view, class.left), (View::Far, false));
            class.press(ask);
            class.press(Press::Go);
            assert_eq!((class.conductor.moment().view, class.phase()), (View::Far, Phase::Running));
            class.press(ask);
            class.press(yes);
            assert!(class.left);
        }
    }
    let mut class = Class::begun(two_blocks());
    class.finish();
    class.press(Press::Quit);
    assert!(class.left, "after the class there is no question");
}

#[test]
fn the_keys_are_shown_over_either_view() {
    let mut class = Class::begun(two_blocks());
    let view = |class: &Class| class.conductor.moment().view;
    class.press(Press::Help);
    assert_eq!(view(&class), View::Help);
    class.press(Press::Help);
    assert_eq!(view(&class), View::Coach);
    class.press(Press::Far);
    class.press(Press::Help);
    class.press(Press::Go);
    assert_eq!((view(&class), class.phase()), (View::Help, Phase::Held { for_ms: 0, stopped: false }));
    class.press(Press::No);
    assert_eq!(view(&class), View::Far);
    class.press(Press::Far);
    assert_eq!(view(&class), View::Coach);
}

#[test]
fn going_to_the_shell_holds_the_class() {
    let mut class = Class::begun(two_blocks());
    class.wait(4_000);
    let effects = class.press(Press::Suspend);
    assert!(effects.ends_with(&[Effect::Hush, Effect::Suspend]));
    assert_eq!(class.phase(), Phase::Held { for_ms: 0, stopped: false });
    assert_eq!(class.now(), Tick(4_000));
}

#[test]
fn sleep_of_the_machine_is_a_hold_from_where_it_fell_asleep() {
    let mut class = Class::begun(two_blocks());
    class.wait(20_000);
    class.clock.sleep(600_000);
    let heard = class.heard.clone();
    let reading = class.clock.read();
    let effects = class.conductor.step(reading, &[]);
    assert!(!effects.iter().any(|effect| matches!(effect, Effect::Play(_))), "nothing is played late: {effects:?}");
    assert_eq!((class.phase(), class.now()), (Phase::Held { for_ms: 600_000, stopped: false }, Tick(20_000)));
    assert_eq!(class.lost(), 600_000);
    assert!(class.message().unwrap().contains("10:00"));
    assert_eq!(class.heard, heard);
    // A class that was to begin by itself does not begin if the computer slept past the start.
    let mut class = Class::new(two_blocks(), Opening { begins: Some(ClockTime(300_000)), ..Opening::default() });
    class.wait(1_000);
    class.clock.sleep(3_600_000);
    class.step(&[]);
    assert!(matches!(class.phase(), Phase::Ready { begins_in_ms: None, .. }));
}

#[test]
fn the_end_and_the_spare_follow_what_is_lost() {
    let mut class = Class::new(two_blocks(), Opening::default());
    let shown = |class: &Class| {
        let moment = class.conductor.moment();
        (moment.ends_at.unwrap_or_default(), moment.spare_ms.unwrap())
    };
    // 18:10:00, a count-in, and three minutes.
    assert_eq!(shown(&class), ("18:13".to_owned(), 20_000));
    class.press(Press::Go);
    class.wait(15_000);
    assert_eq!(shown(&class), ("18:13".to_owned(), 20_000));
    class.press(Press::Go);
    assert_eq!(shown(&class).1, 15_000, "the count-in of resuming is counted");
    class.wait(60_000);
    assert_eq!(shown(&class), ("18:14".to_owned(), -45_000));
    class.press(Press::Go);
    class.wait(6_000);
    assert_eq!(shown(&class).1, -45_000);
    class.press(Press::Next);
    assert_eq!(shown(&class).1, -45_000 + 39_000, "10 s and 1 s of 50 s were done");
}

#[test]
fn a_class_can_begin_anywhere() {
    let mut class = Class::new(two_blocks(), Opening { from: Tick(60_000), ..Opening::default() });
    class.press(Press::Go);
    class.wait(5_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick(60_000)));
    assert_eq!(class.heard.first().map(|(_, event)| event.at), Some(Tick(60_000)));
    assert!(class.happened.contains(&(Tick(60_000), Happening::Span(2))));
    class.finish();
    assert_eq!(class.now(), Tick(180_000));
}

/// The phase of a class, without its times.
fn kind(phase: Phase) -> &'static str {
    match phase {
        Phase::Ready { .. } => "ready",
        Phase::CountIn { .. } => "count-in",
        Phase::Running => "running",
        Phase::Gate { .. } => "gate",
        Phase::Held { stopped: false, .. } => "held",
        Phase::Held { stopped: true, .. } => "stopped",
        Phase::Done => "done",
    }
}

fn class_in(phase: &str) -> Class {
    let mut class = Class::new(two_blocks(), Opening::default());
    if phase != "ready" {
        class.press(Press::Go);
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
            class.press(if phase == "held" { Press::Go } else { Press::Stop });
            class.wait(1_000);
        }
        _ => {
            class.finish();
            // A press sooner than this was meant to pause.
            class.press(Press::Go);
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
        (Press::Go,        ["count-in", "running",  "held",    "running", "count-in", "count-in", "done"]),
        (Press::Next,      ["ready",    "count-in", "running", "running", "held",     "stopped",  "done"]),
        (Press::Back,      ["ready",    "count-in", "running", "running", "held",     "stopped",  "count-in"]),
        (Press::Again,     ["ready",    "count-in", "running", "gate",    "held",     "stopped",  "count-in"]),
        (Press::Stop,      ["stopped",  "stopped",  "stopped", "stopped", "stopped",  "stopped",  "stopped"]),
        (Press::Suspend,   ["ready",    "held",     "held",    "gate",    "held",     "stopped",  "done"]),
        (Press::Mute,      phases),
        (Press::Less,      phases),
        (Press::More,      phases),
        (Press::Softer(Bus::Tones), phases),
        (Press::Louder(Bus::Speech), phases),
        (Press::Far,       phases),
        (Press::Help,      phases),
        (Press::Quit,      phases),
        (Press::Interrupt, phases),
        (Press::Yes,       phases),
        (Press::No,        phases),
    ];
    for (press, after) in table {
        for (phase, after) in phases.into_iter().zip(after) {
            let mut class = class_in(phase);
            let plan = class.conductor.course().plan().clone();
            class.press(press);
            assert_eq!(kind(class.phase()), after, "{press:?} when {phase}");
            assert_eq!(class.left, phase == "done" && matches!(press, Press::Go | Press::Quit), "{press:?} {phase}");
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
            span.doing,
            span.cut_at(now).side
        )
    });
    let events =
        schedule.events.iter().filter(|event| event.at < now).map(|event| format!("{:?} {:?}", event.at, event.what));
    spans.chain(events).collect()
}

const ANY: [Press; 20] = [
    Press::Go,
    Press::Next,
    Press::Back,
    Press::Again,
    Press::Mute,
    Press::Less,
    Press::More,
    Press::NotNow,
    Press::SayAgain,
    Press::Softer(Bus::Speech),
    Press::Softer(Bus::Music),
    Press::Louder(Bus::Tones),
    Press::Stop,
    Press::Far,
    Press::Help,
    Press::Quit,
    Press::Yes,
    Press::No,
    Press::Interrupt,
    Press::Suspend,
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_keys_at_any_time_break_a_class(
        session in any_session(),
        keys in prop::collection::vec((0u64..40_000, prop::sample::select(ANY.to_vec())), 0..40),
    ) {
        let mut class = Class::new(session, Opening::default());
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
        if class.conductor.moment().view == View::Quit {
            class.press(Press::No);
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
            (0u64..60_000, prop::sample::select(vec![Press::Go, Press::Next, Press::Back, Press::Again, Press::Stop])),
            0..20,
        ),
    ) {
        let mut class = Class::new(session, Opening::default());
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
        let opening = Opening { begins: Some(ClockTime(COUNT_IN)), unattended: true, ..Opening::default() };
        let mut class = Class::new(session, opening);
        class.step(&[]);
        class.finish();
        prop_assert_eq!(class.schedule(), class.conductor.course().plan());
        prop_assert_eq!(class.clock.read().at.0, COUNT_IN + class.schedule().total().0);
        prop_assert_eq!(class.lost(), 0);
        for (when, event) in &class.heard {
            prop_assert_eq!(*when, COUNT_IN + event.at.0);
        }
        let spans = class.happened.iter().filter(|(_, what)| matches!(what, Happening::Span(_))).count();
        prop_assert_eq!(spans, class.schedule().spans.len());
    }
}

/// The cues in a list of events, each with its time on the clock.
fn cues(events: &[(u64, Event)]) -> Vec<(u64, &Cue)> {
    events
        .iter()
        .filter_map(|(at, event)| match &event.what {
            What::Cue(cue) => Some((*at, cue)),
            _ => None,
        })
        .collect()
}

/// A class led to 500 ms after the start of its first cue, which says what comes next.
fn within_the_first_cue() -> (Class, Cue) {
    let mut class = Class::begun(two_blocks());
    let first = class.schedule().events.iter().find_map(|event| match &event.what {
        What::Cue(cue) => Some((event.at, cue.clone())),
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
    class.press(Press::More);
    assert!(class.goes_on.iter().any(|event| event.what == What::Cue(cue.clone())), "the cue continues");
    let start = class.clock.read().at.0;
    class.wait(60_000);
    assert!(
        cues(&class.heard).iter().all(|(at, other)| *at < start || other.text != cue.text),
        "and the cue is not said twice"
    );
    // At the level of calls only, the current cue breaks off.
    let (mut class, _) = within_the_first_cue();
    class.press(Press::Less);
    assert!(class.goes_on.is_empty() && cues(&class.queue).is_empty());
}

#[test]
fn a_cue_that_a_hold_cuts_off_is_said_when_the_class_goes_on() {
    let (mut class, cue) = within_the_first_cue();
    class.press(Press::Go);
    class.wait(20_000);
    class.press(Press::Go);
    class.wait(COUNT_IN + 30_000);
    let said: Vec<&str> = cues(&class.heard).iter().map(|(_, cue)| cue.text.as_str()).collect();
    assert_eq!(said.iter().filter(|text| **text == cue.text).count(), 2, "{said:?}");
    // A stretch leaves the span as it is, so it cuts nothing off.
    let (mut class, cue) = within_the_first_cue();
    class.press(Press::Longer);
    assert!(class.goes_on.iter().any(|event| event.what == What::Cue(cue.clone())));
}

#[test]
fn not_now_leaves_nothing_but_the_time_in_this_span() {
    let (mut class, cue) = within_the_first_cue();
    class.press(Press::NotNow);
    assert!(class.goes_on.is_empty(), "the current cue breaks off");
    let end = class.schedule().spans[0].end;
    let in_span = |class: &Class| cues(&class.queue).iter().filter(|(at, _)| *at < end.0 + COUNT_IN).count();
    assert_eq!(in_span(&class), 0);
    assert!(class.queue.iter().any(|(_, event)| matches!(event.what, What::Call(_))), "the calls stay");
    assert!(!cues(&class.queue).is_empty(), "and later spans have their cues");
    let unsaid = class.conductor.moment().cues.iter().filter(|cue| cue.fate == Fate::Unsaid(Reason::NotNow)).count();
    assert_eq!(unsaid, 0, "the span had only one cue, and this cue was being said");
    // Planning again for another reason keeps it so.
    class.press(Press::Longer);
    assert_eq!(in_span(&class), 0);
    assert!(cues(&class.queue).iter().all(|(_, other)| other.text != cue.text));
    // If nothing is being said, there is nothing to drop.
    let mut class = Class::new(two_blocks(), Opening::default());
    class.press(Press::NotNow);
    assert_eq!(class.message().as_deref(), Some("Nothing is being said just now"));
}

#[test]
fn what_must_be_known_is_said_again_where_there_is_room() {
    let (mut class, cue) = within_the_first_cue();
    class.wait(cue.length.0);
    class.press(Press::SayAgain);
    let again = class.schedule().events.iter().filter(|event| event.what == What::Cue(cue.clone())).count();
    assert_eq!(again, 2);
    class.wait(20_000);
    let said: Vec<u64> =
        cues(&class.heard).iter().filter(|(_, other)| other.text == cue.text).map(|(at, _)| *at).collect();
    assert_eq!(said.len(), 2);
    // The repeat keeps its distance from all other sounds.
    let begins = said[1];
    for (at, event) in class.heard.iter().filter(|(at, event)| *at > begins && !matches!(event.what, What::Cue(_))) {
        assert!(*at >= begins + cue.length.0 + GAP.0, "{event:?}");
    }
    // Before the class, only the opening words can be repeated.
    let mut class = Class::new(two_blocks(), Opening::default());
    class.press(Press::SayAgain);
    assert!(class.message().is_some_and(|line| line.starts_with("First, row")));
    assert_eq!(class.queue.len() + class.heard.len(), 1);
}

#[test]
fn the_opening_words_are_over_before_the_pips() {
    let session = two_blocks();
    let text = opening_words(&compile(Arc::clone(&session))).expect("the class begins with work");
    let mut lengths = Lengths::default();
    lengths.learn([(text.clone(), std::time::Duration::from_millis(2_345))]);
    let voicing = Voicing { lengths, ..Voicing::default() };
    // On the coach's key: the count-in is long enough for the opening words.
    let mut class = Class::new(Arc::clone(&session), Opening { voicing: voicing.clone(), ..Opening::default() });
    class.press(Press::Go);
    assert_eq!(class.phase(), Phase::CountIn { left_ms: 7_000 });
    assert_eq!(cues(&class.heard).iter().map(|(_, cue)| cue.text.as_str()).collect::<Vec<_>>(), [text.as_str()]);
    let Some(ms) = class.conductor.changes_in(Watcher::Lines) else { panic!("the pips") };
    let Some(Effect::Play(pips)) = class.wait(ms).into_iter().next() else { panic!("the pips") };
    assert!(pips.after_ms >= 3_000 && ms >= 2_345 + GAP.0, "{ms} {}", pips.after_ms);
    class.wait(pips.after_ms);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
    // At a given time: the opening words come earlier, and the class begins at that time.
    let opening = Opening { begins: Some(ClockTime(60_000)), voicing, ..Opening::default() };
    let mut class = Class::new(Arc::clone(&session), opening);
    class.wait(52_999);
    assert!(matches!(class.phase(), Phase::Ready { .. }));
    class.wait(1);
    assert_eq!(cues(&class.heard).len(), 1);
    class.wait(7_000);
    assert_eq!((class.phase(), class.now()), (Phase::Running, Tick::ZERO));
    // The class does not wait for speech that is not ready.
    let mut class = Class::new(session, Opening::default());
    class.press(Press::Go);
    assert_eq!(class.phase(), Phase::CountIn { left_ms: COUNT_IN });
}

#[test]
fn before_the_class_the_plan_follows_the_voice() {
    let mut class = Class::new(two_blocks(), Opening::default());
    let of = |class: &Class| {
        cues(&class.schedule().events.iter().map(|e| (e.at.0, e.clone())).collect::<Vec<_>>())
            .iter()
            .map(|(_, cue)| (cue.text.clone(), cue.length))
            .collect::<Vec<_>>()
    };
    let (text, planned) = of(&class)[0].clone();
    let lengths = || vec![(text.clone(), std::time::Duration::from_millis(planned.0 + 1_000))];
    class.step(&[Input::Lengths(lengths())]);
    assert_eq!(of(&class)[0], (text.clone(), planned + Tick(1_000)));
    // During the class, lengths count from the next planning on.
    let mut class = Class::begun(two_blocks());
    class.step(&[Input::Lengths(lengths())]);
    assert_eq!(of(&class)[0], (text.clone(), planned));
    class.press(Press::More);
    class.press(Press::Less);
    assert_eq!(of(&class)[0], (text, planned + Tick(1_000)));
}

#[test]
fn the_next_change_is_the_next_second_or_the_next_event() {
    let mut class = Class::begun(two_blocks());
    assert_eq!(class.conductor.changes_in(Watcher::Screen), Some(1_000));
    class.wait(300);
    assert_eq!(class.conductor.changes_in(Watcher::Screen), Some(700));
    // The first call: halfway through 50 s.
    assert!(class.schedule().session.blocks[0].calls.contains(&CallWord::Halfway));
    assert_eq!(class.conductor.changes_in(Watcher::Lines), Some(24_700));
    class.press(Press::Go);
    assert_eq!(class.conductor.changes_in(Watcher::Lines), None);
    assert_eq!(class.conductor.changes_in(Watcher::Screen), Some(1_000));
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
    class.press(Press::AllReady);
    assert_eq!(said(&class), "No changeover to time here");
    // A pause in the work before it does not matter.
    class.press(Press::Go);
    class.wait(1_000);
    class.press(Press::Go);
    class.wait(COUNT_IN);
    let work = class.conductor.schedule().spans.iter().filter(|span| span.purpose == Purpose::Work);
    let ends: Vec<u64> = work.map(|span| span.end.0).collect();
    class.wait(ends[0] + 6_400 - class.now().0);
    class.press(Press::AllReady);
    assert_eq!(said(&class), "Ready after 6.4 s: recorded for planning");
    class.wait(1_000);
    class.press(Press::AllReady);
    assert_eq!(said(&class), "This changeover is already recorded");
    // A pause after the work before it prevents the measurement.
    class.wait(ends[1] + 2_000 - class.now().0);
    class.press(Press::Go);
    class.wait(10_000);
    class.press(Press::Go);
    class.wait(COUNT_IN);
    class.press(Press::AllReady);
    assert_eq!(said(&class), "You paused here, so this changeover was not timed");
    // Only the movement changes here.
    class.wait(ends[2] + 3_000 - class.now().0);
    class.press(Press::AllReady);
    assert_eq!(said(&class), "No changeover to time here");
    let kind = "kit_up".parse().unwrap();
    assert_eq!(class.conductor.samples(), [Sample { kind, took: Tick(6_400), who: Who::Group }]);
}
