//! `forecall plan`: planning a class in the terminal, with every change saved at once.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::convert::Infallible;
use std::fs;
use std::io;
use std::path::PathBuf;
use std::rc::Rc;
use std::time::{Duration, SystemTime};

use super::error::OrCannot;
use super::full_run::run_full_class;
use super::movements::MovementArgs;
use super::music::MusicLists;
use super::opened::open as open_activity;
use super::rewrite::rewrite;
use super::session::open;
use super::sound_args::SoundArgs;
use super::{CommandError, Exit, changeover_costs, colour, faults, input, journals};
use class::cue::plan_and_insert_cues;
use class::session::limits;
use class::session_draft::SessionDraft;
use class::time::Tick;
use stage::plan::{KeyStroke, PlanEditor, PlanInput, screen as picture, stroke};
use stage::runtime::terminal::{self, BatchedBackend};
use stage::runtime::{
    AudioOutput, Console, Incoming, InputSource, RealClock, Recorder, RunEnding, ScreenDisplay, StepInput,
    run as run_loop,
};

/// Plan a class with a movement finder; every change is saved at once
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Every change is saved in the file at once; comments and layout stay, and every change can be undone. \
    ? shows all keys."
)]
pub(crate) struct PlanArgs {
    /// The session file
    file: PathBuf,
    #[command(flatten)]
    movements: MovementArgs,
    #[command(flatten)]
    sounds: SoundArgs,
}

/// Runs the planning.
///
/// # Errors
/// When the file has faults, or there is no terminal.
pub(crate) fn run(args: &PlanArgs) -> Result<Exit, CommandError> {
    if args.file.as_os_str() == "-" {
        return Err(CommandError::refused("plan needs a file, not standard input"));
    }
    let catalogue = args.movements.catalogue()?;
    let checked = open(&args.file, &catalogue, &[], &changeover_costs::costs())?;
    if checked.schedule.is_none() {
        return Err(CommandError::faults(faults::render(&checked, faults::FaultStyle::of_stderr())));
    }
    if !terminal::is_interactive() {
        return Err(CommandError::refused(
            "planning needs a terminal; `forecall check` and `forecall show` work without one",
        ));
    }
    let draft = SessionDraft::new(checked.text.clone(), &catalogue, changeover_costs::costs());
    let draft = draft.map_err(CommandError::faults)?;
    let console = Console::open(stroke).or_cannot("read the keyboard")?;
    // Sound is opened before the screen, so that messages of the system's libraries do not land on the screen.
    let mut cued = draft.schedule().clone();
    let voicing = args.sounds.speech_settings(1);
    plan_and_insert_cues(&mut cued, Tick::ZERO, &voicing);
    let mut audio = args.sounds.audio(&cued, 1, true, MusicLists::default());
    let mut planning =
        PlanEditor::new(draft, &catalogue, journals::past_weeks()).with_speech(voicing, args.sounds.mute);
    let disk = Rc::new(RefCell::new(WatchedFile::new(args.file.clone(), checked.text)));
    let mut inputs = PlanInputs { console, disk: Rc::clone(&disk) };
    let mut saver = FileSaver { disk };
    loop {
        let shown = show(&mut planning, &mut inputs, audio.as_mut(), &mut saver);
        let unsaved = saver.disk.borrow().unsaved.clone();
        match shown.or_cannot("keep showing the class")? {
            RunEnding::Signal(signal) => return Ok(Exit::Signal(signal)),
            RunEnding::Done | RunEnding::Quit => {}
        }
        let Some(place) = planning.take_trial() else {
            return match unsaved {
                Some(why) => Err(CommandError::refused(why).about("the last change was not saved")),
                None => Ok(Exit::Well),
            };
        };
        audio.hush();
        // A rehearsal leaves nothing in the log.
        let schedule = planning.schedule().clone();
        let tried = open_activity(|| run_full_class(schedule, &args.sounds, Some(&place.0), 1, &mut io::stdout()));
        inputs.console.forget_keys();
        if let Some(signal) = tried.signal {
            return Ok(Exit::Signal(signal));
        }
        if let Some(why) = tried.said.filter(|_| !tried.well) {
            inputs.disk.borrow_mut().news.push_back(PlanInput::NotTried(why));
        }
    }
}

