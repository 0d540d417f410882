//! The run loop on a stepped clock: a whole class in lines, and a picture that is drawn only when it changes.

use crate::classes;

use std::cell::{Cell, RefCell};
use std::io;
use std::rc::Rc;
use std::time::{Duration, Instant};

use class::movement::{KitItem, Load, NeededKit, Position, Sides, TempoGuide};
use class::schedule::compile;
use class::session::{BlockFormat, BlockStart, Session, WorkAmount};
use class::time::{FirstPhase, Tick};
use classes::{block, movement, session, station, station_of};
use sound::{SoundBus, ToneSignal};
use stage::lead::plain_display::PlainDisplay;
use stage::lead::{ClassOpening, ClassPhase, Conductor, LeadCommand};
use stage::runtime::{
    AudioNews, AudioOutput, Clock, ClockTime, Incoming, InputSource, NoAudio, NoRecorder, RunEnding, ScreenDisplay,
    StepInput, SteppedClock, UpcomingSounds, run, terminal,
};
use std::sync::Arc;

/// Input at fixed times of the clock. Waiting moves the clock.
struct Script {
    clock: SteppedClock,
    at: u64,
    left: Vec<(u64, Incoming<LeadCommand>)>,
    waits: Rc<Cell<u32>>,
}

impl Script {
    fn new(clock: &SteppedClock, script: &[(u64, Incoming<LeadCommand>)]) -> Script {
        Script { clock: clock.clone(), at: 0, left: script.to_vec(), waits: Rc::default() }
    }
}

impl InputSource<LeadCommand> for Script {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<LeadCommand>> {
        self.waits.set(self.waits.get() + 1);
        assert!(self.waits.get() < 100_000, "the loop spins");
        let at_most = u64::try_from(at_most.as_millis()).unwrap();
        let ms = self.left.first().map_or(at_most, |(at, _)| at.saturating_sub(self.at).min(at_most));
        self.clock.step(Duration::from_millis(ms));
        self.at += ms;
        let due = self.left.partition_point(|(at, _)| *at <= self.at);
        self.left.drain(..due).map(|(_, outside)| outside).collect()
    }
}

/// A room that notes every call.
#[derive(Clone, Default)]
struct Noted(Rc<RefCell<Vec<String>>>);

impl AudioOutput for Noted {
    fn play(&mut self, sounding: &UpcomingSounds, _: Instant) {
        let count = sounding.events.len();
        self.0.borrow_mut().push(format!("{:?} in {} ms, {count} events", sounding.from, sounding.after.as_millis()));
    }

    fn hush(&mut self) {
        self.0.borrow_mut().push("hush".into());
    }

    fn signal(&mut self, signal: ToneSignal) {
        self.0.borrow_mut().push(format!("signal {signal}"));
    }

    fn volume(&mut self, bus: SoundBus, percent: u8) {
        self.0.borrow_mut().push(format!("{bus} {percent} %"));
    }

    fn music(&mut self, block: Option<usize>) {
        self.0.borrow_mut().push(format!("music of {block:?}"));
    }

    fn ring_out(&mut self) {
        self.0.borrow_mut().push("ring out".into());
    }

    fn news(&mut self) -> Vec<AudioNews> {
        Vec::new()
    }
}

fn press(at: u64, press: LeadCommand) -> (u64, Incoming<LeadCommand>) {
    (at, Incoming::Input(StepInput::Press(press)))
}

fn clock() -> SteppedClock {
    SteppedClock::new("2026-01-10T18:10:00+00:00[UTC]".parse().unwrap())
}

/// A class in which every kind of line occurs.
fn small() -> Arc<Session> {
    let mut swing = movement("swing", Position::Standing);
    swing.kit = vec![NeededKit { item: KitItem("kettlebell".into()), load: Some(Load::Heavy), count: 1 }];
    swing.guide = Some(TempoGuide {
        tempo: "1-0-1-0".parse().unwrap(),
        starts: FirstPhase::Lift,
        lower: "lower".into(),
        lift: "lift".into(),
    });
    let mut bridge = movement("bridge", Position::Supine);
    bridge.sides = Sides::LeftThenRight;
    let mut swing = station_of(swing, WorkAmount::Time(Tick::seconds(20)));
    swing.rest = Tick::seconds(10);
    let bridge = station_of(bridge, WorkAmount::Time(Tick::seconds(40)));
    let mut a = block(BlockFormat::Circuit, vec![swing, bridge]);
    a.name = "Hinge".into();
    a.rounds = 2;
    a.round_rest = Tick::seconds(15);
    a.rest_after = Tick::seconds(20);
    let mut b =
        block(BlockFormat::Amrap { time: Tick::seconds(60) }, vec![station("row", Tick(1)), station("hop", Tick(1))]);
    b.name = "Finish".into();
    b.start = BlockStart::OnKey;
    b.briefing = Tick::seconds(10);
    let mut session = Arc::unwrap_or_clone(session(vec![a, b]));
    session.emergency = Some("Boathouse, river side door; call 112".into());
    Arc::new(session)
}

