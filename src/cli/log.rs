//! `forecall log`: the classes that were led, and the record of each.

use std::io::Write;
use std::path::Path;

use serde::Serialize;

use super::error::OrCannot;
use super::journals::{self, entries};
use super::output::{OutputArgs, OutputFile};
use super::{CommandError, volume};
use class::session::{Session, block_letter, limits};
use class::time::{Tick, clock};
use class::training_volume::{TrainingVolume, volume_between};
use journal::{
    AccountEvent, ClassAccount, ClassEnding, JournalContents, JournalEvent, JournalOpenError, JournalRecord,
    JournalStore, LedClass, ListedJournal, PlannedClass, ReplayedClass, replay,
};
use paper::export::{self, VolumeJson, no_formula};

/// List the classes that were led, or show one: planned and done times, changes, marks and notes
#[derive(Debug, clap::Args)]
pub(crate) struct LogArgs {
    /// The class, by its id, the beginning of its id, or `last` [default: list all classes]
    id: Option<String>,
    /// Add a note to the class
    #[arg(long, value_name = "TEXT", requires = "id", conflicts_with_all = ["json", "csv"])]
    note: Option<String>,
    /// Show the volume: work, rest, density, repetitions, and the time of each muscle and pattern
    #[arg(long, requires = "id", conflicts_with_all = ["csv", "note"])]
    volume: bool,
    /// Write what was done as a new session file, to --output [default: standard output]
    #[arg(long, requires = "id", conflicts_with_all = ["json", "csv", "note", "volume"])]
    as_session: bool,
    #[command(flatten)]
    output: OutputArgs,
    /// Print JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Print the stations of one class as CSV
    #[arg(long, requires = "id")]
    csv: bool,
}

/// Prints.
///
/// # Errors
/// When there is no such class, or its journal cannot be read.
pub(crate) fn run(args: &LogArgs, out: &mut impl Write) -> Result<(), CommandError> {
    if args.output.output.is_some() && !args.as_session {
        return Err(CommandError::refused("--output needs --as-session"));
    }
    let Some(id) = &args.id else { return list(args.json, out) };
    let entry = journals::find(id)?;
    if let Some(note) = &args.note {
        return add_note(&entry, note, out);
    }
    let class = LoggedClass::read(&entry).or_cannot(format_args!("read {}", entry.id))?;
    if args.as_session {
        return as_session(&class, &args.output);
    }
    if args.json {
        return json(&class.to_json(), out);
    }
    if args.csv {
        return csv(&class, out);
    }
    print_class(&class, out)?;
    if args.volume {
        write!(out, "\n{}", volume::table(&class.volume, class.session()))?;
    }
    Ok(())
}

/// A class read from its journal.
struct LoggedClass {
    id: String,
    kept: JournalContents,
    plan: PlannedClass,
    left: ReplayedClass,
    account: ClassAccount,
    /// The volume of what was done.
    volume: TrainingVolume,
    led: bool,
}

impl LoggedClass {
    fn read(entry: &ListedJournal) -> Result<LoggedClass, JournalOpenError> {
        let kept = entry.read()?;
        let plan = PlannedClass::of(&kept.header)?;
        let left = replay(&plan, &kept)?;
        let account = ClassAccount::of(&plan, &kept, &left);
        let volume = volume_between(left.course.schedule(), Tick(kept.header.opening.from_ms), left.now);
        Ok(LoggedClass { id: entry.id.clone(), kept, plan, left, account, volume, led: entry.is_led() })
    }

    fn title(&self) -> &str {
        &self.plan.schedule.session.title
    }

    /// The session with the changes that were made.
    fn session(&self) -> &Session {
        &self.left.course.schedule().session
    }

