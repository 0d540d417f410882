//! `forecall rehearse`: the changeovers of a class, each timed.

use std::io::Write;
use std::path::PathBuf;

use super::movements::Movements;
use super::music::Lists;
use super::notes::note;
use super::rewrite::rewrite;
use super::session::{Checked, open};
use super::sounds::Sounds;
use super::stop::OrCannot;
use super::whole::run_whole;
use super::{Exit, Stop, colour, config, faults, transitions};
use class::cue::Voicing;
use class::draft::Draft;
use class::schedule::{Schedule, Transition, Who};
use class::session::Level;
use class::time::{Tick, parse_length};
use stage::rehearse::page_screen as pages_picture;
use stage::rehearse::screen as picture;
use stage::rehearse::{Found, ReadThrough, Rehearsal, Row, Settings, Window, boundaries, table};
use stage::runtime::terminal;
use stage::runtime::{Clock, Console, Ending, NoRecorder, RealClock, press, run_on_screen};

/// Rehearse and time the changeovers of a class, each from 15 s before to 10 s after
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Space starts. Press it again when you are ready for the next station. ? shows all keys. Your times \
    are saved: once a kind of changeover has been measured five times, planning uses your times.\n\n\
    Without a terminal or a keyboard, the changeovers are printed as planned."
)]
pub struct Args {
    /// The session file, or - for standard input
    #[arg(required_unless_present = "forget")]
    file: Option<PathBuf>,
    /// Start this long before each changeover, up to 2m
    #[arg(long, value_name = "LENGTH", default_value = "15s", value_parser = some_length)]
    before: Tick,
    /// Continue this long after each changeover, up to 2m
    #[arg(long, value_name = "LENGTH", default_value = "10s", value_parser = some_length)]
    after: Tick,
    /// Include changeovers where only the movement changes
    #[arg(long)]
    all: bool,
    /// Read the class through instead: one page per station, at your own pace, with its cues
    #[arg(long, conflicts_with_all = ["all", "group"])]
    read: bool,
    /// Run the whole class instead, with the keys of `lead`; nothing is recorded
    #[arg(long, conflicts_with_all = ["all", "group", "read"])]
    whole: bool,
    /// Start the whole class at a block, by letter, number or name, or at one of its stations: B, Hinge, B.3
    #[arg(long, value_name = "BLOCK[.STATION]", requires = "whole")]
    from: Option<String>,
    /// Run the whole class N times as fast, 1 to 8; tones and speech keep their pitch, and cues with no time to be
    /// spoken are shown
    #[arg(long, value_name = "N", default_value_t = 1, requires = "whole", value_parser = clap::value_parser!(u32).range(1..=8))]
    speed: u32,
    /// Time the class itself; otherwise your own times count 1.5 times for a group
    #[arg(long)]
    group: bool,
    /// Forget the times measured for a kind of changeover, such as kit_swap+to_floor [default: all kinds]
    #[arg(long, value_name = "KIND", num_args = 0..=1, conflicts_with_all = ["file", "group"])]
    forget: Option<Option<Transition>>,
    #[command(flatten)]
    movements: Movements,
    #[command(flatten)]
    sounds: Sounds,
}

/// The longest time before and after a changeover.
const LONGEST: Tick = Tick::seconds(120);

fn some_length(text: &str) -> Result<Tick, String> {
    let length = parse_length(text).map_err(|fault| fault.to_string())?;
    if length <= LONGEST { Ok(length) } else { Err("at most 2m".to_owned()) }
}

/// Rehearses, and at the end prints what was measured.
///
/// # Errors
/// When the file has faults, or the terminal cannot be used.
pub fn run(args: &Args, out: &mut impl Write) -> Result<Exit, Stop> {
    let Some(file) = args.file.as_ref().filter(|_| args.forget.is_none()) else {
        return forget(args.forget.flatten(), out);
    };
    let catalogue = args.movements.catalogue()?;
    let checked = open(file, &catalogue, &[], &transitions::costs())?;
    let told = faults::render(&checked, faults::Style::of_stderr());
    if checked.schedule.is_none() {
        return Err(Stop::Faults(told));
    }
    note(&told);
    let draft = Draft::new(checked.text.clone(), &catalogue, transitions::costs());
    let draft = draft.map_err(|why| Stop::Faults(why.to_string()))?;
    let window = Window { before: args.before, after: args.after };
    let settings = Settings {
        window,
        all: args.all,
        who: if args.group { Who::Group } else { Who::Coach },
        group: config::get().group_percent(),
    };
    if args.whole {
        return run_whole(draft.schedule().clone(), &args.sounds, args.from.as_deref(), args.speed, out);
    }
    if args.read {
        return read_through(args, draft.schedule().clone(), out);
    }
    if boundaries(draft.schedule(), settings.all).is_empty() {
        writeln!(out, "{}: nothing changes between its stations, so there is nothing to rehearse.", checked.name)?;
        return Ok(Exit::Well);
    }
    if !terminal::is_here() {
        print(&planned(draft.schedule(), settings), out)?;
        return Ok(Exit::Well);
    }
    on_the_screen(args, &checked, draft, settings, out)
}

