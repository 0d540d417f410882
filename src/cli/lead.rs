//! `forecall lead`: lead a class.

use std::io::{self, ErrorKind, IsTerminal, Stdout, stdin, stdout};
use std::process::ExitCode;

use super::Stop;
use super::music::Lists;
use super::session::SessionFile;
use super::sounds::Sounds;
use crate::lead::awake::Awake;
use crate::lead::plain::Lines;
use crate::lead::terminal::{self, Sparing};
use crate::lead::{
    COUNT_IN, Channel, Clock, Conductor, Ending, Input, Moment, Opening, Outside, Picture, Real, Room, opening, power,
    press, run,
};
use crate::schedule::Schedule;
use crate::screen::{self, Look};
use crate::session::Session;
use crate::time::{Tick, clock};
use crate::words::{WORDS, fill};

/// Lead a class
#[derive(Debug, clap::Args)]
#[command(after_help = "Space starts the class, holds it and goes on; ? shows all keys.\n\n\
    Where the output is no terminal, or there is no keyboard, the class is told in lines and starts by itself after a \
    count-in of five seconds; so do the blocks in it that wait for the coach.")]
pub struct Args {
    #[command(flatten)]
    file: SessionFile,
    /// Begin at a block, by letter, number or name, or at a station of it: B, Hinge, B.3
    #[arg(long, value_name = "BLOCK[.STATION]")]
    from: Option<String>,
    /// Begin at a time of day, such as 18:15
    #[arg(long, value_name = "HH:MM")]
    at: Option<String>,
    /// Run so many times as fast, to see how a class goes; only tones sound then
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    speed: u32,
    /// Tell the class in lines, one an event, for logs and screen readers
    #[arg(long)]
    plain: bool,
    /// Your own music under the whole class, a file or a folder, instead of what the session names
    #[arg(long, value_name = "PATH", conflicts_with = "no_sound")]
    music: Option<String>,
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

/// Leads the class to its end. The exit code is that of the signal, where one ends it: 128 and its number.
///
/// # Errors
/// When the file has faults, an option is wrong or the terminal cannot be had.
pub fn run_class(args: &Args) -> Result<ExitCode, Stop> {
    let loaded = args.file.load()?;
    eprint!("{}", loaded.warnings);
    let screen = !args.plain && stdout().is_terminal();
    // Raw keys in a terminal whose lines go elsewhere would spoil what it shows.
    let keys = stdout().is_terminal() && (screen || stdin().is_terminal());
    let mut clock = Real::new(u64::from(args.speed));
    let mut opening = args.opening(&loaded.schedule, &mut clock, keys)?;
    opening.movements = loaded.catalogue.iter().cloned().collect();

    let channel = Channel::new();
    let cannot = |what: &str, error: io::Error| Stop::Cannot(format!("cannot {what}: {error}"));
    channel.listen_to_signals().map_err(|error| cannot("listen to signals", error))?;
    terminal::guard_panics(channel.sender());
    // Sound before the screen: what the system's libraries print then does not land on it.
    let music = args.music(&loaded.schedule.session)?;
    let mut room = args.sounds.room(&loaded.schedule, args.speed, screen, music);
    let awake = Awake::ask();
    let news = awake.as_ref().err().map(|line| Input::Say(line.clone())).into_iter();
    let news =
        news.chain(power::battery().map(|power| Input::Machine(vec![(WORDS.lead.machine.power.clone(), power)])));
    news.for_each(|input| drop(channel.sender().send(Outside::Input(input))));

    let ready = clock.read();
    if !keys && args.at.is_none() {
        opening.begins = Some(ready.at.after(COUNT_IN));
    }
    let conductor = Conductor::new(loaded.schedule, opening, ready);
    let mut class = Class { conductor, clock, channel, args };
    let led = if screen { class.on_the_screen(room.as_mut()) } else { class.in_lines(keys, room.as_mut()) };
    terminal::restore();
    class.left(led)
}

impl Args {
    fn opening(&self, schedule: &Schedule, clock: &mut Real, keys: bool) -> Result<Opening, Stop> {
        let wrong = |option: &str, why: String| Stop::Cannot(format!("--{option}: {why}"));
        let from = match &self.from {
            Some(text) => opening::place(schedule, text).map_err(|why| wrong("from", why))?,
            None => Tick::ZERO,
        };
        let now = clock.read();
        let begins = match &self.at {
            Some(text) => {
                let ms = opening::time_of_day(text, &now.wall).map_err(|why| wrong("at", why))?;
                Some(now.at.after(ms))
            }
            None => None,
        };
        Ok(Opening {
            from,
            begins,
            unattended: !keys,
            muted: self.sounds.mute,
            voicing: self.sounds.voicing(),
            ..Opening::default()
        })
    }

