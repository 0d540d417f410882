//! The journal: it holds the whole class, reading it gives the class that was led, and invalid bytes lead only to an
//! error message.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use class::change::LiveChange;
use class::check::check;
use class::movement::Catalogue;
use class::recording::{ExportClock as Passed, TimeStop};
use class::schedule::{EventContent, Schedule, ScheduleEvent, Span, SpanPurpose, compile};
use class::session::fault::Severity;
use class::time::Tick;
use journal::TimedHappening;
use journal::{
    ClassEnding, Journal, JournalContents, JournalEvent as Written, JournalFault, JournalHeader, JournalStore,
    LedClass, OpeningRecord as Opened, PlannedClass, ReplayedClass, StoredFile, VERSION, read, replay,
};
use paper::export::{SessionExportError, as_session};
use proptest::prelude::*;
use sound::SoundBus;
use stage::lead::{ClassOpening, ClassPhase, Conductor, LeadCommand};
use stage::runtime::{
    Clock, DisplayKind, DisplayOutput, Incoming, InputSource, NoAudio, RunEnding, StepInput, SteppedClock, run,
};

/// A disk in memory.
#[derive(Clone, Default)]
struct Memory(Arc<Mutex<Vec<u8>>>);

impl JournalStore for Memory {
    fn append(&mut self, lines: &[u8]) -> io::Result<()> {
        self.0.lock().unwrap().extend(lines);
        Ok(())
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn try_clone(&self) -> io::Result<Box<dyn JournalStore>> {
        Ok(Box::new(self.clone()))
    }
}

impl Memory {
    fn bytes(&self) -> Vec<u8> {
        self.0.lock().unwrap().clone()
    }
}

/// Input at fixed times of the clock. Waiting moves the clock. At the end a signal ends the program.
struct Script {
    clock: SteppedClock,
    at: u64,
    left: Vec<(u64, LeadCommand)>,
    until: u64,
}

impl InputSource<LeadCommand> for Script {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<LeadCommand>> {
        let at_most = u64::try_from(at_most.as_millis()).unwrap().max(1);
        let next = self.left.first().map_or(self.until, |(at, _)| *at);
        let ms = next.saturating_sub(self.at).min(at_most);
        self.clock.step(Duration::from_millis(ms));
        self.at += ms;
        if self.at >= self.until {
            return vec![Incoming::End(9)];
        }
        let due = self.left.partition_point(|(at, _)| *at <= self.at);
        self.left.drain(..due).map(|(_, press)| Incoming::Input(StepInput::Press(press))).collect()
    }
}

/// Nobody watches.
struct Unseen;

impl DisplayOutput<Conductor> for Unseen {
    fn watcher(&self) -> DisplayKind {
        DisplayKind::Lines
    }
    fn stays_after_class(&self) -> bool {
        true
    }
    fn tell(&mut self, _: &TimedHappening, _: &Conductor) -> io::Result<()> {
        Ok(())
    }
    fn show(&mut self, _: &Conductor) -> io::Result<()> {
        Ok(())
    }
    fn redraw_all(&mut self) -> io::Result<()> {
        Ok(())
    }
    fn suspend(&mut self) -> io::Result<()> {
        Ok(())
    }
}

const SMALL: &str = r#"(
  title: "Quay test", slot: "4m",
  blocks: [
    (name: "Raise", kind: warm_up, work: "15s", stations: ["march-tall"]),
    (name: "Hinge", work: "20s", rest: "10s", rounds: 2, start: on_key, stations: [
      "bell-deadlift", (move: "split-squat", sides: left_then_right),
    ]),
    (name: "Ease", kind: cool_down, work: "15s", stations: ["childs-pose"]),
  ],
)"#;

fn header(text: &str) -> JournalHeader {
    let mut header = JournalHeader {
        journal: VERSION,
        program: "test".into(),
        wall: "2026-01-10T18:10:00+00:00[UTC]".parse().unwrap(),
        speed: 1,
        session: StoredFile::new("class.ron".into(), text.into()),
        movements: vec![],
        learned: vec![],
        opening: Opened::default(),
        plan_ms: 0,
    };
    let session = class::session::read(text, Catalogue::built_in()).session.unwrap();
    header.plan_ms = compile(Arc::new(session)).total().0;
    header
}

