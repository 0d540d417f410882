//! `forecall rehearse`: the transitions of a class, each timed.

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

/// Rehearse the transitions of a class: each from 15 s before it to 10 s after, timed
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Space begins, and then says that you stand ready; ? shows all keys. What is measured is kept: a \
    kind of transition that was measured five times is planned by that from then on.\n\n\
    Where there is no terminal or no keyboard, the transitions are printed as planned."
)]
pub struct Args {
    /// The session file, or - for standard input
    #[arg(required_unless_present = "forget")]
    file: Option<PathBuf>,
    /// Begin so long before each transition
    #[arg(long, value_name = "LENGTH", default_value = "15s", value_parser = some_length)]
    before: Tick,
    /// Go on so long after it
    #[arg(long, value_name = "LENGTH", default_value = "10s", value_parser = some_length)]
    after: Tick,
    /// Also the transitions in which nothing changes but the movement
    #[arg(long)]
    all: bool,
    /// Read the class through instead: a page a station, at your own pace, with what is said of it
    #[arg(long, conflicts_with_all = ["all", "group"])]
    read: bool,
    /// Run the whole class instead, with the keys of a class; nothing is written down
    #[arg(long, conflicts_with_all = ["all", "group", "read"])]
    whole: bool,
    /// Begin the whole class at a block, by letter, number or name, or at a station of it: B, Hinge, B.3
    #[arg(long, value_name = "BLOCK[.STATION]", requires = "whole")]
    from: Option<String>,
    /// Run the whole class so many times as fast, 1 to 8; tones and speech keep their pitch, and what then has no room to be
    /// spoken is printed
    #[arg(long, value_name = "N", default_value_t = 1, requires = "whole", value_parser = clap::value_parser!(u32).range(1..=8))]
    speed: u32,
    /// It is the class that gets ready, not the coach alone, whose times count half as much again (an estimate)
    #[arg(long)]
    group: bool,
    /// Forget what was measured of a kind, such as kit_swap+to_floor; of all kinds where none is named
    #[arg(long, value_name = "KIND", num_args = 0..=1, conflicts_with_all = ["file", "group"])]
    forget: Option<Option<Transition>>,
    #[command(flatten)]
    movements: Movements,
    #[command(flatten)]
    sounds: Sounds,
}

/// The longest part of a class before and after a transition.
const LONGEST: Tick = Tick::seconds(120);

fn some_length(text: &str) -> Result<Tick, String> {
    let length = parse_length(text).map_err(|fault| fault.to_string())?;
    if length <= LONGEST { Ok(length) } else { Err("at most 2m".to_owned()) }
}

/// Rehearses, and at the end prints what was measured.
///
/// # Errors
/// When the file has faults, or the terminal cannot be had.
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
        writeln!(out, "{}: nothing has to be changed between its stations.", checked.name)?;
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
    let mut console = Console::open(press).or_cannot("take keys")?;
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
    match led.or_cannot("show the rehearsal any more")? {
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

/// One page a station, at the coach's own pace.
fn read_through(args: &Args, mut schedule: Schedule, out: &mut impl Write) -> Result<Exit, Stop> {
    if !terminal::is_here() {
        return Err(Stop::Cannot("--read turns pages, and needs a terminal for it; try `forecall show`".to_owned()));
    }
    class::cue::cue_up(&mut schedule, Tick::ZERO, &Voicing { level: Some(Level::Full), ..Voicing::default() });
    let mut audio = args.sounds.audio(&schedule, 1, true, Lists::default());
    let Some(mut pages) = ReadThrough::new(schedule, args.sounds.mute) else { return Ok(Exit::Well) };
    let mut console = Console::open(press).or_cannot("take keys")?;
    let look = colour::look();
    let face = |pages: &ReadThrough| pages.page().index as u64 * 2 + u64::from(pages.page().muted);
    let draw = |frame: &mut ratatui::Frame, pages: &ReadThrough| pages_picture::draw(frame, &pages.page(), &look);
    let clock = &mut RealClock::new(1);
    let led = run_on_screen(&mut pages, clock, &mut console, (face, draw), audio.as_mut(), &mut NoRecorder);
    out.flush()?;
    match led.or_cannot("show the pages any more")? {
        Ending::Signal(signal) => Ok(Exit::Signal(signal)),
        Ending::Done | Ending::Quit => Ok(Exit::Well),
    }
}

/// The transitions as they are planned.
fn planned(schedule: &Schedule, settings: Settings) -> Vec<Row> {
    let boundaries = boundaries(schedule, settings.all);
    table(schedule, &boundaries, &vec![Found::default(); boundaries.len()], &settings)
}

/// What there is to say of a rehearsal: what was measured and what is tight, and how many transitions are neither.
fn found(rows: Vec<Row>, out: &mut impl Write) -> Result<(), Stop> {
    let (said, rest): (Vec<Row>, Vec<Row>) = rows.into_iter().partition(|row| row.took.is_some() || row.is_tight());
    print(&said, out)?;
    match rest.len() {
        0 => {}
        1 => writeln!(out, "1 more has the time that is planned for it, and was not measured.")?,
        count => writeln!(out, "{count} more have the time that is planned for them, and were not measured.")?,
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
    let of = kind.map_or_else(String::new, |kind| format!(" of {kind}"));
    match forgotten {
        0 => writeln!(out, "Nothing was measured{of}.")?,
        1 => writeln!(out, "1 measured transition{of} forgotten.")?,
        _ => writeln!(out, "{forgotten} measured transitions{of} forgotten.")?,
    }
    Ok(Exit::Well)
}
