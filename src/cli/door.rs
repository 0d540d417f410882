//! `forecall` without a command: the front door.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use super::demos::DEMOS;
use super::error::OrCannot;
use super::movements::MovementArgs;
use super::opened::{OpenedActivity, argument, arguments, open};
use super::session::open_with_advice;
use super::{CommandError, Exit, changeover_costs, colour, config, journals, lead, new, plan, rehearse, resume, sheet};
use class::compose::kit_text::kinds;
use class::movement::Catalogue;
use class::schedule::{ChangeoverCosts, compile};
use class::session::{read, tree};
use class::time::spoken_length;
use class::words::{WORDS, fill};
use stage::door::{
    ComposeAnswers, DoorContents, DoorRequest, FrontDoor, ListedSession, NewClassSource, command_of_key,
    screen as picture,
};
use stage::runtime::terminal::{self, BatchedBackend};
use stage::runtime::{
    Clock, Console, DisplayOutput, NoAudio, NoRecorder, RealClock, RunEnding, ScreenDisplay, run as run_loop,
};

/// The most session files that are listed.
const MOST: usize = 200;

/// The demos, as starts for a new class.
static STARTS: LazyLock<Vec<NewClassSource>> = LazyLock::new(|| {
    let demo = |&(name, text): &(&'static str, &str)| {
        let session = read(text, Catalogue::built_in()).session?;
        let (title, length) = (session.title.clone(), compile(session.into()).total());
        Some(NewClassSource::Demo { name, title, length })
    };
    DEMOS.iter().filter_map(demo).collect()
});

/// Opens the front door; without a terminal, prints what it would show.
///
/// # Errors
/// When the sessions cannot be listed, or the terminal cannot be used.
pub(crate) fn run(out: &mut impl Write) -> Result<Exit, CommandError> {
    let look = SessionBrowser::new()?;
    let found = look.contents();
    if !terminal::is_interactive() {
        print(&found, out)?;
        return Ok(Exit::Well);
    }
    let mut console = Console::open(command_of_key).or_cannot("read the keyboard")?;
    console.read_keys();
    let mut door = FrontDoor::new(found);
    let mut clock = RealClock::new(1);
    let look_of_it = colour::theme();
    loop {
        let draw = |frame: &mut ratatui::Frame, door: &FrontDoor| picture::draw(frame, door, &look_of_it);
        let display = ScreenDisplay::new(BatchedBackend::stdout(), FrontDoor::revision, draw);
        let mut display = display.or_cannot("show the front door")?;
        let shown = terminal::take_screen()
            .and_then(|()| run_loop(&mut door, &mut clock, &mut console, &mut display, &mut NoAudio, &mut NoRecorder));
        let ask = door.take_request();
        // A request that takes a moment but no terminal is carried out while the picture stays.
        if let Some(ask) = ask.as_ref().filter(|ask| shown.is_ok() && !ask.takes_the_screen()) {
            if matches!(ask, DoorRequest::Compose(_)) {
                door.say(WORDS.door.compose_form.composing.clone());
            }
            let _ = display.show(&door);
        } else {
            terminal::restore();
        }
        match shown.or_cannot("keep showing the front door")? {
            RunEnding::Signal(signal) => return Ok(Exit::Signal(signal)),
            RunEnding::Done | RunEnding::Quit => {}
        }
        let Some(ask) = ask else { return Ok(Exit::Well) };
        let done = look.carry_out(&ask);
        // Keys that were typed for what was open mean nothing here.
        console.forget_keys();
        let (file, message) = match done {
            Ok(ActionOutcome { signal: Some(signal), .. }) => {
                terminal::restore();
                return Ok(Exit::Signal(signal));
            }
            Ok(done) => (done.file, done.message),
            Err(stop) => (None, stop.message()),
        };
        door.refresh(look.contents(), file.as_deref(), message);
        // Reads the clock, so that the time away does not count as a gap.
        clock.read();
    }
}

/// The result of a request.
#[derive(Default)]
struct ActionOutcome {
    /// The session that was written.
    file: Option<PathBuf>,
    message: Option<String>,
    signal: Option<i32>,
}

impl ActionOutcome {
    /// The result of writing a new session.
    fn written(file: PathBuf) -> ActionOutcome {
        let message = fill(&WORDS.door.screen.written, &[("file", &file.display().to_string())]);
        ActionOutcome { file: Some(file), message: Some(message), signal: None }
    }
}

impl From<OpenedActivity> for ActionOutcome {
    fn from(opened: OpenedActivity) -> ActionOutcome {
        ActionOutcome { file: None, message: opened.said, signal: opened.signal }
    }
}

/// Everything that is needed to list sessions.
struct SessionBrowser {
    catalogue: Catalogue,
    costs: ChangeoverCosts,
    here: PathBuf,
}