/// Leads a class by a script. Returns its state and the bytes of its journal.
fn led(text: &str, script: &[(u64, LeadCommand)], until: u64) -> (Conductor, Vec<u8>) {
    led_by(text, script, until, false)
}

fn led_by(text: &str, script: &[(u64, LeadCommand)], until: u64, unattended: bool) -> (Conductor, Vec<u8>) {
    let header = header(text);
    let plan = PlannedClass::of(&header).unwrap();
    let mut clock = SteppedClock::new(header.wall.clone());
    let opening =
        ClassOpening { movements: plan.catalogue.iter().cloned().collect(), unattended, ..ClassOpening::default() };
    let mut conductor = Conductor::new(plan.schedule, opening, clock.read());
    let disk = Memory::default();
    let to: Box<dyn JournalStore> = Box::new(disk.clone());
    let mut journal =
        Some(Journal::new(header, Box::new(move || Ok(("test".into(), to))), |why| panic!("not kept: {why}")));
    let mut inputs = Script { clock: clock.clone(), at: 0, left: script.to_vec(), until };
    let ending = run(&mut conductor, &mut clock, &mut inputs, &mut Unseen, &mut NoAudio, &mut journal).unwrap();
    assert!(matches!(ending, RunEnding::Signal(9) | RunEnding::Quit | RunEnding::Done));
    drop(journal);
    (conductor, disk.bytes())
}

fn replayed(bytes: &[u8]) -> (JournalContents, ReplayedClass) {
    let kept = read(bytes).unwrap();
    let left = replay(&PlannedClass::of(&kept.header).unwrap(), &kept).unwrap();
    (kept, left)
}

/// Tones and calls. Cues are planned again when a class is resumed, so they may differ.
fn sounds(schedule: &Schedule) -> Vec<&ScheduleEvent> {
    schedule.events.iter().filter(|event| !matches!(event.what, EventContent::Cue(_))).collect()
}

fn assert_same(conductor: &Conductor, left: &ReplayedClass) {
    let (led, again) = (conductor.schedule(), left.course.schedule());
    assert_eq!(led.spans, again.spans);
    assert_eq!(led.session, again.session);
    assert_eq!(sounds(led), sounds(again));
    let behind = conductor.now().saturating_sub(left.now);
    assert!(left.now <= conductor.now() && behind.0 <= 1_000, "{behind:?} behind at {:?}", conductor.now());
}

#[test]
fn a_class_can_be_read_from_its_journal_at_any_time() {
    let script = [
        (1_000, LeadCommand::Go),
        (2_500, LeadCommand::Go),
        (14_000, LeadCommand::Longer),
        (30_000, LeadCommand::Mark),
        (37_000, LeadCommand::Go),
        (50_000, LeadCommand::Next),
        (55_000, LeadCommand::Go),
        (70_000, LeadCommand::Go),
        (72_000, LeadCommand::Undo),
        (75_000, LeadCommand::More),
        (90_000, LeadCommand::Mute),
        (95_000, LeadCommand::Back),
    ];
    for until in (100..150_000).step_by(3_300) {
        let (conductor, bytes) = led(SMALL, &script, until);
        if until < 1_100 {
            assert!(bytes.is_empty(), "a class that has not begun leaves nothing");
            continue;
        }
        let (kept, left) = replayed(&bytes);
        assert!(!kept.torn);
        assert_same(&conductor, &left);
        let moment = conductor.moment();
        assert_eq!((left.muted, left.level.unwrap_or(moment.level)), (moment.muted, moment.level));
        let stands = matches!(moment.phase, ClassPhase::Paused { .. } | ClassPhase::Gate { .. });
        assert_eq!(
            left.halted_since.is_some(),
            stands || matches!(moment.phase, ClassPhase::CountIn { .. }) && left.now > Tick::ZERO
        );
        if left.halted_since.is_none() {
            assert_eq!(left.lost, moment.lost);
        }
    }
}

