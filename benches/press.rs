//! The time from a key to the new screen, written out for a terminal, and to the new score of the sound engine. A class
//! of 90 minutes is led with everything that a coach may press, and its journal is on the disk. 99 of 100 presses have
//! to take at most 50 ms.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io;
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use class::cue::SpeechSettings;
use class::movement::{Catalogue, Movement};
use class::schedule::{Schedule, compile};
use class::session::{Session, SpeechLevel, read};
use journal::TimedHappening;
use journal::{Journal, JournalFolder, JournalHeader, OpeningRecord as Opened, StoredFile, VERSION};
use ratatui::Frame;
use ratatui::backend::{Backend, ClearType, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};
use sound::plan_of;
use sound::{Pcm, PlaybackRun, Score, SoundBus, ToneSamples, ToneSignal};
use stage::drawing::ScreenTheme;
use stage::lead::screen::{draw, fingerprint};
use stage::lead::{ClassOpening, Conductor, LeadCommand};
use stage::runtime::terminal::BatchedBackend;
use stage::runtime::{
    AudioNews, AudioOutput, Clock, DisplayKind, DisplayOutput, Incoming, InputSource, ScreenDisplay, StepInput,
    SteppedClock, UpcomingSounds, run,
};

/// The rate of the sound device.
const RATE: u32 = 48_000;
const SIZE: Size = Size { width: 200, height: 60 };
/// How many presses are measured at each level.
const PRESSES: usize = 3_000;

/// The times of one press, filled in as they are measured.
#[derive(Clone, Copy)]
struct Taken {
    press: LeadCommand,
    began: Instant,
    score: Option<Duration>,
    screen: Option<Duration>,
}

#[derive(Default)]
struct Times {
    running: Option<Taken>,
    all: Vec<Taken>,
}

type Shared = Rc<RefCell<Times>>;

/// A coach who presses keys at random, the same ones in every run.
struct Coach {
    clock: SteppedClock,
    times: Shared,
    random: u64,
    /// Presses that belong together; the next one is the last in the list.
    to_come: Vec<LeadCommand>,
    wait: u64,
}

impl Coach {
    fn number(&mut self, below: u64) -> u64 {
        self.random = self.random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.random >> 33) % below
    }

    fn intend(&mut self) {
        use LeadCommand::{
            Again, Back, Close, Far, Go, Help, Less, Longer, Mark, More, Mute, Next, NotNow, Offer, Redo, SayAgain,
            Shorter, Undo,
        };
        self.to_come = match self.number(20) {
            0..=6 => {
                let steps = 1 + self.number(14) as usize;
                [vec![Go], vec![Offer; steps]].concat()
            }
            7 => vec![Go, Go, Go],
            8 => vec![Next],
            9 => vec![Back],
            10 => vec![Again],
            11 => vec![Longer],
            12 => vec![Shorter],
            13 | 14 => vec![Undo],
            15 => vec![Redo, Undo],
            16 => vec![Close],
            17 => vec![Mark, NotNow, SayAgain],
            18 => vec![More, Less],
            _ => vec![Mute, Mute, Far, Far, Help, Help],
        };
    }
}

impl InputSource<LeadCommand> for Coach {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<LeadCommand>> {
        if self.times.borrow().all.len() >= PRESSES {
            return vec![Incoming::End(0)];
        }
        let ms = self.wait.min(u64::try_from(at_most.as_millis()).unwrap_or(1_000).max(1));
        self.clock.step(Duration::from_millis(ms));
        self.wait -= ms;
        if self.wait > 0 {
            return Vec::new();
        }
        if self.to_come.is_empty() {
            self.intend();
        }
        let press = self.to_come.pop().unwrap_or(LeadCommand::Next);
        // Before open offers close, and after a second press counts again.
        self.wait = if self.to_come.is_empty() { 1_600 + self.number(6_000) } else { 750 + self.number(500) };
        self.times.borrow_mut().running = Some(Taken { press, began: Instant::now(), score: None, screen: None });
        vec![Incoming::Input(StepInput::Press(press))]
    }
}

