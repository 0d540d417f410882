//! `forecall rehearse`: the changeovers of a class, each timed.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use super::movements::Movements;
use super::music::Lists;
use super::rewrite::rewrite;
use super::session::{Checked, open};
use super::sounds::Sounds;
use super::whole::run_whole;
use super::{Stop, colour, config, faults, transitions};
use crate::cue::Voicing;
use crate::draft::Draft;
use crate::lead::terminal::{self, Sparing};
use crate::lead::{Channel, Clock, Ending, Picture, Real, Unkept, press, run};
use crate::rehearse::{Found, ReadThrough, Rehearsal, Row, Settings, Window, boundaries, table};
use crate::schedule::{Schedule, Transition, Who};
use crate::screen::{read_through as pages_picture, rehearsal as picture};
use crate::session::Level;
use crate::time::{Tick, parse_length};

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
pub fn run_rehearsal(args: &Args, out: &mut impl Write) -> Result<ExitCode, Stop> {
    let Some(file) = args.file.as_ref().filter(|_| args.forget.is_none()) else {
        return forget(args.forget.flatten(), out);
    };
    let catalogue = args.movements.catalogue()?;
    let checked = open(file, &catalogue, &[], &transitions::costs())?;
    let told = faults::render(&checked, faults::Style::of_stderr());
    if checked.schedule.is_none() {
        return Err(Stop::Faults(told));
    }
    eprint!("{told}");
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
        return Ok(ExitCode::SUCCESS);
    }
    if !terminal::is_here() {
        print(&planned(draft.schedule(), settings), out)?;
        return Ok(ExitCode::SUCCESS);
    }
    on_the_screen(args, &checked, draft, settings, out)
}

fn on_the_screen(
    args: &Args,
    checked: &Checked,
    draft: Draft,
    settings: Settings,
    out: &mut impl Write,
) -> Result<ExitCode, Stop> {
    let cannot = |what: &str, error: std::io::Error| Stop::Cannot(format!("cannot {what}: {error}"));
    let mut clock = Real::new(1);
    let mut channel = Channel::new();
    channel.listen_to_signals().map_err(|error| cannot("listen to signals", error))?;
    let mut cued = draft.schedule().clone();
    crate::cue::cue_up(&mut cued, Tick::ZERO, &Voicing::default());
    let mut room = args.sounds.room(&cued, 1, true, Lists::default());
    let rehearsal = Rehearsal::new(draft, Voicing::default(), settings, clock.read());
    let Some(mut rehearsal) = rehearsal else { return Ok(ExitCode::SUCCESS) };
    let look = colour::look();
    let mut show = || -> std::io::Result<Ending> {
        terminal::take_screen()?;
        channel.listen_to_keys(press)?;
        let face = |led: &Rehearsal| picture::face(&led.view());
        let mut front = Picture::new(Sparing::stdout(), face, |frame: &mut ratatui::Frame, led: &Rehearsal| {
            picture::draw(frame, &led.view(), &led.table(), &look);
        })?;
        run(&mut rehearsal, &mut clock, &mut channel, &mut front, room.as_mut(), &mut Unkept)
    };
    let led = show();
    terminal::restore();
    let outcome = rehearsal.outcome();
    found(rehearsal.table(), out)?;
    let kept = transitions::keep(&outcome.samples);
    match led.map_err(|error| cannot("keep showing the rehearsal", error))? {
        Ending::Signal(signal) => return Ok(Stop::signalled(signal)),
        Ending::Done | Ending::Quit => {}
    }
    kept?;
    if let (Some(text), Some(file)) = (outcome.write, &args.file) {
        rewrite(file, &checked.text, &text)?;
        writeln!(out, "{}: changed.", checked.name)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Shows one page per station, at the coach's own pace.
fn read_through(args: &Args, mut schedule: Schedule, out: &mut impl Write) -> Result<ExitCode, Stop> {
    let cannot = |what: &str, error: std::io::Error| Stop::Cannot(format!("cannot {what}: {error}"));
    if !terminal::is_here() {
        return Err(Stop::Cannot("--read needs a terminal; `forecall show` works without one".to_owned()));
    }
    crate::cue::cue_up(&mut schedule, Tick::ZERO, &Voicing { level: Some(Level::Full), ..Voicing::default() });
    let mut room = args.sounds.room(&schedule, 1, true, Lists::default());
    let Some(mut pages) = ReadThrough::new(schedule, args.sounds.mute) else { return Ok(ExitCode::SUCCESS) };
    let mut channel = Channel::new();
    channel.listen_to_signals().map_err(|error| cannot("listen to signals", error))?;
    let look = colour::look();
    let mut show = || -> std::io::Result<Ending> {
        terminal::take_screen()?;
        channel.listen_to_keys(press)?;
        let face = |pages: &ReadThrough| pages.page().index as u64 * 2 + u64::from(pages.page().muted);
        let mut front = Picture::new(Sparing::stdout(), face, |frame: &mut ratatui::Frame, pages: &ReadThrough| {
            pages_picture::draw(frame, &pages.page(), &look);
        })?;
        run(&mut pages, &mut Real::new(1), &mut channel, &mut front, room.as_mut(), &mut Unkept)
    };
    let led = show();
    terminal::restore();
    out.flush()?;
    match led.map_err(|error| cannot("keep showing the pages", error))? {
        Ending::Signal(signal) => Ok(Stop::signalled(signal)),
        Ending::Done | Ending::Quit => Ok(ExitCode::SUCCESS),
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

fn forget(kind: Option<Transition>, out: &mut impl Write) -> Result<ExitCode, Stop> {
    let forgotten = transitions::forget(kind)?;
    let of = kind.map_or_else(String::new, |kind| format!(" for {kind}"));
    match forgotten {
        0 => writeln!(out, "Nothing was measured{of}.")?,
        1 => writeln!(out, "1 measured time{of} forgotten.")?,
        _ => writeln!(out, "{forgotten} measured times{of} forgotten.")?,
    }
    Ok(ExitCode::SUCCESS)
}