    fn ended(&self) -> &'static str {
        match self.left.ended {
            Some(ClassEnding::Done) => "finished",
            Some(ClassEnding::Quit) => "ended by the coach",
            None if self.led => "being led",
            None => "cut off",
        }
    }

    fn to_json(&self) -> LoggedClassJson<'_> {
        let blocks = &self.session().blocks;
        LoggedClassJson {
            version: 1,
            id: &self.id,
            title: self.title(),
            begun: self.kept.header.wall.to_string(),
            speed: self.kept.header.speed,
            planned_ms: self.plan.schedule.total().0,
            done_ms: self.left.now.0,
            lost_ms: Tick::of(self.left.lost).0,
            ended: self.ended(),
            stations: (self.account.stations.iter())
                .map(|done| LoggedStationJson {
                    block: &blocks[done.block].name,
                    station: &done.name,
                    planned_ms: done.planned.0,
                    done_ms: done.done.0,
                })
                .collect(),
            moments: self
                .account
                .moments
                .iter()
                .map(|(at, moment)| LoggedEventJson { at_ms: at.0, what: words(moment) })
                .collect(),
            volume: VolumeJson::new(&self.volume, self.session()),
            notes: &self.account.notes,
        }
    }
}

#[derive(Serialize)]
struct LoggedClassJson<'a> {
    version: u32,
    id: &'a str,
    title: &'a str,
    begun: String,
    speed: u32,
    planned_ms: u64,
    done_ms: u64,
    lost_ms: u64,
    ended: &'a str,
    stations: Vec<LoggedStationJson<'a>>,
    moments: Vec<LoggedEventJson>,
    /// The volume of what was done.
    volume: VolumeJson<'a>,
    notes: &'a [String],
}

#[derive(Serialize)]
struct LoggedStationJson<'a> {
    block: &'a str,
    station: &'a str,
    planned_ms: u64,
    done_ms: u64,
}

#[derive(Serialize)]
struct LoggedEventJson {
    at_ms: u64,
    what: String,
}

/// Prints one line per class, the last class last. A journal that cannot be read gets a line as well.
fn list(as_json: bool, out: &mut impl Write) -> Result<(), CommandError> {
    let entries = entries()?;
    if as_json {
        let classes: Vec<LoggedClass> = entries.iter().filter_map(|entry| LoggedClass::read(entry).ok()).collect();
        return json(&classes.iter().map(LoggedClass::to_json).collect::<Vec<_>>(), out);
    }
    if entries.is_empty() {
        writeln!(out, "No class has been led yet.")?;
    }
    for entry in &entries {
        match LoggedClass::read(entry) {
            Ok(class) => writeln!(
                out,
                "{}  {}  {} of {}  {}",
                class.id,
                class.title(),
                whole_seconds(class.left.now),
                clock(class.plan.schedule.total()),
                class.ended()
            )?,
            Err(why) => writeln!(out, "{}  cannot be read: {why}", entry.id)?,
        }
    }
    Ok(())
}

fn print_class(class: &LoggedClass, out: &mut impl Write) -> Result<(), CommandError> {
    let begun = class.kept.header.wall.strftime("%a %-d %b %Y, %H:%M");
    let total = class.plan.schedule.total();
    writeln!(
        out,
        "{}, {begun}: {} of {}, {}",
        class.title(),
        whole_seconds(class.left.now),
        clock(total),
        class.ended()
    )?;
    if !class.left.lost.is_zero() {
        writeln!(out, "Pauses and waits: {}", whole_seconds(Tick::of(class.left.lost)))?;
    }
    let blocks = &class.session().blocks;
    let width = class.account.stations.iter().map(|done| done.name.chars().count()).max().unwrap_or(0);
    let mut before = None;
    for done in &class.account.stations {
        if before.replace(done.block) != Some(done.block) {
            writeln!(out, "\n{} {}", block_letter(done.block), blocks[done.block].name)?;
        }
        let (planned, worked) = (whole_seconds(done.planned), whole_seconds(done.done));
        writeln!(out, "  {:width$}  planned {planned:>6}  done {worked:>6}", done.name)?;
    }
    if !class.account.moments.is_empty() {
        writeln!(out)?;
    }
    for (at, moment) in &class.account.moments {
        writeln!(out, "{:>6}  {}", whole_seconds(*at), words(moment))?;
    }
    for note in &class.account.notes {
        writeln!(out, "note: {note}")?;
    }
    Ok(())
}