/// A room with two devices, for the class and for the coach's ear, and with all speech ready.
struct Engine {
    times: Shared,
    tones: ToneSamples,
    speech: Pcm,
}

impl AudioOutput for Engine {
    fn play(&mut self, part: &UpcomingSounds, _: Instant) {
        let plan = plan_of(&part.events, &|_| Some(self.speech.clone()));
        let run = PlaybackRun { count_in: !part.after.is_zero(), keeps_sounding: true, ..PlaybackRun::from(part.from) };
        for class in [true, false] {
            let ears = |audience| (audience == class::schedule::Audience::Class) == class;
            std::hint::black_box(Score::new(&plan, &run, RATE, &self.tones, ears));
        }
        if let Some(taken) = &mut self.times.borrow_mut().running {
            taken.score = Some(taken.began.elapsed());
        }
    }

    fn hush(&mut self) {}

    fn signal(&mut self, _: ToneSignal) {}

    fn volume(&mut self, _: SoundBus, _: u8) {}

    fn music(&mut self, _: Option<usize>) {}

    fn ring_out(&mut self) {}

    fn news(&mut self) -> Vec<AudioNews> {
        Vec::new()
    }
}

/// The real picture, with a timer.
struct Watched<P> {
    picture: P,
    times: Shared,
}

impl<P: DisplayOutput<Conductor>> DisplayOutput<Conductor> for Watched<P> {
    fn watcher(&self) -> DisplayKind {
        self.picture.watcher()
    }

    fn stays_after_class(&self) -> bool {
        false
    }

    fn tell(&mut self, told: &TimedHappening, conductor: &Conductor) -> io::Result<()> {
        self.picture.tell(told, conductor)
    }

    fn show(&mut self, conductor: &Conductor) -> io::Result<()> {
        self.picture.show(conductor)?;
        let mut times = self.times.borrow_mut();
        if let Some(mut taken) = times.running.take() {
            taken.screen = Some(taken.began.elapsed());
            times.all.push(taken);
        }
        Ok(())
    }

    fn redraw_all(&mut self) -> io::Result<()> {
        self.picture.redraw_all()
    }

    fn suspend(&mut self) -> io::Result<()> {
        self.picture.suspend()
    }
}

/// A terminal of one size that discards its bytes.
struct Terminal(BatchedBackend<io::Sink>);

impl Backend for Terminal {
    type Error = io::Error;

    fn draw<'a, I: Iterator<Item = (u16, u16, &'a Cell)>>(&mut self, content: I) -> io::Result<()> {
        self.0.draw(content)
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        self.0.hide_cursor()
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        self.0.show_cursor()
    }

    fn get_cursor_position(&mut self) -> io::Result<Position> {
        self.0.get_cursor_position()
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.0.set_cursor_position(position)
    }

    fn clear(&mut self) -> io::Result<()> {
        self.0.clear()
    }

    fn clear_region(&mut self, kind: ClearType) -> io::Result<()> {
        self.0.clear_region(kind)
    }

    fn size(&self) -> io::Result<Size> {
        Ok(SIZE)
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        Ok(WindowSize { columns_rows: SIZE, pixels: Size::default() })
    }

    fn flush(&mut self) -> io::Result<()> {
        Backend::flush(&mut self.0)
    }
}

/// The 45-minute demo class twice, in a slot that is a little too short.
fn ninety_minutes(text: &str) -> Schedule {
    let once = read(text, Catalogue::built_in()).session.expect("the demo class has no fault");
    let blocks = once.blocks.iter().cycle().take(once.blocks.len() * 2).cloned().collect();
    let slot = once.slot.map(|slot| slot + slot);
    compile(Arc::new(Session { blocks, slot, ..once }))
}

