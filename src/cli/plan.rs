//! `forecall plan`: planning a class in the terminal, with every change saved at once.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::convert::Infallible;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::rc::Rc;
use std::time::{Duration, SystemTime};

use super::movements::Movements;
use super::music::Lists;
use super::opened::open as open_activity;
use super::rewrite::rewrite;
use super::session::open;
use super::sounds::Sounds;
use super::stop::OrCannot;
use super::whole::run_whole;
use super::{Exit, Stop, colour, faults, input, journals, transitions};
use class::cue::cue_up;
use class::draft::Draft;
use class::session::bounds;
use class::time::Tick;
use stage::plan::{Event, Planning, Stroke, screen as picture, stroke};
use stage::runtime::terminal::{self, BatchedBackend};
use stage::runtime::{
    AudioOutput, Console, Ending, Incoming, Input, Inputs, RealClock, Recorder, ScreenDisplay, run as run_loop,
};

/// Plan a class with a movement finder; every change is saved at once
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Every change is saved in the file at once; comments and layout stay, and every change can be undone. \
    ? shows all keys."
)]
pub struct Args {
    /// The session file
    file: PathBuf,
    #[command(flatten)]
    movements: Movements,
    #[command(flatten)]
    sounds: Sounds,
}

/// Runs the planning.
///
/// # Errors
/// When the file has faults, or there is no terminal.
pub fn run(args: &Args) -> Result<Exit, Stop> {
    if args.file.as_os_str() == "-" {
        return Err(Stop::Cannot("plan needs a file, not standard input".to_owned()));
    }
    let catalogue = args.movements.catalogue()?;
    let checked = open(&args.file, &catalogue, &[], &transitions::costs())?;
    if checked.schedule.is_none() {
        return Err(Stop::Faults(faults::render(&checked, faults::Style::of_stderr())));
    }
    if !terminal::is_here() {
        return Err(Stop::Cannot(
            "planning needs a terminal; `forecall check` and `forecall show` work without one".to_owned(),
        ));
    }
    let draft = Draft::new(checked.text.clone(), &catalogue, transitions::costs());
    let draft = draft.map_err(|why| Stop::Faults(why.to_string()))?;
    let console = Console::open(stroke).or_cannot("read the keyboard")?;
    // Sound is opened before the screen, so that messages of the system's libraries do not land on the screen.
    let mut cued = draft.schedule().clone();
    let voicing = args.sounds.voicing(1);
    cue_up(&mut cued, Tick::ZERO, &voicing);
    let mut audio = args.sounds.audio(&cued, 1, true, Lists::default());
    let mut planning = Planning::new(draft, &catalogue, journals::past_weeks()).heard(voicing, args.sounds.mute);
    let disk = Rc::new(RefCell::new(Disk::new(args.file.clone(), checked.text)));
    let mut inputs = KeysAndDisk { console, disk: Rc::clone(&disk) };
    let mut saver = Saver { disk };
    loop {
        let shown = show(&mut planning, &mut inputs, audio.as_mut(), &mut saver);
        let unsaved = saver.disk.borrow().unsaved.clone();
        match shown.or_cannot("keep showing the class")? {
            Ending::Signal(signal) => return Ok(Exit::Signal(signal)),
            Ending::Done | Ending::Quit => {}
        }
        let Some(place) = planning.attempted() else {
            return match unsaved {
                Some(why) => Err(Stop::Cannot(format!("the last change was not saved: {why}"))),
                None => Ok(Exit::Well),
            };
        };
        audio.hush();
        // A rehearsal leaves nothing in the log.
        let schedule = planning.schedule().clone();
        let tried = open_activity(|| run_whole(schedule, &args.sounds, Some(&place.0), 1, &mut io::stdout()));
        inputs.console.forget_keys();
        if let Some(signal) = tried.signal {
            return Ok(Exit::Signal(signal));
        }
        if let Some(why) = tried.said.filter(|_| !tried.well) {
            inputs.disk.borrow_mut().news.push_back(Event::NotTried(why));
        }
    }
}

