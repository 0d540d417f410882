//! `forecall soundcheck`: whether everybody will hear and read the class, and whether the computer lasts.

use std::cell::RefCell;
use std::io::Write;
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::KeyEvent;
use crossterm::terminal::size;

use super::sight::{DISTANCE, HEIGHT, metres, millimetres, sight};
use super::sounds::Outs;
use super::stop::OrCannot;
use super::{Exit, Stop, config, dials};
use class::schedule::Audience;
use class::time::Tick;
use class::words::WORDS;
use sound::voice::Speech;
use sound::{Bus, Engine, Plan, Run, Signal, Sound, Sounding, State};
use stage::drawing::Look;
use stage::runtime::awake::Awake;
use stage::runtime::terminal::{self, BatchedBackend};
use stage::runtime::{
    AudioOutput, Clock, Console, Incoming, Input, Inputs, News, RealClock, Recorder, ScreenDisplay,
    Sounding as Playing, power, run as run_loop,
};
use stage::soundcheck::{Answer, Event, Machine, Order, SoundCheck, Verdict, heard, screen as picture, verdict};

/// Check sound, screen and power before a class
#[derive(Debug, clap::Args)]
#[command(after_help = "The pages: devices, every tone and a sentence, blink and click, the far end of a call, \
    lettering from a distance, keys, power. The last line says ready, or what is not ready.\n\n\
    Without a terminal or a keyboard, the state of everything is printed, and the last line says the same.")]
pub struct Args {
    /// Distance from the screen to the back row, 0.5 to 30 m [default: 4]
    #[arg(long, value_name = "METRES", value_parser = metres)]
    distance: Option<u32>,
    /// Height of the screen, 50 to 5000 mm [default: 174]
    #[arg(long, value_name = "MILLIMETRES", value_parser = millimetres)]
    height: Option<u32>,
    #[command(flatten)]
    outs: Outs,
}

/// The sound, the voice, and what keeps the computer awake.
struct Shop<'a> {
    args: &'a Args,
    engine: Engine,
    voice: Option<Speech>,
    /// Kept so that the computer stays awake during the check.
    awake: Result<Awake, String>,
}

/// Runs the check. The exit code is 1 if something is not ready.
///
/// # Errors
/// When the terminal cannot be used, or a dial cannot be saved.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Exit, Stop> {
    let settings = args.outs.settings();
    let (started, keep_awake) = (settings.dials.clone(), settings.keep_awake);
    let shop = Shop { args, engine: Engine::start(&settings), voice: args.outs.voice().speech(), awake: Awake::ask() };
    if let Some(voice) = &shop.voice {
        voice.prepare([WORDS.soundcheck.sentence.as_str()]);
    }
    let verdict = if terminal::is_here() {
        let check = SoundCheck::new(started, keep_awake, shop.machine(size().ok()));
        shop.on_the_screen(check)?
    } else {
        shop.in_lines(SoundCheck::new(started, keep_awake, shop.settled()), out)?
    };
    writeln!(out, "{}", verdict.line())?;
    Ok(if verdict.lacks.is_empty() { Exit::Well } else { Exit::NotReady })
}

