//! `forecall rehearse`: the changeovers of a class, each timed.

use std::io::Write;
use std::path::PathBuf;

use super::error::OrCannot;
use super::full_run::run_full_class;
use super::movements::MovementArgs;
use super::music::MusicLists;
use super::notes::note;
use super::rewrite::rewrite;
use super::session::{CheckedSession, open};
use super::sound_args::SoundArgs;
use super::{CommandError, Exit, changeover_costs, colour, config, faults};
use class::cue::SpeechSettings;
use class::schedule::{SampleSubject, Schedule, TransitionKind};
use class::session::SpeechLevel;
use class::session_draft::SessionDraft;
use class::time::{LengthFault, Tick, parse_length};
use stage::rehearse::page_screen as pages_picture;
use stage::rehearse::screen as picture;
use stage::rehearse::{
    BoundaryResult, ReadThrough, Rehearsal, RehearsalSettings, RehearsalWindow, TransitionRow, boundaries, table,
};
use stage::runtime::terminal;
use stage::runtime::{Clock, Console, NoRecorder, RealClock, RunEnding, command_of_key, run_on_screen};

/// Rehearse and time the changeovers of a class, each from 15 s before to 10 s after
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Space starts. Press it again when you are ready for the next station. ? shows all keys. Your times \
    are saved: once a kind of changeover has been measured five times, planning uses your times.\n\n\
    Without a terminal or a keyboard, the changeovers are printed as planned."
)]
pub(crate) struct RehearseArgs {
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
    forget: Option<Option<TransitionKind>>,
    #[command(flatten)]
    movements: MovementArgs,
    #[command(flatten)]
    sounds: SoundArgs,
}

/// The longest time before and after a changeover.
const LONGEST: Tick = Tick::seconds(120);

