//! `forecall soundcheck`: whether everybody will hear and read the class, and whether the computer lasts.

use std::cell::RefCell;
use std::io::Write;
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::KeyEvent;
use crossterm::terminal::size;

use super::error::OrCannot;
use super::sound_args::DeviceArgs;
use super::viewing::{DISTANCE, HEIGHT, metres, millimetres, sight};
use super::{CommandError, Exit, config, latencies};
use class::schedule::Audience;
use class::time::Tick;
use class::words::WORDS;
use sound::voice::Speech;
use sound::{DeviceState, PlannedSound, PlaybackRun, SoundBus, SoundContent, SoundEngine, SoundPlan, ToneSignal};
use stage::drawing::ScreenTheme;
use stage::runtime::awake::AwakeGuard;
use stage::runtime::terminal::{self, BatchedBackend};
use stage::runtime::{
    AudioNews, AudioOutput, Clock, Console, Incoming, InputSource, RealClock, Recorder, ScreenDisplay, StepInput,
    UpcomingSounds as Playing, power, run as run_loop,
};
use stage::soundcheck::{
    CoachAnswer, SoundCheck, SoundCheckInput, SoundCheckOrder, SoundCheckVerdict, SystemStatus, screen as picture,
    test_sounds, verdict,
};

/// Check sound, screen and power before a class
#[derive(Debug, clap::Args)]
#[command(after_help = "The pages: devices, every tone and a sentence, blink and click, the far end of a call, \
    lettering from a distance, keys, power. The last line says ready, or what is not ready.\n\n\
    Without a terminal or a keyboard, the state of everything is printed, and the last line says the same.")]
pub(crate) struct SoundCheckArgs {
    /// Distance from the screen to the back row, 0.5 to 30 m [default: 4]
    #[arg(long, value_name = "METRES", value_parser = metres)]
    distance: Option<u32>,
    /// Height of the screen, 50 to 5000 mm [default: 174]
    #[arg(long, value_name = "MILLIMETRES", value_parser = millimetres)]
    height: Option<u32>,
    #[command(flatten)]
    outs: DeviceArgs,
}

/// The sound, the voice, and what keeps the computer awake.
struct SoundCheckRun<'a> {
    args: &'a SoundCheckArgs,
    engine: SoundEngine,
    voice: Option<Speech>,
    /// Kept so that the computer stays awake during the check.
    awake: Result<AwakeGuard, String>,
}

/// Runs the check. The exit code is 1 if something is not ready.
///
/// # Errors
/// When the terminal cannot be used, or a dial cannot be saved.
pub(crate) fn run(args: &SoundCheckArgs, out: &mut impl Write) -> Result<Exit, CommandError> {
    let settings = args.outs.settings();
    let (started, keep_awake) = (settings.dials.clone(), settings.keep_awake);
    let shop = SoundCheckRun {
        args,
        engine: SoundEngine::start(&settings),
        voice: args.outs.voice().speech(),
        awake: AwakeGuard::ask(),
    };
    if let Some(voice) = &shop.voice {
        voice.prepare([WORDS.soundcheck.sentence.as_str()]);
    }
    let verdict = if terminal::is_interactive() {
        let check = SoundCheck::new(started, keep_awake, shop.machine(size().ok()));
        shop.on_the_screen(check)?
    } else {
        shop.in_lines(SoundCheck::new(started, keep_awake, shop.settled()), out)?
    };
    writeln!(out, "{}", verdict.line())?;
    Ok(if verdict.lacks.is_empty() { Exit::Well } else { Exit::NotReady })
}