impl SessionBrowser {
    fn new() -> Result<SessionBrowser, CommandError> {
        let here = std::env::current_dir().or_cannot("find the current folder")?;
        Ok(SessionBrowser { catalogue: MovementArgs::default().catalogue()?, costs: changeover_costs::costs(), here })
    }

    /// Everything that the front door offers, as it is now.
    fn contents(&self) -> DoorContents {
        let past = journals::past_weeks();
        let led = journals::last_led();
        let (mut classes, mut more) = (Vec::new(), 0);
        let own = config::get().folder().filter(|own| own.canonicalize().ok() != self.here.canonicalize().ok());
        for (folder, files) in
            [(None, files(&self.here, "ron")), (own.as_deref(), own.as_deref().map_or(vec![], |own| files(own, "ron")))]
        {
            for file in files {
                if classes.len() >= MOST {
                    more += 1;
                    continue;
                }
                let name = match folder {
                    None => file.file_name().map_or_else(|| file.clone(), PathBuf::from),
                    Some(_) => file.clone(),
                };
                let file = if folder.is_none() { name.clone() } else { file };
                classes.extend(self.list_file(&file, &name, &past, &led));
            }
        }
        let place = display_path(&self.here);
        let lists = files(&self.here, "txt").into_iter().filter_map(|file| Some(PathBuf::from(file.file_name()?)));
        let lists = lists.take(LISTS);
        let starts = lists
            .map(NewClassSource::List)
            .chain([NewClassSource::Composed])
            .chain(STARTS.iter().cloned())
            .chain([NewClassSource::Starter]);
        let kinds = kinds(&self.catalogue);
        DoorContents { place, unfinished: resume::unfinished(), classes, starts: starts.collect(), more, kinds }
    }

    /// A file as the door lists it; None if the file is not a session.
    fn list_file(
        &self,
        file: &Path,
        name: &Path,
        past: &class::check::PastClasses,
        led: &BTreeMap<PathBuf, String>,
    ) -> Option<ListedSession> {
        let name = name.display().to_string();
        let mut listed = match open_with_advice(file, &self.catalogue, &[], &self.costs, past) {
            Ok(checked) if is_no_session(&checked.text) => return None,
            Ok(checked) => {
                ListedSession::of(file.to_owned(), name, &checked.text, &checked.report, checked.schedule.as_ref())
            }
            Err(stop) => ListedSession::unreadable(file.to_owned(), name, stop.message()?),
        };
        listed.last = led.get(&journals::canonical_path(file)).cloned();
        Some(listed)
    }

    fn carry_out(&self, ask: &DoorRequest) -> Result<ActionOutcome, CommandError> {
        let typed = |file: &Path| [argument(file)];
        Ok(match ask {
            DoorRequest::Resume(id) => open(|| resume::run(&arguments([OsString::from(id)])?)).into(),
            DoorRequest::Lead(file) => open(|| lead::run(&arguments(typed(file))?)).into(),
            DoorRequest::Rehearse(file) => open(|| rehearse::run(&arguments(typed(file))?, &mut io::stdout())).into(),
            DoorRequest::Plan(file) => open(|| plan::run(&arguments(typed(file))?)).into(),
            DoorRequest::Print(file) => {
                let sheet = unused_name(&file.with_file_name(format!("{}-sheet", stem(file))), "pdf");
                let asked = [argument(file), OsString::from("--output"), argument(&sheet)];
                let opened = open(|| sheet::run(&arguments(asked)?).map(|()| Exit::Well));
                let written = || fill(&WORDS.door.screen.printed, &[("file", &sheet.display().to_string())]);
                ActionOutcome {
                    message: if opened.well { Some(written()) } else { opened.said },
                    ..ActionOutcome::default()
                }
            }
            DoorRequest::Begin(start) => self.begin(start)?,
            DoorRequest::Compose(wanted) => self.compose(wanted)?,
        })
    }

    /// Has `forecall new` write a session of this name, and gives back its file.
    fn make_with_new(&self, from: Vec<OsString>, name: &str) -> Result<PathBuf, CommandError> {
        let file = unused_name(Path::new(name), "ron");
        let asked: Vec<OsString> = std::iter::once(argument(&file)).chain(from).collect();
        match open(|| new::run(arguments(asked)?, &mut io::sink()).map(|()| Exit::Well)) {
            OpenedActivity { well: true, .. } => Ok(file),
            OpenedActivity { said, .. } => Err(CommandError::refused(said.unwrap_or_default())),
        }
    }