/// Leads classes at a level until there are enough presses.
fn lead(level: SpeechLevel) -> io::Result<Vec<Taken>> {
    let text = include_str!("../sessions/frost-and-oars.ron");
    let times = Shared::default();
    let folder = tempfile::tempdir()?;
    let movements: Vec<Arc<Movement>> = Catalogue::built_in().iter().cloned().collect();
    let noise = (0..35_000i32).map(|n| (n.wrapping_mul(7_919) % 1_000) as f32 / 4_000.0).collect();
    let speech = Pcm::levelled(22_050, noise).ok_or_else(|| io::Error::other("no speech"))?;
    let mut room = Engine { times: times.clone(), tones: ToneSamples::at(RATE), speech };
    let mut random = 6;
    while times.borrow().all.len() < PRESSES {
        let schedule = ninety_minutes(text);
        let mut clock = SteppedClock::new("2026-01-10T18:00:00+00:00[UTC]".parse().expect("a time"));
        let reading = clock.read();
        let header = JournalHeader {
            journal: VERSION,
            program: "bench".to_owned(),
            wall: reading.wall.clone(),
            speed: 1,
            session: StoredFile::new("class.ron".to_owned(), text.to_owned()),
            movements: Vec::new(),
            learned: Vec::new(),
            opening: Opened::default(),
            plan_ms: schedule.total().0,
        };
        let (to, wall) = (JournalFolder::new(folder.path().to_owned()), reading.wall.clone());
        let open = move || {
            let (id, disk) = to.create(&wall)?;
            Ok((id, Box::new(disk) as _))
        };
        let mut journal = Journal::new(header, Box::new(open), |why| eprintln!("{why}"));
        let voicing = SpeechSettings { level: Some(level), ..SpeechSettings::default() };
        let opening =
            ClassOpening { movements: movements.clone(), unattended: true, voicing, ..ClassOpening::default() };
        let mut conductor = Conductor::new(schedule, opening, reading);
        let (clock_of_coach, to_come) = (clock.clone(), vec![LeadCommand::Go, LeadCommand::Go]);
        let mut coach = Coach { clock: clock_of_coach, times: times.clone(), random, to_come, wait: 1_000 };
        let look = ScreenTheme::default();
        let seen = |conductor: &Conductor| fingerprint(&conductor.moment());
        let show = |frame: &mut Frame, conductor: &Conductor| draw(frame, &conductor.moment(), &look);
        let picture = ScreenDisplay::new(Terminal(BatchedBackend::new(io::sink())), seen, show)?;
        let mut front = Watched { picture, times: times.clone() };
        run(&mut conductor, &mut clock, &mut coach, &mut front, &mut room, &mut journal)?;
        random = coach.random;
    }
    let all = std::mem::take(&mut times.borrow_mut().all);
    Ok(all)
}

/// The time that `percent` of all times do not exceed.
fn percentile(times: &mut [Duration], percent: usize) -> Duration {
    times.sort_unstable();
    times.get((times.len() * percent).div_ceil(100).saturating_sub(1)).copied().unwrap_or_default()
}

fn line(name: &str, mut times: Vec<Duration>) {
    let ms = |time: Duration| time.as_secs_f64() * 1000.0;
    let (median, most) = (ms(percentile(&mut times, 50)), ms(percentile(&mut times, 100)));
    let high = ms(percentile(&mut times, 99));
    println!("{name:<28} {:>5}   median {median:>6.2} ms   99th {high:>6.2} ms   most {most:>6.2} ms", times.len());
}

fn main() -> io::Result<()> {
    for level in [SpeechLevel::Changes, SpeechLevel::Full] {
        let all = lead(level)?;
        println!("{level}: {} presses, {} x {}", all.len(), SIZE.width, SIZE.height);
        line("  to the screen", all.iter().filter_map(|taken| taken.screen).collect());
        line("  to the score", all.iter().filter_map(|taken| taken.score).collect());
        let mut kinds: BTreeMap<String, Vec<Duration>> = BTreeMap::new();
        for taken in &all {
            kinds.entry(format!("    {:?}", taken.press)).or_default().extend(taken.screen);
        }
        kinds.into_iter().for_each(|(kind, times)| line(&kind, times));
    }
    Ok(())
}