    /// What is played under the class. Nothing at more than the speed of life.
    fn music(&self, session: &Session) -> Result<Lists, Stop> {
        match &self.music {
            _ if self.speed > 1 => Ok(Lists::default()),
            Some(path) => Lists::of_path(session, path).map_err(|why| Stop::Cannot(format!("--music: {why}"))),
            None => Ok(Lists::of_session(session, &self.file.folder())),
        }
    }

    #[cfg(debug_assertions)]
    #[expect(clippy::panic, reason = "that is what it is for")]
    fn fail_if_asked(&self, moment: &Moment) {
        if self.fail.is_some() && moment.phase == crate::lead::Phase::Running && moment.now < Tick::SECOND {
            let fail = || panic!("asked to fail");
            match self.fail {
                Some(Fail::Other) => drop(std::thread::spawn(fail)),
                _ => fail(),
            }
        }
    }
}

/// All that a class is led with.
struct Class<'a> {
    conductor: Conductor,
    clock: Real,
    channel: Channel,
    args: &'a Args,
}

impl Class<'_> {
    fn on_the_screen(&mut self, room: &mut dyn Room) -> io::Result<Ending> {
        let look = Look::from_env(|name| std::env::var(name).ok());
        terminal::take_screen()?;
        self.channel.listen_to_keys(press)?;
        #[cfg(debug_assertions)]
        let args = self.args;
        let face = |conductor: &Conductor| screen::face(&conductor.moment());
        let mut front = Picture::new(Sparing::stdout(), face, |frame: &mut ratatui::Frame, conductor: &Conductor| {
            let moment = conductor.moment();
            #[cfg(debug_assertions)]
            args.fail_if_asked(&moment);
            screen::draw(frame, &moment, &look);
        })?;
        run(&mut self.conductor, &mut self.clock, &mut self.channel, &mut front, room)
    }

    fn in_lines(&mut self, keys: bool, room: &mut dyn Room) -> io::Result<Ending> {
        if keys {
            terminal::take_keys()?;
            self.channel.listen_to_keys(press)?;
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
        if keys && self.args.at.is_none() {
            front.line(&words.keys)?;
        }
        run(&mut self.conductor, &mut self.clock, &mut self.channel, &mut front, room)
    }

    /// Says where a class was left that did not come to its end.
    fn left(&self, led: io::Result<Ending>) -> Result<ExitCode, Stop> {
        let (now, total) = (self.conductor.now(), self.conductor.schedule().total());
        let whole = |tick: Tick| clock(Tick::seconds(tick.0 / 1000));
        let place = format!("{} of {}", whole(now), whole(total));
        match led {
            Ok(Ending::Done) => Ok(ExitCode::SUCCESS),
            Ok(Ending::Quit) => {
                eprintln!("Left at {place}.");
                Ok(ExitCode::SUCCESS)
            }
            Ok(Ending::Signal(signal)) => {
                eprintln!("Ended by a signal at {place}.");
                Ok(ExitCode::from(u8::try_from(128 + signal).unwrap_or(1)))
            }
            Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(ExitCode::SUCCESS),
            Err(error) => Err(Stop::Cannot(format!("the class cannot be shown any more, at {place}: {error}"))),
        }
    }
}