/// A class of 90 minutes with everything that a class can have.
const LONG: &str = r#"(title: "Long", slot: "90m", people: 12, kit: [(item: "kettlebell", load: light, each: 1), (item: "band", each: 1)], blocks: [
    (name: "Raise", kind: warm_up, work: "45s", rounds: 2, rest_after: "1m", stations: ["march-tall", "arm-sweeps", "squat", "cat-cow"]),
    (name: "Legs", work: "45s", rest: "15s", rounds: 4, round_rest: "1m", rest_after: "1m", start: on_key, stations: [
        "bell-deadlift", (move: "split-squat", sides: left_then_right), (move: "step-up", sides: each_side, optional: true)]),
    (name: "Arms", format: sets, work: "40s", rest: "20s", rounds: 4, rest_after: "90s", stations: ["push-up", "band-pull-apart", "plank"]),
    (name: "Minutes", format: emom(every: "1m"), work: "40s", rounds: 5, rest_after: "1m", stations: ["squat", "dead-bug"]),
    (name: "Own pace", format: amrap(time: "6m"), reps: 8, rest_after: "1m", stations: ["bell-deadlift", "squat", "push-up"]),
    (name: "Rungs", format: ladder(rungs: ["20s", "30s", "40s"]), rest: "15s", rest_after: "1m", stations: ["squat", "push-up"]),
    (name: "Bursts", format: intervals(count: 12), work: "20s", rest: "20s", rest_after: "1m", stations: ["squat", "march-tall"]),
    (name: "Round the room", format: rotation, work: "90s", rest: "20s", rounds: 2, rest_after: "1m", stations: ["bell-deadlift", "push-up", "plank", "squat"]),
    (name: "Down", kind: cool_down, work: "1m", rounds: 2, stations: ["cat-cow", "childs-pose", "hip-flexor-stretch"]),
])"#;

/// Every key except those that end the class. The key for offers comes more often, because offers are stepped through.
const KEYS: &[LeadCommand] = &[
    LeadCommand::Offer,
    LeadCommand::Offer,
    LeadCommand::Offer,
    LeadCommand::Offer,
    LeadCommand::Offer,
    LeadCommand::Offer,
    LeadCommand::OfferUndo,
    LeadCommand::Go,
    LeadCommand::Go,
    LeadCommand::Go,
    LeadCommand::Go,
    LeadCommand::Close,
    LeadCommand::No,
    LeadCommand::Next,
    LeadCommand::Back,
    LeadCommand::Again,
    LeadCommand::Longer,
    LeadCommand::Shorter,
    LeadCommand::Undo,
    LeadCommand::Redo,
    LeadCommand::Less,
    LeadCommand::More,
    LeadCommand::Mute,
    LeadCommand::NotNow,
    LeadCommand::SayAgain,
    LeadCommand::Mark,
    LeadCommand::AllReady,
    LeadCommand::Softer(SoundBus::Speech),
    LeadCommand::Louder(SoundBus::Music),
    LeadCommand::Stop,
    LeadCommand::Far,
    LeadCommand::Help,
    LeadCommand::Quit,
    LeadCommand::Suspend,
];

/// `count` random keys, each at most `apart` milliseconds after the one before, and the time of the last one.
fn random_keys(seed: u64, count: usize, apart: u64) -> (Vec<(u64, LeadCommand)>, u64) {
    let mut state = seed;
    let mut random = |below: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % below
    };
    let mut script = vec![(100, LeadCommand::Go), (1_000, LeadCommand::Go)];
    let mut at = 1_000;
    while script.len() < count {
        at += 1 + random(apart);
        if random(3) == 0 {
            // As a coach does: steps through the offers and applies one.
            for _ in 0..1 + random(18) {
                script.push((at, LeadCommand::Offer));
                at += 100 + random(900);
            }
            script.push((at, LeadCommand::Go));
        } else {
            script.push((at, KEYS[random(KEYS.len() as u64) as usize]));
        }
    }
    (script, at)
}