fn lines(session: Arc<Session>, opening: ClassOpening, script: &[(u64, Incoming<LeadCommand>)]) -> (RunEnding, String) {
    let mut clock = clock();
    let mut inputs = Script::new(&clock, script);
    let mut conductor = Conductor::new(compile(session), opening, clock.read());
    let mut out = Vec::new();
    let mut front = PlainDisplay::new(&mut out, false);
    let ending = run(&mut conductor, &mut clock, &mut inputs, &mut front, &mut NoAudio, &mut NoRecorder).unwrap();
    (ending, String::from_utf8(out).unwrap())
}

#[test]
fn a_class_nobody_attends_runs_through_in_lines() {
    let opening =
        ClassOpening { begins: Some(ClockTime(Duration::from_secs(5))), unattended: true, ..ClassOpening::default() };
    let (ending, out) = lines(small(), opening, &[]);
    assert_eq!(ending, RunEnding::Done);
    insta::assert_snapshot!(out);
}

#[test]
fn a_class_with_keys_in_lines() {
    let script = [
        press(3_000, LeadCommand::Go),
        press(5_000, LeadCommand::Go),
        press(9_000, LeadCommand::Next),
        press(21_000, LeadCommand::Go),
        press(28_000, LeadCommand::Go),
        press(34_000, LeadCommand::Back),
        press(36_000, LeadCommand::Less),
        press(37_000, LeadCommand::Mute),
        press(38_000, LeadCommand::Mute),
        press(40_000, LeadCommand::Stop),
        press(41_000, LeadCommand::Quit),
        press(42_000, LeadCommand::Yes),
    ];
    let (ending, out) = lines(small(), ClassOpening::default(), &script);
    assert_eq!(ending, RunEnding::Quit);
    insta::assert_snapshot!(out);
}

#[test]
fn a_signal_ends_a_class_at_once() {
    let script = [press(0, LeadCommand::Go), (12_000, Incoming::End(15))];
    let (ending, out) = lines(small(), ClassOpening::default(), &script);
    assert_eq!(ending, RunEnding::Signal(15));
    // Class time is at 7 s then, and there is no line for anything later.
    assert!(out.lines().all(|line| line.trim_start() < "0:08"), "{out}");
}