    /// Writes a new session into this folder.
    fn begin(&self, start: &NewClassSource) -> Result<ActionOutcome, CommandError> {
        let file = match start {
            NewClassSource::Demo { name, .. } => {
                self.make_with_new(["--demo", name].map(OsString::from).into(), name)?
            }
            NewClassSource::List(list) => {
                self.make_with_new(vec![OsString::from("--from"), argument(list)], &stem(list))?
            }
            NewClassSource::Starter | NewClassSource::Composed => self.make_with_new(Vec::new(), "new-class")?,
        };
        Ok(ActionOutcome::written(file))
    }

    /// Composes a class. Its number is the first one that has no file here; the number is also the seed, so the class
    /// differs from those composed here before.
    fn compose(&self, wanted: &ComposeAnswers) -> Result<ActionOutcome, CommandError> {
        let aim: &'static str = wanted.aim.into();
        let taken = |number: &u32| Path::new(&format!("{aim}-{number}.ron")).exists();
        let number = (1..).find(|number| !taken(number)).unwrap_or(1);
        let (slot, people) = (spoken_length(wanted.slot), wanted.people.to_string());
        let (seed, kit) = (number.to_string(), format!("--kit={}", wanted.kit));
        let mut from = vec!["--slot", &slot, "--people", &people, "--aim", aim, "--seed", &seed];
        if !wanted.kit.is_empty() {
            from.push(&kit);
        }
        let from: Vec<OsString> = from.into_iter().map(OsString::from).collect();
        self.make_with_new(from, &format!("{aim}-{number}")).map(ActionOutcome::written)
    }
}

/// The most lists that are offered.
const LISTS: usize = 20;

/// The files of a folder with this extension, sorted by name; empty if the folder cannot be read.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
    let is_one = |file: &PathBuf| file.extension().is_some_and(|found| found == ending) && file.is_file();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.path()).filter(is_one).collect();
    files.sort();
    files
}

/// Whether a text is not a session but something else, such as movements: those are a list, and a session is not.
fn is_no_session(text: &str) -> bool {
    let root = tree::FileTree::read(text).and_then(|tree| tree.root);
    root.is_some_and(|root| matches!(root.value, tree::TreeValue::List(_)))
}

/// A folder as it is shown: the home folder is `~`.
fn display_path(folder: &Path) -> String {
    let home = etcetera::home_dir().ok();
    match home.as_ref().and_then(|home| folder.strip_prefix(home).ok()) {
        Some(rest) if rest.as_os_str().is_empty() => "~".to_owned(),
        Some(rest) => Path::new("~").join(rest).display().to_string(),
        None => folder.display().to_string(),
    }
}

fn stem(file: &Path) -> String {
    file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}

/// A file name with this extension that does not exist yet: the name itself, or the name with a number.
fn unused_name(name: &Path, ending: &str) -> PathBuf {
    let plain = name.to_owned().into_os_string();
    let named = |addition: String| {
        let mut name = plain.clone();
        name.push(format!("{addition}.{ending}"));
        PathBuf::from(name)
    };
    let mut names = std::iter::once(String::new()).chain((2..).map(|number| format!("-{number}"))).map(&named);
    names.find(|name| !name.exists()).unwrap_or_else(|| named(String::new()))
}

/// Prints the front door as text.
fn print(found: &DoorContents, out: &mut impl Write) -> io::Result<()> {
    let words = &WORDS.door.screen;
    if let Some(class) = &found.unfinished {
        writeln!(out, "{}: {}: forecall resume {}\n", words.unfinished, class.words, class.id)?;
    }
    for class in &found.classes {
        match &class.outline {
            Some(outline) => {
                writeln!(out, "{} · {}", class.title, picture::length_words(outline))?;
                writeln!(out, "  {}", picture::block_words(outline))?;
            }
            None => writeln!(out, "{}", class.title)?,
        }
        writeln!(out, "  {}", picture::about(class))?;
        if let Some(first) = class.findings.first().filter(|_| class.outline.is_none()) {
            writeln!(out, "  {}", picture::finding_words(first))?;
        }
        writeln!(out)?;
    }
    if found.more > 0 {
        writeln!(out, "{}\n", fill(&words.more_files, &[("count", &found.more.to_string())]))?;
    }
    if found.classes.is_empty() {
        writeln!(out, "{}\n", words.none_in_text)?;
    }
    writeln!(out, "{}", words.new_class)?;
    for start in &found.starts {
        writeln!(out, "  {}: {}", picture::start_words(start), start_command(start))?;
    }
    writeln!(out, "\n{}", words.keys_in_text)
}

/// The command that makes a class from this start.
fn start_command(start: &NewClassSource) -> String {
    let words = &WORDS.door.screen;
    match start {
        NewClassSource::List(list) => fill(&words.from_list, &[("file", &list.display().to_string())]),
        NewClassSource::Composed => words.from_wish.clone(),
        NewClassSource::Demo { name, .. } => fill(&words.from_demo, &[("name", name)]),
        NewClassSource::Starter => words.from_starter.clone(),
    }
}