/// 90 minutes with 500 keys: the journal gives the class that was led, exact to the tick.
#[test]
fn five_hundred_keys_leave_a_journal_that_gives_the_class_again() {
    let planned = Tick(header(LONG).plan_ms);
    assert!(planned.0.abs_diff(90 * 60_000) <= 5 * 60_000, "{planned:?}");
    let mut changes = BTreeSet::new();
    for seed in 1..=2 {
        let (script, at) = random_keys(seed, 500, 60_000);
        let (conductor, bytes) = led(LONG, &script, at + 1_000);
        let (kept, left) = replayed(&bytes);
        assert!(!kept.torn && kept.records.len() > 400, "{}", kept.records.len());
        assert_same(&conductor, &left);
        assert_eq!(left.course.side_debts(), conductor.course().side_debts());
        for record in &kept.records {
            if let Written::Changed { change, .. } = &record.what {
                let change = format!("{:?}", LiveChange::from(change));
                changes.insert(change.split([' ', '{', '(']).next().unwrap().to_owned());
            }
        }
    }
    // Every kind of change was made.
    let all = [
        "AddRound",
        "AdjustLength",
        "Again",
        "Back",
        "Cut",
        "DropRound",
        "Easier",
        "Fit",
        "Next",
        "RepayDebt",
        "RestNow",
        "Swap",
        "WaiveDebt",
    ];
    let missing: Vec<&&str> = all.iter().filter(|name| !changes.contains(**name)).collect();
    assert!(missing.is_empty(), "{missing:?} of {changes:?}");
}

/// The class as a session file, and as it ran.
fn written_again(bytes: &[u8]) -> (Result<String, SessionExportError>, Schedule, PlannedClass) {
    let (kept, left) = replayed(bytes);
    let plan = PlannedClass::of(&kept.header).unwrap();
    let Some(ran) = LedClass::of(&kept, &left) else {
        return (Err(SessionExportError::Nothing), plan.schedule.clone(), plan);
    };
    let ran = ran.trim_to_run(ran.course.clone());
    let text = as_session(&kept.header.session.text, &plan.schedule, &ran, &plan.catalogue, &["as it was".into()]);
    (text, ran, plan)
}

/// The schedule of a session file, which must have no faults.
fn in_order(text: &str, catalogue: &Catalogue) -> Schedule {
    let reading = class::session::read(text, catalogue);
    let fault = reading.faults.iter().find(|fault| fault.severity == Severity::Fault);
    assert_eq!(fault, None, "{text}");
    let schedule = compile(Arc::new(reading.session.unwrap()));
    let checked = check(&schedule);
    let fault = checked.iter().find(|fault| fault.severity == Severity::Fault);
    assert_eq!(fault, None, "{text}");
    schedule
}

/// The seconds of work of each movement.
fn by_movement(schedule: &Schedule) -> BTreeMap<String, i64> {
    let mut work = BTreeMap::new();
    for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
        let name = schedule.station_of(span).map_or(String::new(), |station| station.movement.name.clone());
        *work.entry(name).or_default() += span.length().0 as i64;
    }
    work
}