/// Why a text gives no time before or after a changeover.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
enum MarginError {
    #[error(transparent)]
    Length(#[from] LengthFault),
    #[error("at most 2m")]
    TooLong,
}

fn some_length(text: &str) -> Result<Tick, MarginError> {
    let length = parse_length(text)?;
    if length <= LONGEST { Ok(length) } else { Err(MarginError::TooLong) }
}

/// Rehearses, and at the end prints what was measured.
///
/// # Errors
/// When the file has faults, or the terminal cannot be used.
pub(crate) fn run(args: &RehearseArgs, out: &mut impl Write) -> Result<Exit, CommandError> {
    let Some(file) = args.file.as_ref().filter(|_| args.forget.is_none()) else {
        return forget(args.forget.flatten(), out);
    };
    let catalogue = args.movements.catalogue()?;
    let checked = open(file, &catalogue, &[], &changeover_costs::costs())?;
    let told = faults::render(&checked, faults::FaultStyle::of_stderr());
    if checked.schedule.is_none() {
        return Err(CommandError::faults(told));
    }
    note(&told);
    let draft = SessionDraft::new(checked.text.clone(), &catalogue, changeover_costs::costs());
    let draft = draft.map_err(CommandError::faults)?;
    let window = RehearsalWindow { before: args.before, after: args.after };
    let settings = RehearsalSettings {
        window,
        all: args.all,
        who: if args.group { SampleSubject::Group } else { SampleSubject::Coach },
        group: config::get().group_percent(),
    };
    if args.whole {
        return run_full_class(draft.schedule().clone(), &args.sounds, args.from.as_deref(), args.speed, out);
    }
    if args.read {
        return read_through(args, draft.schedule().clone(), out);
    }
    if boundaries(draft.schedule(), settings.all).is_empty() {
        writeln!(out, "{}: nothing changes between its stations, so there is nothing to rehearse.", checked.name)?;
        return Ok(Exit::Well);
    }
    if !terminal::is_interactive() {
        print(&planned_rows(draft.schedule(), settings), out)?;
        return Ok(Exit::Well);
    }
    on_the_screen(args, &checked, draft, settings, out)
}

fn on_the_screen(
    args: &RehearseArgs,
    checked: &CheckedSession,
    draft: SessionDraft,
    settings: RehearsalSettings,
    out: &mut impl Write,
) -> Result<Exit, CommandError> {
    let mut clock = RealClock::new(1);
    let mut console = Console::open(command_of_key).or_cannot("read the keyboard")?;
    let mut cued = draft.schedule().clone();
    class::cue::plan_and_insert_cues(&mut cued, Tick::ZERO, &SpeechSettings::default());
    let mut audio = args.sounds.audio(&cued, 1, true, MusicLists::default());
    let rehearsal = Rehearsal::new(draft, SpeechSettings::default(), settings, clock.read());
    let Some(mut rehearsal) = rehearsal else { return Ok(Exit::Well) };
    let look = colour::theme();
    let face = |rehearsal: &Rehearsal| picture::fingerprint(&rehearsal.moment());
    let draw = |frame: &mut ratatui::Frame, rehearsal: &Rehearsal| {
        picture::draw(frame, &rehearsal.moment(), &rehearsal.table(), &look);
    };
    let led = run_on_screen(&mut rehearsal, &mut clock, &mut console, (face, draw), audio.as_mut(), &mut NoRecorder);
    let outcome = rehearsal.outcome();
    print_results(rehearsal.table(), out)?;
    let kept = changeover_costs::save_samples(&outcome.samples);
    match led.or_cannot("keep showing the rehearsal")? {
        RunEnding::Signal(signal) => return Ok(Exit::Signal(signal)),
        RunEnding::Done | RunEnding::Quit => {}
    }
    kept?;
    if let (Some(text), Some(file)) = (outcome.write, &args.file) {
        rewrite(file, &checked.text, &text)?;
        writeln!(out, "{}: changed.", checked.name)?;
    }
    Ok(Exit::Well)
}

/// Shows one page per station, at the coach's own pace.
fn read_through(args: &RehearseArgs, mut schedule: Schedule, out: &mut impl Write) -> Result<Exit, CommandError> {
    if !terminal::is_interactive() {
        return Err(CommandError::refused("--read needs a terminal; `forecall show` works without one"));
    }
    class::cue::plan_and_insert_cues(
        &mut schedule,
        Tick::ZERO,
        &SpeechSettings { level: Some(SpeechLevel::Full), ..SpeechSettings::default() },
    );
    let mut audio = args.sounds.audio(&schedule, 1, true, MusicLists::default());
    let Some(mut pages) = ReadThrough::new(schedule, args.sounds.mute) else { return Ok(Exit::Well) };
    let mut console = Console::open(command_of_key).or_cannot("read the keyboard")?;
    let look = colour::theme();
    let face = |pages: &ReadThrough| pages.page().index as u64 * 2 + u64::from(pages.page().muted);
    let draw = |frame: &mut ratatui::Frame, pages: &ReadThrough| pages_picture::draw(frame, &pages.page(), &look);
    let clock = &mut RealClock::new(1);
    let led = run_on_screen(&mut pages, clock, &mut console, (face, draw), audio.as_mut(), &mut NoRecorder);
    out.flush()?;
    match led.or_cannot("keep showing the pages")? {
        RunEnding::Signal(signal) => Ok(Exit::Signal(signal)),
        RunEnding::Done | RunEnding::Quit => Ok(Exit::Well),
    }
}

/// The changeovers as planned.
fn planned_rows(schedule: &Schedule, settings: RehearsalSettings) -> Vec<TransitionRow> {
    let boundaries = boundaries(schedule, settings.all);
    table(schedule, &boundaries, &vec![BoundaryResult::default(); boundaries.len()], &settings)
}

/// Prints the results of a rehearsal: the changeovers that were measured or are tight, and how many are neither.
fn print_results(rows: Vec<TransitionRow>, out: &mut impl Write) -> Result<(), CommandError> {
    let (said, rest): (Vec<TransitionRow>, Vec<TransitionRow>) =
        rows.into_iter().partition(|row| row.took.is_some() || row.is_tight());
    print(&said, out)?;
    match rest.len() {
        0 => {}
        1 => writeln!(out, "1 more changeover was not measured, and its planned time is enough.")?,
        count => writeln!(out, "{count} more changeovers were not measured, and their planned times are enough.")?,
    }
    Ok(())
}

fn print(rows: &[TransitionRow], out: &mut impl Write) -> Result<(), CommandError> {
    for row in rows {
        writeln!(out, "{}", picture::row_words(row))?;
    }
    Ok(())
}

fn forget(kind: Option<TransitionKind>, out: &mut impl Write) -> Result<Exit, CommandError> {
    let forgotten = changeover_costs::forget(kind)?;
    let of = kind.map_or_else(String::new, |kind| format!(" for {kind}"));
    match forgotten {
        0 => writeln!(out, "Nothing was measured{of}.")?,
        1 => writeln!(out, "1 measured time{of} forgotten.")?,
        _ => writeln!(out, "{forgotten} measured times{of} forgotten.")?,
    }
    Ok(Exit::Well)
}
