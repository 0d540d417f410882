//! Leading a class from the command line: what a new class and a resumed class have in common.

use std::io::{self, ErrorKind, IsTerminal, Stdout, stdin, stdout};
use std::path::PathBuf;

use super::error::OrCannot;
use super::music::MusicLists;
use super::notes::note;
use super::sound_args::SoundArgs;
use super::{CommandError, Exit, changeover_costs, colour, config, journals};
use class::check::recovery;
use class::cue::COUNT_IN;
use class::schedule::Schedule;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};
use journal::Journal;
use stage::lead::plain_display::PlainDisplay;
use stage::lead::{ClassOpening, Conductor, Keymap, LeadCommand, opening, screen};
use stage::runtime::awake::AwakeGuard;
use stage::runtime::{
    AudioOutput, Clock, ClockReading, ClockTime, Console, RealClock, RunEnding, StepInput, power, run, run_on_screen,
    terminal, wall_after,
};

/// The options for leading a class.
#[derive(Debug, clap::Args)]
pub(crate) struct ClassRunArgs {
    /// Run N times as fast as planned, 1 to 1000; up to 8 what fits is spoken, above 8 there are only tones
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub speed: u32,
    /// End by a time of day, such as 19:00, instead of the session's slot
    #[arg(long, value_name = "HH:MM")]
    end: Option<String>,
    /// Print one line per event, for screen readers and logs
    #[arg(long)]
    plain: bool,
    /// Play your own music, a file or a folder, instead of the session's music
    #[arg(long, value_name = "PATH", conflicts_with = "no_sound")]
    music: Option<String>,
    /// What the buttons of a clicker or a foot switch do: keyboard, clicker, arrows, two-pedals or three-pedals
    /// [default: keyboard]
    #[arg(long, value_name = "NAME")]
    keymap: Option<Keymap>,
    #[command(flatten)]
    sounds: SoundArgs,
    /// Fail on purpose, to test that the terminal is restored
    #[cfg(debug_assertions)]
    #[arg(long, hide = true)]
    fail: Option<DeliberateFailure>,
}

/// Where to fail on purpose.
#[cfg(debug_assertions)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum DeliberateFailure {
    /// On the thread that leads the class.
    Leading,
    /// On another thread.
    Other,
}

/// A class to lead, new or resumed.
pub(crate) trait ClassToLead {
    /// The schedule of the class, for which the sound is prepared.
    fn schedule(&self) -> &Schedule;

    /// The folder that the paths in the session file are relative to.
    fn folder(&self) -> PathBuf;

    /// Completes how the class opens. The fields that belong to [`ClassRunArgs`] are filled in already.
    ///
    /// # Errors
    /// When an option is wrong.
    fn opening(&self, opening: ClassOpening, now: &ClockReading) -> Result<ClassOpening, CommandError>;

    /// The class with its journal. `fails` is called with the reason if the journal cannot be kept.
    ///
    /// # Errors
    /// When the class cannot be led.
    fn class(
        self,
        opening: ClassOpening,
        now: ClockReading,
        fails: impl FnOnce(&io::Error) + Send + 'static,
    ) -> Result<(Conductor, Option<Journal>), CommandError>;
}

impl ClassRunArgs {
    /// Whether the coach has keys: the terminal can read them.
    pub(crate) fn keys(&self) -> bool {
        // If the output goes elsewhere, raw mode would spoil what the terminal shows.
        stdout().is_terminal() && (self.screen() || stdin().is_terminal())
    }

    /// The key map: from the option, else from the settings, else the built-in one.
    pub(crate) fn keymap(&self) -> Keymap {
        self.keymap.clone().or_else(|| config::get().keymap.clone()).unwrap_or_default()
    }

    fn screen(&self) -> bool {
        !self.plain && stdout().is_terminal()
    }

    /// Leads a class to its end. If a signal ends it, the exit code is 128 plus the number of the signal.
    ///
    /// # Errors
    /// When an option is wrong or the terminal cannot be used.
    pub(crate) fn lead(&self, part: impl ClassToLead) -> Result<Exit, CommandError> {
        let keys = self.keys();
        let mut clock = RealClock::new(self.speed);
        let opening = ClassOpening {
            unattended: !keys,
            muted: self.sounds.mute,
            voicing: self.sounds.speech_settings(self.speed),
            keymap: self.keymap(),
            ..ClassOpening::default()
        };
        let now = clock.read();
        let mut opening = part.opening(opening, &now)?;
        if let Some(text) = &self.end {
            opening.room_free_until = Some(end_time(text, opening.begins, &now)?);
        }

        let keymap = self.keymap();
        let console = Console::open(move |key| keymap.press(key)).or_cannot("read the keyboard")?;
        // Sound is opened before the screen, so that messages of the system's libraries do not land on the screen.
        let music = self.music(&part)?;
        let mut audio = self.sounds.audio(part.schedule(), self.speed, self.screen(), music);
        let awake = AwakeGuard::ask();
        let news = awake.as_ref().err().map(|line| StepInput::Say(line.clone())).into_iter();
        let news = news
            .chain(power::battery().map(|power| StepInput::Machine(vec![(WORDS.lead.system.power.clone(), power)])));
        let rests = recovery::too_soon(part.schedule(), &journals::past()).into_iter();
        let rests = rests.map(|line| StepInput::Machine(vec![(WORDS.lead.system.recovery.clone(), line)]));
        let coach = console.messenger();
        news.chain(rests).for_each(|input| coach.send(input));

        let ready = clock.read();
        let on_key = opening.begins.is_none();
        if !keys && on_key {
            opening.begins = Some(ready.at.after(COUNT_IN));
        }
        let fails = move |why: &io::Error| coach.say(fill(&WORDS.lead.messages.unkept, &[("why", &why.to_string())]));
        let (conductor, journal) = part.class(opening, ready, fails)?;
        let mut class = ClassRun { conductor, clock, console, how: self, journal };
        let led = if self.screen() {
            class.on_the_screen(audio.as_mut())
        } else {
            class.in_lines(keys, on_key, audio.as_mut())
        };
        class.report_end(led)
    }