fn sessions() -> Vec<(String, String)> {
    let root = std::path::Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    let mut sessions = vec![("long".to_owned(), LONG.to_owned()), ("small".to_owned(), SMALL.to_owned())];
    for folder in ["sessions", "tests/classes"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "ron") {
                sessions.push((path.display().to_string(), std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    sessions.sort();
    assert!(sessions.len() >= 16);
    sessions
}

#[test]
fn a_class_led_as_planned_is_written_as_its_file() {
    for (name, text) in sessions() {
        let until = header(&text).plan_ms;
        let (_, bytes) = led_by(&text, &[(100, LeadCommand::Go)], until + 20_000, true);
        let (written, ran, plan) = written_again(&bytes);
        assert_eq!(ran.total().0, until, "{name}");
        let again = in_order(&written.unwrap(), &plan.catalogue);
        assert_eq!(again.spans, plan.schedule.spans, "{name}");
    }
}

/// Whatever the coach does, the file that is written can be led again. It is as long as the class was, and so is the
/// work of every movement.
#[test]
fn a_class_led_with_any_keys_is_written_as_it_was_done() {
    done_as_written(0..1);
}

#[test]
#[ignore = "takes minutes"]
fn many_classes_led_with_any_keys_are_written_as_they_were_done() {
    done_as_written(1..20);
}

fn done_as_written(seeds: std::ops::Range<u64>) {
    let (mut differing, mut all) = (0, 0);
    for (place, (name, text)) in (0..).zip(sessions()) {
        for seed in seeds.clone() {
            let (script, at) = random_keys(seed * 100 + place, 60 + 40 * (seed + place) as usize % 200, 60_000);
            all += 1;
            let (_, bytes) = led(&text, &script, at + 1_000);
            let (written, ran, plan) = written_again(&bytes);
            let work = || ran.spans.iter().filter(|span| span.purpose == SpanPurpose::Work);
            if written == Err(SessionExportError::Nothing) {
                assert!(work().all(|span| span.length() < Tick::seconds(20)), "{name}: {:?}", ran.spans);
                continue;
            }
            let text = written.unwrap_or_else(|why| panic!("{name}: {why}"));
            let again = in_order(&text, &plan.catalogue);
            differing += usize::from(again.spans != plan.schedule.spans);
            // Work too short to count becomes rest, and lengths are whole seconds. So much may differ at most.
            let short = Tick::seconds(14);
            let (done, ran_by) = (by_movement(&again), by_movement(&ran));
            let slack = |name: &str| -> i64 {
                let of = |span: &&Span| ran.station_of(span).map_or("", |station| &station.movement.name) == name;
                work()
                    .filter(of)
                    .map(|span| if span.length() < short { span.length().0 as i64 + 500 } else { 3_000 })
                    .sum()
            };
            for (movement, ran) in &ran_by {
                let done = done.get(movement).copied().unwrap_or(0);
                assert!(done.abs_diff(*ran) as i64 <= slack(movement), "{name}: {movement} {done} of {ran}\n{text}");
            }
            // At least from the first work that surely counts to the last, and no longer than the whole class.
            let long = || work().filter(|span| span.length() >= Tick::seconds(40));
            let least = long().next_back().map_or(0, |last| (last.end - long().next().unwrap().start).0);
            let most = work().next_back().map_or(Tick::ZERO, |last| last.end).saturating_sub(ran.spans[0].start).0;
            assert!(
                (least.saturating_sub(2_000)..=most + 2_000).contains(&again.total().0),
                "{name}: {least} {most}\n{text}"
            );
        }
    }
    assert!(differing * 2 > all, "{differing} of {all}");
}

#[test]
fn a_class_that_came_to_its_end_says_so() {
    let script = [(1_000, LeadCommand::Go), (1_800, LeadCommand::Go), (20_000, LeadCommand::Go)];
    let (_, bytes) = led(SMALL, &script, 400_000);
    let (_, left) = replayed(&bytes);
    assert_eq!(left.ended, Some(ClassEnding::Done));
}

#[test]
fn another_version_is_told_from_a_broken_file() {
    let (_, bytes) = led(SMALL, &[(1_000, LeadCommand::Go)], 9_000);
    let text = String::from_utf8(bytes).unwrap();
    let fault = |from: &str, to: &str| read(text.replacen(from, to, 1).as_bytes()).unwrap_err();
    assert_eq!(fault("\"journal\":1", "\"journal\":2"), JournalFault::Version(2));
    assert_eq!(fault("Quay test", "Quay tent"), JournalFault::Altered("session"));
    assert_eq!(read(b""), Err(JournalFault::Empty));
    assert_eq!(read(b"# my notes\n"), Err(JournalFault::NoJournal));
    assert_eq!(read(&text.as_bytes()[..40]), Err(JournalFault::NotBegun));
    // A record in the middle that cannot be read is a fault, not an incomplete last line.
    let lines: Vec<&str> = text.lines().collect();
    let garbled = [lines[0], "{\"at\":0,\"wha", lines[1]].join("\n") + "\n";
    assert_eq!(read(garbled.as_bytes()), Err(JournalFault::Garbled(2)));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Cut off anywhere, the complete lines are read, and the class is at most as far as it was.
    #[test]
    fn a_journal_cut_off_anywhere_is_read_as_far_as_it_goes(cut in any::<prop::sample::Index>()) {
        let (conductor, bytes) = led(SMALL, &[(1_000, LeadCommand::Go), (2_000, LeadCommand::Go), (9_000, LeadCommand::Longer)], 12_000);
        let first = bytes.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        let cut = first + cut.index(bytes.len() - first + 1);
        let kept = read(&bytes[..cut]).unwrap();
        prop_assert_eq!(kept.torn, kept.whole != cut as u64);
        let left = replay(&PlannedClass::of(&kept.header).unwrap(), &kept).unwrap();
        prop_assert!(left.now <= conductor.now());
    }

    /// With bytes changed anywhere, it is read or refused, without a crash.
    #[test]
    fn a_garbled_journal_is_read_or_refused(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        swap in any::<(prop::sample::Index, prop::sample::Index)>(),
    ) {
        let (_, bytes) = led(SMALL, &[(1_000, LeadCommand::Go), (2_000, LeadCommand::Go), (9_000, LeadCommand::Longer), (11_000, LeadCommand::Undo)], 14_000);
        let mut garbled = bytes.clone();
        for (at, byte) in changes {
            let at = at.index(garbled.len());
            garbled[at] = byte;
        }
        let mut lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
        let (a, b) = (swap.0.index(lines.len()), swap.1.index(lines.len()));
        lines.swap(a, b);
        for bytes in [garbled, lines.concat()] {
            if let Ok(kept) = read(&bytes) && let Ok(plan) = PlannedClass::of(&kept.header) {
                let _ = replay(&plan, &kept);
            }
        }
    }
}

#[test]
fn the_time_that_passed_is_that_of_the_wall() {
    let text = r#"(title: "t", blocks: [(name: "x", work: "20s", rest: "10s", stations: ["squat", "plank"])])"#;
    // Counted in until 6 s. Paused from 16 to 31 s (count-in included), at 10 s of class time. Muted at 35 s, at 14 s
    // of class time.
    let script =
        [(1_000, LeadCommand::Go), (16_000, LeadCommand::Go), (26_000, LeadCommand::Go), (35_000, LeadCommand::Mute)];
    let (_, bytes) = led(text, &script, 100_000);
    let (kept, left) = replayed(&bytes);
    let ran = LedClass::of(&kept, &left).unwrap();
    assert_eq!((ran.from, ran.until, left.ended), (Tick::ZERO, Tick::seconds(50), Some(ClassEnding::Done)));
    let [(at, length)] = ran.halts[..] else { panic!("{:?}", ran.halts) };
    let length = Tick::of(length);
    assert!(at.0.abs_diff(10_000) <= 300 && length.0.abs_diff(15_000) <= 300, "{at:?} {length:?}");
    let clock = Passed::real_time(ran.from, [TimeStop { at, length }]);
    let wall = |what: fn(&Written) -> bool| kept.records.iter().find(|record| what(&record.what)).unwrap().wall;
    let passed = wall(|what| matches!(what, Written::Span(_))).duration_until(wall(|what| *what == Written::Done));
    let told = clock.ends(ran.until).unwrap();
    assert!(u64::try_from(passed.as_millis()).unwrap().abs_diff(told.0) <= 300, "{passed:?} {told:?}");
    // What was muted is not reported as said.
    let cut = ran.trim_to_run(ran.course.clone());
    assert_eq!(cut.spans, ran.course.spans);
    let muted = ran.muted[0].start;
    assert!(muted.0.abs_diff(14_000) <= 300 && cut.events.iter().all(|event| event.at < muted), "{muted:?}");
    assert!(!cut.events.is_empty() && cut.events.len() < ran.course.events.len());
    // A class that was ended early has only what ran.
    let ran = LedClass { from: Tick::seconds(5), until: Tick::seconds(35), ..ran };
    let cut = ran.trim_to_run(ran.course.clone());
    let ends = (cut.spans.first().unwrap(), cut.spans.last().unwrap());
    assert_eq!((ends.0.start, ends.0.reps, ends.1.end), (Tick::seconds(5), None, Tick::seconds(35)));
}