fn words(moment: &AccountEvent) -> String {
    match moment {
        AccountEvent::Changed(change) => format!("changed: {change}"),
        AccountEvent::Undone => "undone".to_owned(),
        AccountEvent::Redone => "redone".to_owned(),
        AccountEvent::Paused => "paused".to_owned(),
        AccountEvent::Stopped => "emergency stop".to_owned(),
        AccountEvent::Marked(what) => format!("mark: {what}"),
        AccountEvent::Slept(length) => format!("the laptop slept for {}", whole_seconds(*length)),
        AccountEvent::ResumedAfterBreak => "resumed".to_owned(),
    }
}

fn csv(class: &LoggedClass, out: &mut impl Write) -> Result<(), CommandError> {
    let blocks = &class.session().blocks;
    let mut to = csv::Writer::from_writer(Vec::new());
    to.write_record(["block", "station", "planned_s", "done_s"]).or_cannot("write CSV")?;
    for done in &class.account.stations {
        let seconds = |tick: Tick| format!("{}.{:03}", tick.0 / 1000, tick.0 % 1000);
        let (block, station) = (no_formula(blocks[done.block].name.clone()), no_formula(done.name.clone()));
        to.write_record([block, station, seconds(done.planned), seconds(done.done)]).or_cannot("write CSV")?;
    }
    let bytes = to.into_inner().or_cannot("write CSV")?;
    Ok(out.write_all(&bytes)?)
}

/// Writes what was done as a session file. The output is opened first, so that nothing is worked out for a file that
/// cannot be written.
fn as_session(class: &LoggedClass, to: &OutputArgs) -> Result<(), CommandError> {
    let what = format!("write {} as a session", class.id);
    let output = OutputFile::open(to.output.as_deref().unwrap_or(Path::new("-")), to.force)?;
    let ran = LedClass::of(&class.kept, &class.left).ok_or("it never started").or_cannot(&what)?;
    let begun = class.kept.header.wall.strftime("%a %-d %b %Y, %H:%M");
    let total = clock(class.plan.schedule.total());
    let mut notes = vec![format!("As led on {begun}: {} of {total}.", whole_seconds(class.left.now))];
    notes.extend(class.account.notes.iter().cloned());
    let (plan, header) = (&class.plan, &class.kept.header);
    let text = export::as_session(
        &header.session.text,
        &plan.schedule,
        &ran.trim_to_run(ran.course.clone()),
        &plan.catalogue,
        &notes,
    );
    output.write_whole(text.or_cannot(what)?.as_bytes())
}

fn json(value: &impl Serialize, out: &mut impl Write) -> Result<(), CommandError> {
    serde_json::to_writer_pretty(&mut *out, value).map_err(std::io::Error::from)?;
    Ok(writeln!(out)?)
}

/// Adds a note at the end of the journal. The rest of the journal does not change.
fn add_note(entry: &ListedJournal, note: &str, out: &mut impl Write) -> Result<(), CommandError> {
    let note = note.trim();
    if note.is_empty() || note.chars().count() > limits::NOTE || note.chars().any(char::is_control) {
        return Err(CommandError::refused(format!("--note: one line of 1 to {} characters", limits::NOTE)));
    }
    let what = format!("add a note to {}", entry.id);
    let held = entry.lock().or_cannot(&what)?;
    let at = held.kept.records.last().map_or(held.kept.header.opening.from_ms, |last| last.at);
    let record = JournalRecord { at, wall: jiff::Timestamp::now(), what: JournalEvent::Note(note.to_owned()) };
    let mut line = serde_json::to_vec(&record).or_cannot(&what)?;
    line.push(b'\n');
    let mut file = held.append().or_cannot(&what)?;
    file.append(&line).and_then(|()| file.sync()).or_cannot(what)?;
    writeln!(out, "Note added to {}.", entry.id)?;
    Ok(())
}

fn whole_seconds(tick: Tick) -> String {
    clock(Tick::seconds(tick.0 / 1000))
}