fn show(
    planning: &mut PlanEditor,
    inputs: &mut PlanInputs,
    audio: &mut dyn AudioOutput,
    saver: &mut FileSaver,
) -> io::Result<RunEnding> {
    let look = colour::theme();
    let _restored = terminal::take_screen_for_now()?;
    inputs.console.read_keys();
    let draw = |frame: &mut ratatui::Frame, planning: &PlanEditor| picture::draw(frame, planning, &look);
    let mut display = ScreenDisplay::new(BatchedBackend::stdout(), picture::fingerprint, draw)?;
    run_loop(planning, &mut RealClock::new(1), inputs, &mut display, audio, saver)
}

/// The file as it was last read or written.
struct WatchedFile {
    file: PathBuf,
    known: String,
    /// When the file was last changed, and its size in bytes. While both stay the same, the file is not read.
    stamp: Option<(SystemTime, u64)>,
    unsaved: Option<String>,
    news: VecDeque<PlanInput>,
}

impl WatchedFile {
    fn new(file: PathBuf, known: String) -> WatchedFile {
        let mut disk = WatchedFile { file, known, stamp: None, unsaved: None, news: VecDeque::new() };
        disk.stamp = disk.stamp();
        disk
    }

    fn stamp(&self) -> Option<(SystemTime, u64)> {
        let there = fs::metadata(&self.file).ok()?;
        Some((there.modified().ok()?, there.len()))
    }

    /// Checks whether another program has changed the file.
    fn check_for_changes(&mut self) {
        let stamp = self.stamp();
        if stamp.is_none() || stamp == self.stamp {
            return;
        }
        // The text is read after the stamp was taken, so a change in between is noticed the next time.
        let Ok(text) = input::read(&self.file, limits::FILE as usize) else { return };
        self.stamp = stamp;
        let text = text.strip_prefix('\u{feff}').map_or(text.clone(), str::to_owned);
        if text != self.known {
            let was = std::mem::replace(&mut self.known, text.clone());
            self.news.push_back(PlanInput::Disk { was, is: text });
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
                    self.news.push_back(PlanInput::Saved);
                }
            }
            Err(why) => {
                let before = self.news.len();
                self.stamp = None;
                self.check_for_changes();
                if self.news.len() > before {
                    return;
                }
                let why = why.message().unwrap_or_default();
                if self.unsaved.as_ref() != Some(&why) {
                    self.unsaved = Some(why.clone());
                    self.news.push_back(PlanInput::Unsaved(why));
                }
            }
        }
    }
}

/// Saves the file at every step, before the step is shown.
struct FileSaver {
    disk: Rc<RefCell<WatchedFile>>,
}

impl<'a> Recorder<PlanEditor<'a>> for FileSaver {
    fn record(&mut self, event: &Infallible, _: &PlanEditor<'a>) {
        match *event {}
    }

    fn after_step(&mut self, planning: &PlanEditor<'a>) -> Option<Duration> {
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
struct PlanInputs {
    console: Console<KeyStroke>,
    disk: Rc<RefCell<WatchedFile>>,
}

/// How often the file is checked for changes.
const SOON: Duration = Duration::from_millis(500);

impl InputSource<PlanInput> for PlanInputs {
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<PlanInput>> {
        let news = |disk: &Rc<RefCell<WatchedFile>>| -> Vec<Incoming<PlanInput>> {
            disk.borrow_mut().news.drain(..).map(|event| Incoming::Input(StepInput::Press(event))).collect()
        };
        let told = news(&self.disk);
        if !told.is_empty() {
            return told;
        }
        let typed = self.console.wait(at_most.min(SOON)).into_iter().map(|incoming| incoming.map(PlanInput::Key));
        let typed: Vec<_> = typed.collect();
        self.disk.borrow_mut().check_for_changes();
        news(&self.disk).into_iter().chain(typed).collect()
    }
}