fn show(
    planning: &mut Planning,
    inputs: &mut KeysAndDisk,
    audio: &mut dyn AudioOutput,
    saver: &mut Saver,
) -> io::Result<Ending> {
    let look = colour::look();
    let _restored = terminal::take_screen_for_now()?;
    inputs.console.read_keys();
    let draw = |frame: &mut ratatui::Frame, planning: &Planning| picture::draw(frame, planning, &look);
    let mut display = ScreenDisplay::new(BatchedBackend::stdout(), picture::face, draw)?;
    run_loop(planning, &mut RealClock::new(1), inputs, &mut display, audio, saver)
}

/// The file as it was last read or written.
struct Disk {
    file: PathBuf,
    known: String,
    /// When the file was last changed, and its size in bytes. While both stay the same, the file is not read.
    stamp: Option<(SystemTime, u64)>,
    unsaved: Option<String>,
    news: VecDeque<Event>,
}

impl Disk {
    fn new(file: PathBuf, known: String) -> Disk {
        let mut disk = Disk { file, known, stamp: None, unsaved: None, news: VecDeque::new() };
        disk.stamp = disk.stamp();
        disk
    }

    fn stamp(&self) -> Option<(SystemTime, u64)> {
        let there = fs::metadata(&self.file).ok()?;
        Some((there.modified().ok()?, there.len()))
    }

    /// Checks whether another program has changed the file.
    fn look(&mut self) {
        let stamp = self.stamp();
        if stamp.is_none() || stamp == self.stamp {
            return;
        }
        // The text is read after the stamp was taken, so a change in between is noticed the next time.
        let Ok(text) = input::read(&self.file, bounds::FILE as usize) else { return };
        self.stamp = stamp;
        let text = text.strip_prefix('\u{feff}').map_or(text.clone(), str::to_owned);
        if text != self.known {
            let was = std::mem::replace(&mut self.known, text.clone());
            self.news.push_back(Event::Disk { was, is: text });
        }
    }

    /// Writes the text, whole or not at all, unless another program has changed the file in the meantime.
    fn save(&mut self, text: &str) {
        if text == self.known {
            return;
        }
        match rewrite(&self.file, &self.known, text) {
            Ok(()) => {
                self.known = text.to_owned();
                self.stamp = self.stamp();
                if self.unsaved.take().is_some() {
                    self.news.push_back(Event::Saved);
                }
            }
            Err(why) => {
                let before = self.news.len();
                self.stamp = None;
                self.look();
                if self.news.len() > before {
                    return;
                }
                let why = why.message().unwrap_or_default();
                if self.unsaved.as_ref() != Some(&why) {
                    self.unsaved = Some(why.clone());
                    self.news.push_back(Event::Unsaved(why));
                }
            }
        }
    }
}

/// Saves the file at every step, before the step is shown.
struct Saver {
    disk: Rc<RefCell<Disk>>,
}

impl<'a> Recorder<Planning<'a>> for Saver {
    fn keep(&mut self, event: &Infallible, _: &Planning<'a>) {
        match *event {}
    }

    fn stepped(&mut self, planning: &Planning<'a>) -> Option<u64> {
        let mut disk = self.disk.borrow_mut();
        // News from the disk has to reach the planning first.
        if disk.news.is_empty()
            && let Some(text) = planning.to_save()
        {
            disk.save(text);
        }
        None
    }
}

/// The coach's keys, and changes to the file.
struct KeysAndDisk {
    console: Console<Stroke>,
    disk: Rc<RefCell<Disk>>,
}

/// How often the file is checked for changes.
const SOON: Duration = Duration::from_millis(500);

impl Inputs<Event> for KeysAndDisk {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<Event>> {
        let news = |disk: &Rc<RefCell<Disk>>| -> Vec<Incoming<Event>> {
            disk.borrow_mut().news.drain(..).map(|event| Incoming::Input(Input::Press(event))).collect()
        };
        let told = news(&self.disk);
        if !told.is_empty() {
            return told;
        }
        let typed = self.console.wait(at_most.min(SOON)).into_iter().map(|incoming| incoming.map(Event::Key));
        let typed: Vec<_> = typed.collect();
        self.disk.borrow_mut().look();
        news(&self.disk).into_iter().chain(typed).collect()
    }
}