    /// The music of the class; none if it runs faster than planned.
    fn music(&self, part: &impl ClassToLead) -> Result<MusicLists, CommandError> {
        let session = &part.schedule().session;
        match &self.music {
            _ if self.speed > 1 => Ok(MusicLists::default()),
            Some(path) => MusicLists::of_path(session, path).or_wrong("--music"),
            None => Ok(MusicLists::of_session(session, &part.folder())),
        }
    }

    #[cfg(debug_assertions)]
    #[expect(clippy::panic, reason = "it fails on purpose")]
    fn fail_if_asked(&self, moment: &stage::lead::Moment) {
        if self.fail.is_some() && moment.phase == stage::lead::ClassPhase::Running && moment.now < Tick::SECOND {
            let fail = || panic!("asked to fail");
            match self.fail {
                Some(DeliberateFailure::Other) => drop(std::thread::spawn(fail)),
                _ => fail(),
            }
        }
    }
}

/// When the class has to end, from a time of day.
fn end_time(text: &str, begins: Option<ClockTime>, now: &ClockReading) -> Result<ClockTime, CommandError> {
    let begins = begins.unwrap_or(now.at);
    let wall = wall_after(&now.wall, begins.since(now.at));
    let wait = opening::time_to_end(text, &wall).or_wrong("--end")?;
    Ok(begins.after(wait))
}

/// Everything that leading a class needs.
struct ClassRun<'a> {
    conductor: Conductor,
    clock: RealClock,
    console: Console<LeadCommand>,
    how: &'a ClassRunArgs,
    journal: Option<Journal>,
}

impl ClassRun<'_> {
    fn on_the_screen(&mut self, audio: &mut dyn AudioOutput) -> io::Result<RunEnding> {
        let look = colour::theme();
        #[cfg(debug_assertions)]
        let how = self.how;
        let face = |conductor: &Conductor| screen::fingerprint(&conductor.moment());
        let draw = |frame: &mut ratatui::Frame, conductor: &Conductor| {
            let moment = conductor.moment();
            #[cfg(debug_assertions)]
            how.fail_if_asked(&moment);
            screen::draw(frame, &moment, &look);
        };
        let ClassRun { conductor, clock, console, journal, .. } = self;
        run_on_screen(conductor, clock, console, (face, draw), audio, journal)
    }

    fn in_lines(&mut self, keys: bool, on_key: bool, audio: &mut dyn AudioOutput) -> io::Result<RunEnding> {
        let _restored = keys.then(terminal::take_keys_for_now).transpose()?;
        if keys {
            self.console.read_keys();
        }
        let mut front: PlainDisplay<Stdout> = PlainDisplay::new(stdout(), keys);
        let moment = self.conductor.moment();
        let session = &moment.schedule.session;
        let words = &WORDS.lead.plain;
        let (title, length) = (("title", session.title.as_str()), clock(moment.schedule.total()));
        front.line(&match &moment.ends_at {
            Some(ends) => fill(&words.class_ends_at, &[title, ("length", &length), ("time", ends)]),
            None => fill(&words.class, &[title, ("length", &length)]),
        })?;
        if keys && on_key {
            front.line(&words.keys)?;
        }
        run(&mut self.conductor, &mut self.clock, &mut self.console, &mut front, audio, &mut self.journal)
    }

    /// Saves what was measured, and says where the class ended and what the coach can do now.
    fn report_end(&mut self, led: io::Result<RunEnding>) -> Result<Exit, CommandError> {
        let (now, total) = (self.conductor.now(), self.conductor.schedule().total());
        let whole = |tick: Tick| clock(Tick::seconds(tick.0 / 1000));
        let place = format!("{} of {}", whole(now), whole(total));
        let id = self.journal.as_ref().and_then(Journal::id).map(str::to_owned);
        // Dropping the journal writes what is left of it, before the terminal belongs to the shell again.
        self.journal = None;
        // At another speed there are no people whose changeovers can be measured.
        if self.how.speed == 1
            && let Err(stop) = changeover_costs::save_samples(self.conductor.samples())
        {
            note(&stop.to_string());
        }
        if let Some(id) = id.filter(|_| stdout().is_terminal()) {
            note(&what_next(&id, &led));
        }
        match led {
            Ok(RunEnding::Done) => Ok(Exit::Well),
            Ok(RunEnding::Quit) => {
                note(&format!("Left at {place}."));
                Ok(Exit::Well)
            }
            Ok(RunEnding::Signal(signal)) => {
                note(&format!("Ended by a signal at {place}."));
                Ok(Exit::Signal(signal))
            }
            Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(Exit::Well),
            Err(error) => Err(CommandError::cannot(format_args!("keep showing the class, at {place}"), error)),
        }
    }
}

/// What the coach can do with the recorded class.
fn what_next(id: &str, led: &io::Result<RunEnding>) -> String {
    match led {
        Ok(RunEnding::Done | RunEnding::Quit) => {
            format!("Recorded as {id}: forecall log {id} shows it, forecall log {id} --note \"TEXT\" adds a note.")
        }
        _ => format!("Recorded as {id}: forecall resume {id} continues it."),
    }
}