impl Shop<'_> {
    fn machine(&self, size: Option<(u16, u16)>) -> Machine {
        let (args, set) = (self.args, config::get());
        let distance = args.distance.or(set.distance).unwrap_or(DISTANCE);
        let height = args.height.or(set.screen_height).unwrap_or(HEIGHT);
        let sight = size.map(|size| sight(distance, height, size));
        Machine {
            devices: self.engine.status(),
            voice: self.voice.as_ref().map(Speech::ready),
            battery: power::charge(),
            may_sleep: self.awake.is_err(),
            sight,
        }
    }

    /// The state of the computer once the voice has spoken and the devices are open. Waits at most 3 s for the devices.
    fn settled(&self) -> Machine {
        const PATIENCE: Duration = Duration::from_secs(3);
        if let Some(voice) = &self.voice {
            voice.settle();
        }
        let begun = Instant::now();
        loop {
            let machine = self.machine(None);
            let opening = machine.devices.iter().any(|status| status.state == State::Opening);
            if !opening || begun.elapsed() > PATIENCE {
                return machine;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Prints everything that can be known without the coach.
    fn in_lines(&self, check: SoundCheck, out: &mut impl Write) -> Result<Verdict, Stop> {
        for status in &check.machine().devices {
            let line = picture::device_words(status, check.dial_of(&status.device));
            writeln!(out, "{:10}{line}", status.label)?;
        }
        for sound in heard() {
            let (name, about) = picture::heard_words(sound);
            writeln!(out, "{:10}{name}: {about}", "")?;
        }
        for line in picture::power_words(&check) {
            writeln!(out, "{line}")?;
        }
        Ok(verdict(check.machine(), Answer::None, Answer::None))
    }

    fn on_the_screen(&self, mut check: SoundCheck) -> Result<Verdict, Stop> {
        let mut console: Console<KeyEvent> = Console::open(Some).or_cannot("read the keyboard")?;
        let look = Look::from_env(|name| std::env::var(name).ok());
        let failed = RefCell::new(None);
        let mut clock = Rc::new(RefCell::new(RealClock::new(1)));
        let mut orders = Orders { shop: self, clock: Rc::clone(&clock), failed: &failed };
        let mut audio = EngineOnly(&self.engine);
        let shown = (|| {
            let _restored = terminal::take_screen_for_now()?;
            console.read_keys();
            let draw = |frame: &mut ratatui::Frame, check: &SoundCheck| picture::draw(frame, check, &look);
            let mut display = ScreenDisplay::new(BatchedBackend::stdout(), picture::face, draw)?;
            let mut inputs = KeysAndMachine { console, shop: self, failed: &failed };
            run_loop(&mut check, &mut clock, &mut inputs, &mut display, &mut audio, &mut orders)
        })();
        shown.or_cannot("keep showing the sound check")?;
        failed.take().map_or_else(|| Ok(check.verdict()), Err)
    }

    fn sound(&self, order: &Order, clock: &RealClock) {
        /// Enough clicks for half an hour of adjusting.
        const CLICKS: u64 = 720;
        let engine = &self.engine;
        let tone = |at: u64, signal: Signal, audience| Sound { at: Tick(at), audience, what: Sounding::Tone(signal) };
        let soon = Instant::now() + Duration::from_millis(300);
        match order {
            Order::Tone(signal, channel) => {
                engine.only(*channel);
                engine.tick(*signal);
            }
            Order::Sentence => {
                engine.only(None);
                let pcm = self.voice.as_ref().and_then(|voice| voice.get(&WORDS.soundcheck.sentence));
                let sound = |pcm| Sound { at: Tick(0), audience: Audience::Class, what: Sounding::Speech(pcm) };
                let plan: Plan = pcm.map(sound).into_iter().collect();
                engine.play(&Arc::new(plan), Run::from(Tick(0)), soon);
            }
            Order::CountIn => {
                engine.only(None);
                let tones = [(0, Signal::Pip), (1_000, Signal::Pip), (2_000, Signal::Pip), (3_000, Signal::Start)];
                let plan: Plan = tones.into_iter().map(|(at, signal)| tone(at, signal, Audience::Class)).collect();
                engine.play(&Arc::new(plan), Run::from(Tick(0)), soon);
            }
            Order::Clicks { first, ears, earlier } => {
                engine.only(None);
                let clicks = (0..CLICKS).map(|beat| tone(beat * SoundCheck::BEAT, Signal::Pip, *ears));
                let at = clock.instant(*first);
                let by = Duration::from_millis(earlier.unsigned_abs());
                let at = if *earlier < 0 { at + by } else { at.checked_sub(by).unwrap_or(at) };
                engine.play(&Arc::new(clicks.collect()), Run::from(Tick(0)), at);
            }
            Order::KeepAwake(awake) => engine.keep_awake(*awake),
            Order::Keep(_) | Order::Hush | Order::Suspend | Order::Quit => {}
        }
    }
}

/// Carries out what the check wants done.
struct Orders<'a> {
    shop: &'a Shop<'a>,
    clock: Rc<RefCell<RealClock>>,
    failed: &'a RefCell<Option<Stop>>,
}

impl Recorder<SoundCheck> for Orders<'_> {
    fn keep(&mut self, order: &Order, _: &SoundCheck) {
        match order {
            Order::Keep(set) => {
                if let Err(stop) = dials::keep(set) {
                    self.failed.replace(Some(stop));
                }
            }
            order => self.shop.sound(order, &*self.clock.borrow()),
        }
    }

    fn stepped(&mut self, _: &SoundCheck) -> Option<u64> {
        None
    }
}

/// The coach's keys and the state of the computer.
struct KeysAndMachine<'a> {
    console: Console<KeyEvent>,
    shop: &'a Shop<'a>,
    failed: &'a RefCell<Option<Stop>>,
}

impl Inputs<Event> for KeysAndMachine<'_> {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<Event>> {
        /// How often the check looks at the state of the computer.
        const OFTEN: Duration = Duration::from_millis(250);
        if self.failed.borrow().is_some() {
            return vec![Incoming::Input(Input::Press(Event::NotKept))];
        }
        let incoming = self.console.wait(at_most.min(OFTEN));
        let machine = Event::Machine(self.shop.machine(size().ok()));
        let incoming = incoming.into_iter().map(|incoming| incoming.map(Event::Key));
        std::iter::once(Incoming::Input(Input::Press(machine))).chain(incoming).collect()
    }
}

/// The sound of the check goes through its orders; the loop itself only silences.
struct EngineOnly<'a>(&'a Engine);

impl AudioOutput for EngineOnly<'_> {
    fn play(&mut self, _: &Playing, _: Instant) {}

    fn hush(&mut self) {
        self.0.silence();
    }

    fn signal(&mut self, _: Signal) {}

    fn volume(&mut self, _: Bus, _: u8) {}

    fn music(&mut self, _: Option<usize>) {}

    fn ring_out(&mut self) {}

    fn news(&mut self) -> Vec<News> {
        Vec::new()
    }
}