fn on_the_screen(
    args: &Args,
    checked: &Checked,
    draft: Draft,
    settings: Settings,
    out: &mut impl Write,
) -> Result<Exit, Stop> {
    let mut clock = RealClock::new(1);
    let mut console = Console::open(press).or_cannot("read the keyboard")?;
    let mut cued = draft.schedule().clone();
    class::cue::cue_up(&mut cued, Tick::ZERO, &Voicing::default());
    let mut audio = args.sounds.audio(&cued, 1, true, Lists::default());
    let rehearsal = Rehearsal::new(draft, Voicing::default(), settings, clock.read());
    let Some(mut rehearsal) = rehearsal else { return Ok(Exit::Well) };
    let look = colour::look();
    let face = |rehearsal: &Rehearsal| picture::face(&rehearsal.view());
    let draw = |frame: &mut ratatui::Frame, rehearsal: &Rehearsal| {
        picture::draw(frame, &rehearsal.view(), &rehearsal.table(), &look);
    };
    let led = run_on_screen(&mut rehearsal, &mut clock, &mut console, (face, draw), audio.as_mut(), &mut NoRecorder);
    let outcome = rehearsal.outcome();
    found(rehearsal.table(), out)?;
    let kept = transitions::keep(&outcome.samples);
    match led.or_cannot("keep showing the rehearsal")? {
        Ending::Signal(signal) => return Ok(Exit::Signal(signal)),
        Ending::Done | Ending::Quit => {}
    }
    kept?;
    if let (Some(text), Some(file)) = (outcome.write, &args.file) {
        rewrite(file, &checked.text, &text)?;
        writeln!(out, "{}: changed.", checked.name)?;
    }
    Ok(Exit::Well)
}

/// Shows one page per station, at the coach's own pace.
fn read_through(args: &Args, mut schedule: Schedule, out: &mut impl Write) -> Result<Exit, Stop> {
    if !terminal::is_here() {
        return Err(Stop::Cannot("--read needs a terminal; `forecall show` works without one".to_owned()));
    }
    class::cue::cue_up(&mut schedule, Tick::ZERO, &Voicing { level: Some(Level::Full), ..Voicing::default() });
    let mut audio = args.sounds.audio(&schedule, 1, true, Lists::default());
    let Some(mut pages) = ReadThrough::new(schedule, args.sounds.mute) else { return Ok(Exit::Well) };
    let mut console = Console::open(press).or_cannot("read the keyboard")?;
    let look = colour::look();
    let face = |pages: &ReadThrough| pages.page().index as u64 * 2 + u64::from(pages.page().muted);
    let draw = |frame: &mut ratatui::Frame, pages: &ReadThrough| pages_picture::draw(frame, &pages.page(), &look);
    let clock = &mut RealClock::new(1);
    let led = run_on_screen(&mut pages, clock, &mut console, (face, draw), audio.as_mut(), &mut NoRecorder);
    out.flush()?;
    match led.or_cannot("keep showing the pages")? {
        Ending::Signal(signal) => Ok(Exit::Signal(signal)),
        Ending::Done | Ending::Quit => Ok(Exit::Well),
    }
}

/// The changeovers as planned.
fn planned(schedule: &Schedule, settings: Settings) -> Vec<Row> {
    let boundaries = boundaries(schedule, settings.all);
    table(schedule, &boundaries, &vec![Found::default(); boundaries.len()], &settings)
}

/// Prints the results of a rehearsal: the changeovers that were measured or are tight, and how many are neither.
fn found(rows: Vec<Row>, out: &mut impl Write) -> Result<(), Stop> {
    let (said, rest): (Vec<Row>, Vec<Row>) = rows.into_iter().partition(|row| row.took.is_some() || row.is_tight());
    print(&said, out)?;
    match rest.len() {
        0 => {}
        1 => writeln!(out, "1 more changeover was not measured, and its planned time is enough.")?,
        count => writeln!(out, "{count} more changeovers were not measured, and their planned times are enough.")?,
    }
    Ok(())
}

fn print(rows: &[Row], out: &mut impl Write) -> Result<(), Stop> {
    for row in rows {
        writeln!(out, "{}", picture::row_words(row))?;
    }
    Ok(())
}

fn forget(kind: Option<Transition>, out: &mut impl Write) -> Result<Exit, Stop> {
    let forgotten = transitions::forget(kind)?;
    let of = kind.map_or_else(String::new, |kind| format!(" for {kind}"));
    match forgotten {
        0 => writeln!(out, "Nothing was measured{of}.")?,
        1 => writeln!(out, "1 measured time{of} forgotten.")?,
        _ => writeln!(out, "{forgotten} measured times{of} forgotten.")?,
    }
    Ok(Exit::Well)
}
