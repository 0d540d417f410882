//! Leading a class from the command line: what a fresh one and one that is taken up again have in common.

use std::io::{self, ErrorKind, IsTerminal, Stdout, stdin, stdout};
use std::path::PathBuf;

use jiff::SignedDuration;

use super::music::Lists;
use super::notes::note;
use super::sounds::Sounds;
use super::stop::OrCannot;
use super::{Exit, Stop, colour, config, journals, transitions};
use class::check::recovery;
use class::cue::COUNT_IN;
use class::schedule::Schedule;
use class::time::{Tick, clock};
use class::words::{WORDS, fill};
use journal::Journal;
use stage::lead::plain::Lines;
use stage::lead::{Conductor, Keymap, Opening, Press, opening, screen};
use stage::runtime::awake::Awake;
use stage::runtime::{
    AudioOutput, Clock, ClockTime, Console, Ending, Input, Reading, RealClock, power, run, run_on_screen, terminal,
};

/// How a class is led.
#[derive(Debug, clap::Args)]
pub struct How {
    /// Run so many times as fast, to see how a class goes; up to 8 what fits is spoken, above that only tones sound
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub speed: u32,
    /// End by a time of day, such as 19:00, in place of the session's slot
    #[arg(long, value_name = "HH:MM")]
    end: Option<String>,
    /// Tell the class in lines, one an event, for logs and screen readers
    #[arg(long)]
    plain: bool,
    /// Your own music under the whole class, a file or a folder, instead of what the session names
    #[arg(long, value_name = "PATH", conflicts_with = "no_sound")]
    music: Option<String>,
    /// What the buttons of a clicker or a foot switch mean: keyboard, clicker, arrows, two-pedals, three-pedals
    #[arg(long, value_name = "NAME")]
    keymap: Option<Keymap>,
    #[command(flatten)]
    sounds: Sounds,
    /// Fail on purpose, to see that the terminal comes back
    #[cfg(debug_assertions)]
    #[arg(long, hide = true)]
    fail: Option<Fail>,
}

/// Where to fail on purpose.
#[cfg(debug_assertions)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Fail {
    /// On the thread that leads.
    Leading,
    /// On another.
    Other,
}

/// What is led.
pub trait Part {
    /// The class as it stands, to prepare its sound by.
    fn schedule(&self) -> &Schedule;

    /// What the paths in its file are relative to.
    fn folder(&self) -> PathBuf;

    /// How it opens; what belongs to [`How`] is filled in.
    ///
    /// # Errors
    /// When an option is wrong.
    fn opening(&self, opening: Opening, now: &Reading) -> Result<Opening, Stop>;

    /// The class, with its journal. `fails` is told when that cannot be kept.
    ///
    /// # Errors
    /// When the class cannot be led.
    fn class(
        self,
        opening: Opening,
        now: Reading,
        fails: impl FnOnce(String) + Send + 'static,
    ) -> Result<(Conductor, Option<Journal>), Stop>;
}

impl How {
    /// Whether the class has keys: a terminal that takes them.
    pub fn keys(&self) -> bool {
        // Raw keys in a terminal whose lines go elsewhere would spoil what it shows.
        stdout().is_terminal() && (self.screen() || stdin().is_terminal())
    }

    /// What is given before what is set.
    pub fn keymap(&self) -> Keymap {
        self.keymap.clone().or_else(|| config::get().keymap.clone()).unwrap_or_default()
    }

    fn screen(&self) -> bool {
        !self.plain && stdout().is_terminal()
    }

    /// Leads a class to its end. The exit code is that of the signal, where one ends it: 128 and its number.
    ///
    /// # Errors
    /// When an option is wrong or the terminal cannot be had.
    pub fn lead(&self, part: impl Part) -> Result<Exit, Stop> {
        let keys = self.keys();
        let mut clock = RealClock::new(u64::from(self.speed));
        let opening = Opening {
            unattended: !keys,
            muted: self.sounds.mute,
            voicing: self.sounds.voicing(self.speed),
            keymap: self.keymap(),
            ..Opening::default()
        };
        let now = clock.read();
        let mut opening = part.opening(opening, &now)?;
        if let Some(text) = &self.end {
            opening.room_until = Some(end(text, opening.begins, &now)?);
        }

        let keymap = self.keymap();
        let console = Console::open(move |key| keymap.press(key)).or_cannot("take keys")?;
        // Sound before the screen: what the system's libraries print then does not land on it.
        let music = self.music(&part)?;
        let mut audio = self.sounds.audio(part.schedule(), self.speed, self.screen(), music);
        let awake = Awake::ask();
        let news = awake.as_ref().err().map(|line| Input::Say(line.clone())).into_iter();
        let news =
            news.chain(power::battery().map(|power| Input::Machine(vec![(WORDS.lead.machine.power.clone(), power)])));
        let rests = recovery::too_soon(part.schedule(), &journals::past()).into_iter();
        let rests = rests.map(|line| Input::Machine(vec![(WORDS.lead.machine.recovery.clone(), line)]));
        let coach = console.messenger();
        news.chain(rests).for_each(|input| coach.send(input));

        let ready = clock.read();
        let on_key = opening.begins.is_none();
        if !keys && on_key {
            opening.begins = Some(ready.at.after(COUNT_IN));
        }
        let fails = move |why: String| coach.say(fill(&WORDS.lead.messages.unkept, &[("why", &why)]));
        let (conductor, journal) = part.class(opening, ready, fails)?;
        let mut class = Class { conductor, clock, console, how: self, journal };
        let led = if self.screen() {
            class.on_the_screen(audio.as_mut())
        } else {
            class.in_lines(keys, on_key, audio.as_mut())
        };
        class.left(led)
    }

