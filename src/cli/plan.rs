//! `forecall plan`: planning a class in the terminal, with every change saved at once.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::process::ExitCode;
use std::rc::Rc;
use std::time::{Duration, SystemTime};

use super::handed::hand_over;
use super::movements::Movements;
use super::music::Lists;
use super::rewrite::rewrite;
use super::session::open;
use super::sounds::Sounds;
use super::{Stop, colour, faults, input, journals, transitions};
use crate::cue::cue_up;
use crate::draft::Draft;
use crate::lead::terminal::{self, Sparing};
use crate::lead::{Ending, Input, Inputs, Keeper, Keyboard, Outside, Picture, Real, Told, run};
use crate::plan::{Event, Planning, Stroke, Try, stroke};
use crate::screen::plan as picture;
use crate::session::bounds;
use crate::time::Tick;

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
pub fn run_plan(args: &Args) -> Result<ExitCode, Stop> {
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
    let cannot = |what: &str, error: io::Error| Stop::Cannot(format!("cannot {what}: {error}"));
    let keyboard = Keyboard::new(stroke).map_err(|error| cannot("read the keyboard", error))?;
    terminal::guard_panics(std::sync::mpsc::channel().0);
    // Sound is opened before the screen, so that messages of the system's libraries do not land on the screen.
    let mut cued = draft.schedule().clone();
    let voicing = args.sounds.voicing(1);
    cue_up(&mut cued, Tick::ZERO, &voicing);
    let mut room = args.sounds.room(&cued, 1, true, Lists::default());
    let mut planning = Planning::new(draft, &catalogue, journals::past_weeks()).heard(voicing, args.sounds.mute);
    let disk = Rc::new(RefCell::new(Disk::new(args.file.clone(), checked.text)));
    let mut inputs = KeysAndDisk { keyboard, disk: Rc::clone(&disk) };
    let mut saver = Saver { disk };
    let look = colour::look();
    loop {
        let mut show = || -> io::Result<Ending> {
            terminal::take_screen()?;
            let mut front =
                Picture::new(Sparing::stdout(), picture::face, |frame: &mut ratatui::Frame, planning: &Planning| {
                    picture::draw(frame, planning, &look);
                })?;
            run(&mut planning, &mut Real::new(1), &mut inputs, &mut front, room.as_mut(), &mut saver)
        };
        let shown = show();
        terminal::restore();
        let unsaved = saver.disk.borrow().unsaved.clone();
        match shown.map_err(|error| cannot("keep showing the class", error))? {
            Ending::Signal(signal) => return Ok(Stop::signalled(signal)),
            Ending::Done | Ending::Quit => {}
        }
        let Some(place) = planning.attempted() else {
            return match unsaved {
                Some(why) => Err(Stop::Cannot(format!("the last change was not saved: {why}"))),
                None => Ok(ExitCode::SUCCESS),
            };
        };
        room.hush();
        let handed = hand_over(&tried(place), true, &mut inputs.keyboard)?;
        if let Some(signal) = handed.signal {
            return Ok(Stop::signalled(signal));
        }
        if let Some(why) = handed.said.filter(|_| !handed.well) {
            inputs.disk.borrow_mut().news.push_back(Event::NotTried(why));
        }
    }
}

/// The arguments for trying a class from a place. It is a rehearsal, so it leaves nothing in the log. It uses the file,
/// the movements and the sound of this run.
fn tried(place: Try) -> Vec<OsString> {
    let asked = std::env::args_os().skip_while(|argument| argument != "plan").skip(1);
    let from = ["--whole", "--from", place.0.as_str()].map(OsString::from);
    std::iter::once(OsString::from("rehearse")).chain(from).chain(asked).collect()
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
                let why = match why {
                    Stop::Cannot(why) | Stop::Faults(why) => why,
                    Stop::Output(error) => error.to_string(),
                };
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

impl Keeper<Planning<'_>> for Saver {
    fn keep(&mut self, _: &Told, _: &Planning<'_>) {}

    fn stepped(&mut self, planning: &Planning<'_>) -> Option<u64> {
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
    keyboard: Keyboard<Stroke>,
    disk: Rc<RefCell<Disk>>,
}

/// How often the file is checked for changes.
const SOON: Duration = Duration::from_millis(500);

impl Inputs<Event> for KeysAndDisk {
    fn wait(&mut self, at_most: Duration) -> Vec<Outside<Event>> {
        let news = |disk: &Rc<RefCell<Disk>>| -> Vec<Outside<Event>> {
            disk.borrow_mut().news.drain(..).map(|event| Outside::Input(Input::Press(event))).collect()
        };
        let told = news(&self.disk);
        if !told.is_empty() {
            return told;
        }
        let typed = self.keyboard.wait(at_most.min(SOON)).into_iter().map(|outside| match outside {
            Outside::Input(Input::Press(stroke)) => Outside::Input(Input::Press(Event::Key(stroke))),
            Outside::Input(Input::Say(line)) => Outside::Input(Input::Say(line)),
            Outside::Input(Input::Lengths(lengths)) => Outside::Input(Input::Lengths(lengths)),
            Outside::Input(Input::Machine(lines)) => Outside::Input(Input::Machine(lines)),
            Outside::Redraw => Outside::Redraw,
            Outside::End(signal) => Outside::End(signal),
        });
        let typed: Vec<_> = typed.collect();
        self.disk.borrow_mut().look();
        news(&self.disk).into_iter().chain(typed).collect()
    }
}