impl SoundCheckRun<'_> {
    fn machine(&self, size: Option<(u16, u16)>) -> SystemStatus {
        let (args, set) = (self.args, config::get());
        let distance = args.distance.or(set.distance).unwrap_or(DISTANCE);
        let height = args.height.or(set.screen_height).unwrap_or(HEIGHT);
        let sight = size.map(|size| sight(distance, height, size));
        SystemStatus {
            devices: self.engine.status(),
            voice: self.voice.as_ref().map(Speech::ready),
            battery: power::charge(),
            may_sleep: self.awake.is_err(),
            sight,
        }
    }

    /// The state of the computer once the voice has spoken and the devices are open. Waits at most 3 s for the devices.
    fn settled(&self) -> SystemStatus {
        const PATIENCE: Duration = Duration::from_secs(3);
        if let Some(voice) = &self.voice {
            voice.wait_all();
        }
        let begun = Instant::now();
        loop {
            let machine = self.machine(None);
            let opening = machine.devices.iter().any(|status| status.state == DeviceState::Opening);
            if !opening || begun.elapsed() > PATIENCE {
                return machine;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Prints everything that can be known without the coach.
    fn in_lines(&self, check: SoundCheck, out: &mut impl Write) -> Result<SoundCheckVerdict, CommandError> {
        for status in &check.machine().devices {
            let line = picture::device_words(status, check.latency_of(&status.device));
            writeln!(out, "{:10}{line}", status.label)?;
        }
        for sound in test_sounds() {
            let (name, about) = picture::sound_words(sound);
            writeln!(out, "{:10}{name}: {about}", "")?;
        }
        for line in picture::power_words(&check) {
            writeln!(out, "{line}")?;
        }
        Ok(verdict(check.machine(), CoachAnswer::None, CoachAnswer::None))
    }

    fn on_the_screen(&self, mut check: SoundCheck) -> Result<SoundCheckVerdict, CommandError> {
        let mut console: Console<KeyEvent> = Console::open(Some).or_cannot("read the keyboard")?;
        let look = ScreenTheme::from_env(|name| std::env::var(name).ok());
        let failed = RefCell::new(None);
        let mut clock = Rc::new(RefCell::new(RealClock::new(1)));
        let mut orders = Orders { shop: self, clock: Rc::clone(&clock), failed: &failed };
        let mut audio = EngineOnly(&self.engine);
        let shown = (|| {
            let _restored = terminal::take_screen_for_now()?;
            console.read_keys();
            let draw = |frame: &mut ratatui::Frame, check: &SoundCheck| picture::draw(frame, check, &look);
            let mut display = ScreenDisplay::new(BatchedBackend::stdout(), picture::fingerprint, draw)?;
            let mut inputs = KeysAndMachine { console, shop: self, failed: &failed };
            run_loop(&mut check, &mut clock, &mut inputs, &mut display, &mut audio, &mut orders)
        })();
        shown.or_cannot("keep showing the sound check")?;
        failed.take().map_or_else(|| Ok(check.verdict()), Err)
    }

    fn sound(&self, order: &SoundCheckOrder, clock: &RealClock) {
        /// Enough clicks for half an hour of adjusting.
        const CLICKS: u64 = 720;
        let engine = &self.engine;
        let tone = |at: u64, signal: ToneSignal, audience| PlannedSound {
            at: Tick(at),
            audience,
            what: SoundContent::Tone(signal),
        };
        let soon = Instant::now() + Duration::from_millis(300);
        match order {
            SoundCheckOrder::Tone(signal, channel) => {
                engine.only(*channel);
                engine.tick(*signal);
            }
            SoundCheckOrder::Sentence => {
                engine.only(None);
                let pcm = self.voice.as_ref().and_then(|voice| voice.get(&WORDS.soundcheck.sentence));
                let sound =
                    |pcm| PlannedSound { at: Tick(0), audience: Audience::Class, what: SoundContent::Speech(pcm) };
                let plan: SoundPlan = pcm.map(sound).into_iter().collect();
                engine.play(&Arc::new(plan), PlaybackRun::from(Tick(0)), soon);
            }
            SoundCheckOrder::CountIn => {
                engine.only(None);
                let tones = [
                    (0, ToneSignal::Pip),
                    (1_000, ToneSignal::Pip),
                    (2_000, ToneSignal::Pip),
                    (3_000, ToneSignal::Start),
                ];
                let plan: SoundPlan = tones.into_iter().map(|(at, signal)| tone(at, signal, Audience::Class)).collect();
                engine.play(&Arc::new(plan), PlaybackRun::from(Tick(0)), soon);
            }
            SoundCheckOrder::Clicks { first, ears, earlier } => {
                engine.only(None);
                let clicks = (0..CLICKS).map(|beat| tone(beat * Tick::of(SoundCheck::BEAT).0, ToneSignal::Pip, *ears));
                let at = clock.instant(*first);
                let by = Duration::from_millis(earlier.unsigned_abs());
                let at = if *earlier < 0 { at + by } else { at.checked_sub(by).unwrap_or(at) };
                engine.play(&Arc::new(clicks.collect()), PlaybackRun::from(Tick(0)), at);
            }
            SoundCheckOrder::KeepAwake(awake) => engine.keep_awake(*awake),
            SoundCheckOrder::Keep(_) | SoundCheckOrder::Hush | SoundCheckOrder::Suspend | SoundCheckOrder::Quit => {}
        }
    }
}

/// Carries out what the check wants done.
struct Orders<'a> {
    shop: &'a SoundCheckRun<'a>,
    clock: Rc<RefCell<RealClock>>,
    failed: &'a RefCell<Option<CommandError>>,
}

impl Recorder<SoundCheck> for Orders<'_> {
    fn record(&mut self, order: &SoundCheckOrder, _: &SoundCheck) {
        match order {
            SoundCheckOrder::Keep(set) => {
                if let Err(stop) = latencies::save(set) {
                    self.failed.replace(Some(stop));
                }
            }
            order => self.shop.sound(order, &self.clock.borrow()),
        }
    }

    fn after_step(&mut self, _: &SoundCheck) -> Option<Duration> {
        None
    }
}

/// The coach's keys and the state of the computer.
struct KeysAndMachine<'a> {
    console: Console<KeyEvent>,
    shop: &'a SoundCheckRun<'a>,
    failed: &'a RefCell<Option<CommandError>>,
}

impl InputSource<SoundCheckInput> for KeysAndMachine<'_> {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<SoundCheckInput>> {
        /// How often the check looks at the state of the computer.
        const OFTEN: Duration = Duration::from_millis(250);
        if self.failed.borrow().is_some() {
            return vec![Incoming::Input(StepInput::Press(SoundCheckInput::NotKept))];
        }
        let incoming = self.console.wait(at_most.min(OFTEN));
        let machine = SoundCheckInput::Machine(self.shop.machine(size().ok()));
        let incoming = incoming.into_iter().map(|incoming| incoming.map(SoundCheckInput::Key));
        std::iter::once(Incoming::Input(StepInput::Press(machine))).chain(incoming).collect()
    }
}

/// The sound of the check goes through its orders; the loop itself only silences.
struct EngineOnly<'a>(&'a SoundEngine);

impl AudioOutput for EngineOnly<'_> {
    fn play(&mut self, _: &Playing, _: Instant) {}

    fn hush(&mut self) {
        self.0.silence();
    }

    fn signal(&mut self, _: ToneSignal) {}

    fn volume(&mut self, _: SoundBus, _: u8) {}

    fn music(&mut self, _: Option<usize>) {}

    fn ring_out(&mut self) {}

    fn news(&mut self) -> Vec<AudioNews> {
        Vec::new()
    }
}