    /// What is played under the class. Nothing at more than the speed of life.
    fn music(&self, part: &impl Part) -> Result<Lists, Stop> {
        let session = &part.schedule().session;
        match &self.music {
            _ if self.speed > 1 => Ok(Lists::default()),
            Some(path) => Lists::of_path(session, path).map_err(|why| Stop::Cannot(format!("--music: {why}"))),
            None => Ok(Lists::of_session(session, &part.folder())),
        }
    }

    #[cfg(debug_assertions)]
    #[expect(clippy::panic, reason = "that is what it is for")]
    fn fail_if_asked(&self, moment: &stage::lead::Moment) {
        if self.fail.is_some() && moment.phase == stage::lead::Phase::Running && moment.now < Tick::SECOND {
            let fail = || panic!("asked to fail");
            match self.fail {
                Some(Fail::Other) => drop(std::thread::spawn(fail)),
                _ => fail(),
            }
        }
    }
}

/// When the room is needed, by a time of day.
fn end(text: &str, begins: Option<ClockTime>, now: &Reading) -> Result<ClockTime, Stop> {
    let begins = begins.unwrap_or(now.at);
    let wait = SignedDuration::from_millis(i64::try_from(begins.since(now.at)).unwrap_or(i64::MAX));
    let wall = now.wall.checked_add(wait).unwrap_or_else(|_| now.wall.clone());
    let ms = opening::time_to_end(text, &wall).map_err(|why| Stop::Cannot(format!("--end: {why}")))?;
    Ok(begins.after(ms))
}

/// All that a class is led with.
struct Class<'a> {
    conductor: Conductor,
    clock: RealClock,
    console: Console<Press>,
    how: &'a How,
    journal: Option<Journal>,
}

impl Class<'_> {
    fn on_the_screen(&mut self, audio: &mut dyn AudioOutput) -> io::Result<Ending> {
        let look = colour::look();
        #[cfg(debug_assertions)]
        let how = self.how;
        let face = |conductor: &Conductor| screen::face(&conductor.moment());
        let draw = |frame: &mut ratatui::Frame, conductor: &Conductor| {
            let moment = conductor.moment();
            #[cfg(debug_assertions)]
            how.fail_if_asked(&moment);
            screen::draw(frame, &moment, &look);
        };
        let Class { conductor, clock, console, journal, .. } = self;
        run_on_screen(conductor, clock, console, (face, draw), audio, journal)
    }

    fn in_lines(&mut self, keys: bool, on_key: bool, audio: &mut dyn AudioOutput) -> io::Result<Ending> {
        let _restored = keys.then(terminal::take_keys_for_now).transpose()?;
        if keys {
            self.console.read_keys();
        }
        let mut front: Lines<Stdout> = Lines::new(stdout(), keys);
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

    /// Says where a class was left that did not come to its end.
    fn left(&mut self, led: io::Result<Ending>) -> Result<Exit, Stop> {
        let (now, total) = (self.conductor.now(), self.conductor.schedule().total());
        let whole = |tick: Tick| clock(Tick::seconds(tick.0 / 1000));
        let place = format!("{} of {}", whole(now), whole(total));
        let id = self.journal.as_ref().and_then(Journal::id).map(str::to_owned);
        // What is still to be written is, before the terminal is the shell's again.
        self.journal = None;
        // At another speed nobody gets ready.
        if self.how.speed == 1
            && let Err(Stop::Cannot(why)) = transitions::keep(self.conductor.samples())
        {
            note(&why);
        }
        if let Some(id) = id.filter(|_| stdout().is_terminal()) {
            note(&after(&id, &led));
        }
        match led {
            Ok(Ending::Done) => Ok(Exit::Well),
            Ok(Ending::Quit) => {
                note(&format!("Left at {place}."));
                Ok(Exit::Well)
            }
            Ok(Ending::Signal(signal)) => {
                note(&format!("Ended by a signal at {place}."));
                Ok(Exit::Signal(signal))
            }
            Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(Exit::Well),
            Err(error) => Err(Stop::Cannot(format!("the class cannot be shown any more, at {place}: {error}"))),
        }
    }
}

/// What can be done with a class that was written down.
fn after(id: &str, led: &io::Result<Ending>) -> String {
    match led {
        Ok(Ending::Done | Ending::Quit) => {
            format!("It is kept as {id}: forecall log {id} shows it, forecall log {id} --note \"TEXT\" adds a note.")
        }
        _ => format!("It is kept as {id}: forecall resume {id} goes on with it."),
    }
}