#[test]
fn lines_that_nobody_reads_end_the_class() {
    struct Gone;
    impl io::Write for Gone {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(io::ErrorKind::BrokenPipe.into())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let mut clock = clock();
    let mut inputs = Script::new(&clock, &[press(0, LeadCommand::Go)]);
    let mut conductor = Conductor::new(compile(small()), ClassOpening::default(), clock.read());
    let ended = run(
        &mut conductor,
        &mut clock,
        &mut inputs,
        &mut PlainDisplay::new(Gone, false),
        &mut NoAudio,
        &mut NoRecorder,
    );
    assert_eq!(ended.unwrap_err().kind(), io::ErrorKind::BrokenPipe);
}

#[test]
fn the_room_is_told_where_from_and_when() {
    let mut clock = clock();
    let script = [
        press(0, LeadCommand::Go),
        press(10_000, LeadCommand::Go),
        press(11_000, LeadCommand::Go),
        (17_000, Incoming::End(1)),
    ];
    let mut inputs = Script::new(&clock, &script);
    let mut conductor = Conductor::new(compile(small()), ClassOpening::default(), clock.read());
    let mut room = Noted::default();
    run(&mut conductor, &mut clock, &mut inputs, &mut PlainDisplay::new(io::sink(), false), &mut room, &mut NoRecorder)
        .unwrap();
    let noted = room.0.borrow();
    let from: Vec<&str> = noted.iter().map(|line| line.split(',').next().unwrap()).collect();
    assert_eq!(
        from,
        ["0.000s in 5000 ms", "music of Some(0)", "hush", "5.000s in 5000 ms", "music of Some(0)", "hush"]
    );
}

/// Records the bytes that reach the terminal.
#[derive(Clone, Default)]
struct Wire(Rc<RefCell<Vec<Vec<u8>>>>);

impl io::Write for Wire {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().push(bytes.to_vec());
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn nothing_is_written_while_nothing_looks_different() {
    use ratatui::backend::Backend;
    let wire = Wire::default();
    let mut backend = terminal::BatchedBackend::new(wire.clone());
    let cell = ratatui::buffer::Cell::new("x");
    for _ in 0..3 {
        backend.hide_cursor().unwrap();
        backend.draw(std::iter::empty()).unwrap();
        backend.flush().unwrap();
    }
    let quiet = wire.0.borrow().concat().len();
    assert_eq!(quiet, b"\x1b[?25l".len(), "the cursor hidden once, and nothing else");
    backend.draw([(0, 0, &cell)].into_iter()).unwrap();
    backend.flush().unwrap();
    let written = String::from_utf8(wire.0.borrow().concat()).unwrap();
    let drawn = &written[quiet..];
    assert!(drawn.starts_with("\x1b[?2026h") && drawn.ends_with("\x1b[?2026l") && drawn.contains('x'), "{drawn:?}");
}

#[test]
fn a_picture_is_drawn_about_once_a_second_and_not_in_a_busy_loop() {
    use ratatui::backend::TestBackend;
    let mut clock = clock();
    let script = [press(0, LeadCommand::Go), (65_000, Incoming::End(1))];
    let mut inputs = Script::new(&clock, &script);
    let waits = inputs.waits.clone();
    let mut conductor = Conductor::new(compile(small()), ClassOpening::default(), clock.read());
    let phases = RefCell::new(Vec::new());
    let backend = Infallible(TestBackend::new(20, 2));
    let face = |conductor: &Conductor| stage::lead::screen::fingerprint(&conductor.moment());
    let mut picture = ScreenDisplay::new(backend, face, |frame: &mut ratatui::Frame, conductor: &Conductor| {
        let moment = conductor.moment();
        phases.borrow_mut().push(moment.phase);
        frame.render_widget(format!("{:?}", moment.now), frame.area());
    })
    .unwrap();
    run(&mut conductor, &mut clock, &mut inputs, &mut picture, &mut NoAudio, &mut NoRecorder).unwrap();
    assert!((65..130).contains(&waits.get()), "{} draws in 65 s", waits.get());
    let phases = phases.borrow();
    let seen: Vec<u128> = phases
        .iter()
        .filter_map(|phase| match phase {
            ClassPhase::CountIn { left } => Some(left.as_millis()),
            _ => None,
        })
        .collect();
    assert_eq!(seen, [5_000, 4_000, 3_000, 2_000, 1_000], "each digit on its own tick");
}

/// A test backend with the error type of a terminal.
struct Infallible(ratatui::backend::TestBackend);

impl ratatui::backend::Backend for Infallible {
    type Error = io::Error;

    fn draw<'a, I: Iterator<Item = (u16, u16, &'a ratatui::buffer::Cell)>>(&mut self, content: I) -> io::Result<()> {
        self.0.draw(content).map_err(|never| match never {})
    }
    fn hide_cursor(&mut self) -> io::Result<()> {
        self.0.hide_cursor().map_err(|never| match never {})
    }
    fn show_cursor(&mut self) -> io::Result<()> {
        self.0.show_cursor().map_err(|never| match never {})
    }
    fn get_cursor_position(&mut self) -> io::Result<ratatui::layout::Position> {
        self.0.get_cursor_position().map_err(|never| match never {})
    }
    fn set_cursor_position<P: Into<ratatui::layout::Position>>(&mut self, position: P) -> io::Result<()> {
        self.0.set_cursor_position(position).map_err(|never| match never {})
    }
    fn clear(&mut self) -> io::Result<()> {
        self.0.clear().map_err(|never| match never {})
    }
    fn clear_region(&mut self, clear_type: ratatui::backend::ClearType) -> io::Result<()> {
        self.0.clear_region(clear_type).map_err(|never| match never {})
    }
    fn size(&self) -> io::Result<ratatui::layout::Size> {
        self.0.size().map_err(|never| match never {})
    }
    fn window_size(&mut self) -> io::Result<ratatui::backend::WindowSize> {
        self.0.window_size().map_err(|never| match never {})
    }
    fn flush(&mut self) -> io::Result<()> {
        self.0.flush().map_err(|never| match never {})
    }
}
