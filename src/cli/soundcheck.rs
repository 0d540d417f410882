//! `forecall soundcheck`: whether everybody will hear and read the class, and whether the computer lasts.

use std::io::{self, Write};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::KeyEvent;
use crossterm::terminal::size;

use super::sight::{DISTANCE, HEIGHT, metres, millimetres, sight};
use super::sounds::Outs;
use super::{Stop, config, dials};
use crate::lead::awake::Awake;
use crate::lead::terminal::{self, Sparing};
use crate::lead::{Channel, Clock, Front, Input, Inputs, Outside, Picture, Real, power};
use crate::schedule::Audience;
use crate::screen::{Look, soundcheck as picture};
use crate::sound::{Engine, Plan, Run, Signal, Sound, Sounding, State};
use crate::soundcheck::{Answer, Effect, Machine, SoundCheck, Verdict, heard, verdict};
use crate::time::Tick;
use crate::voice::Speech;
use crate::words::WORDS;

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
pub fn run(args: &Args, out: &mut impl Write) -> Result<ExitCode, Stop> {
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
    Ok(ExitCode::from(u8::from(!verdict.lacks.is_empty())))
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
        let cannot = |what: &str, error: io::Error| Stop::Cannot(format!("cannot {what}: {error}"));
        let channel: Channel<KeyEvent> = Channel::new();
        channel.listen_to_signals().map_err(|error| cannot("listen to signals", error))?;
        let look = Look::from_env(|name| std::env::var(name).ok());
        let shown = (|| {
            terminal::take_screen()?;
            channel.listen_to_keys(Some)?;
            let draw = |frame: &mut ratatui::Frame, check: &SoundCheck| picture::draw(frame, check, &look);
            let mut front = Picture::new(Sparing::stdout(), picture::face, draw)?;
            self.lead(&mut check, channel, &mut front)
        })();
        terminal::restore();
        shown.map_err(|error| cannot("keep showing the sound check", error))??;
        Ok(check.verdict())
    }

    /// Steps the check until the coach leaves.
    fn lead(
        &self,
        check: &mut SoundCheck,
        mut channel: Channel<KeyEvent>,
        front: &mut impl Front<SoundCheck>,
    ) -> io::Result<Result<(), Stop>> {
        /// How often the state of the computer is read.
        const OFTEN: Duration = Duration::from_millis(250);
        let mut clock = Real::new(1);
        let mut keys = Vec::new();
        loop {
            let now = clock.read().at;
            for effect in check.step(now, self.machine(size().ok()), &keys) {
                match effect {
                    Effect::Quit => return Ok(Ok(())),
                    Effect::Suspend => front.suspend()?,
                    Effect::Keep(set) => {
                        if let Err(stop) = dials::keep(&set) {
                            return Ok(Err(stop));
                        }
                    }
                    effect => self.sound(&effect, &clock),
                }
            }
            front.show(check)?;
            let sleep = check.changes_in().map_or(OFTEN, |ms| clock.until(now.after(ms)).min(OFTEN));
            keys.clear();
            for outside in channel.wait(sleep) {
                match outside {
                    Outside::Input(Input::Press(key)) => keys.push(key),
                    Outside::Input(_) => {}
                    Outside::Redraw => front.forget()?,
                    Outside::End(_) => return Ok(Ok(())),
                }
            }
        }
    }

    fn sound(&self, effect: &Effect, clock: &Real) {
        /// Enough clicks for half an hour of adjusting.
        const CLICKS: u64 = 720;
        let engine = &self.engine;
        let tone = |at: u64, signal: Signal, audience| Sound { at: Tick(at), audience, what: Sounding::Tone(signal) };
        let soon = Instant::now() + Duration::from_millis(300);
        match effect {
            Effect::Tone(signal, channel) => {
                engine.only(*channel);
                engine.tick(*signal);
            }
            Effect::Sentence => {
                engine.only(None);
                let pcm = self.voice.as_ref().and_then(|voice| voice.get(&WORDS.soundcheck.sentence));
                let sound = |pcm| Sound { at: Tick(0), audience: Audience::Class, what: Sounding::Speech(pcm) };
                let plan: Plan = pcm.map(sound).into_iter().collect();
                engine.play(&Arc::new(plan), Run::from(Tick(0)), soon);
            }
            Effect::CountIn => {
                engine.only(None);
                let tones = [(0, Signal::Pip), (1_000, Signal::Pip), (2_000, Signal::Pip), (3_000, Signal::Start)];
                let plan: Plan = tones.into_iter().map(|(at, signal)| tone(at, signal, Audience::Class)).collect();
                engine.play(&Arc::new(plan), Run::from(Tick(0)), soon);
            }
            Effect::Clicks { first, ears, earlier } => {
                engine.only(None);
                let clicks = (0..CLICKS).map(|beat| tone(beat * SoundCheck::BEAT, Signal::Pip, *ears));
                let at = clock.instant(*first);
                let by = Duration::from_millis(earlier.unsigned_abs());
                let at = if *earlier < 0 { at + by } else { at.checked_sub(by).unwrap_or(at) };
                engine.play(&Arc::new(clicks.collect()), Run::from(Tick(0)), at);
            }
            Effect::Hush => engine.silence(),
            Effect::KeepAwake(awake) => engine.keep_awake(*awake),
            Effect::Keep(_) | Effect::Suspend | Effect::Quit => {}
        }
    }
}
