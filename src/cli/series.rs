//! `forecall series`: the following weeks of a class, one file per class.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::ValueEnum;
use jiff::civil::{Date, Time};
use jiff::{Timestamp, ZonedDateTime};

use super::error::OrCannot;
use super::new::slug;
use super::output::OutputFile;
use super::session::open;
use super::{CommandError, config, faults, journals};
use class::schedule::ChangeoverCosts;
use class::series::{BlockWork, DayArg, MOST_WEEKS, SeriesRequest, SeriesWeek, WeekStep, days_of, plan};
use class::time::{Tick, clock};
use journal::{ClassAccount, PlannedClass, replay};
use paper::export::{ClassDates, series_calendar};

/// Write the following weeks of a class, progressing one variable a week
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Each week advances one variable, in the order tempo, tier (the harder option), work, rounds, rest, \
    load; every fourth week is easier. A step that would add a finding in check is skipped. If the class was led \
    before, the first week continues from what was really done.\n\n\
    Examples:\n  forecall series legs.ron --weeks 6 --days mon,thu\n  \
    forecall series legs.ron --weeks 6 --days mon,thu -o winter --as ics --at 18:15"
)]
pub(crate) struct SeriesArgs {
    #[command(flatten)]
    file: super::session::SessionArgs,
    /// Number of weeks
    #[arg(long, value_name = "N", default_value_t = 6, value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_WEEKS)))]
    weeks: u32,
    /// Days of the week, comma-separated, such as mon,thu
    #[arg(long, value_name = "DAYS", value_delimiter = ',', required = true)]
    days: Vec<DayArg>,
    /// First day on which there may be a class, such as 2026-12-01 [default: tomorrow]
    #[arg(long, value_name = "DATE")]
    from: Option<Date>,
    /// Folder for the classes; created if it does not exist
    #[arg(short, long, value_name = "FOLDER", default_value = ".")]
    output: PathBuf,
    /// Also write a calendar of all classes
    #[arg(long = "as", value_name = "FORMAT", requires = "at")]
    format: Option<SeriesFormat>,
    /// When the classes start, such as 18:15
    #[arg(long, value_name = "TIME")]
    at: Option<Time>,
    /// Progress from the plan, not from what was done
    #[arg(long)]
    planned: bool,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum SeriesFormat {
    /// A calendar (iCalendar)
    Ics,
}

/// Writes the classes and prints what changes.
///
/// # Errors
/// When the class has faults or cannot be repeated on these days, or a file cannot be written. Then no file is written.
pub(crate) fn run(args: &SeriesArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let catalogue = args.file.movements.catalogue()?;
    let checked = open(&args.file.file, &catalogue, &[], &ChangeoverCosts::ESTIMATED)?;
    if checked.schedule.is_none() {
        return Err(CommandError::faults(faults::render(&checked, faults::FaultStyle::of_stderr())));
    }
    let tomorrow = ZonedDateTime::now().date().tomorrow().unwrap_or(Date::MAX);
    let ask = SeriesRequest {
        weeks: args.weeks,
        days: days_of(&args.days),
        from: args.from.unwrap_or(tomorrow),
        nights: config::get().recovery_nights(),
    };
    let led = if args.planned { None } else { last_led(&args.file.file) };
    let done = led.as_ref().map_or(&[][..], |(_, done)| done);
    let weeks = plan(&checked.text, &catalogue, &ask, done).map_err(CommandError::faults)?;
    let title = checked.schedule.as_ref().map_or("", |schedule| schedule.session.title.as_str());

    let mut files: Vec<(PathBuf, String)> = Vec::new();
    for week in &weeks {
        for date in &week.dates {
            files.push((args.output.join(format!("{}-{date}.ron", slug(title))), week.text.clone()));
        }
    }
    if let (Some(SeriesFormat::Ics), Some(at)) = (args.format, args.at) {
        let classes = weeks.iter().flat_map(|week| {
            week.dates
                .iter()
                .map(|date| (&week.schedule, ClassDates { starts: date.to_datetime(at), weeks: 1, length: None }))
        });
        let text = series_calendar(&classes.collect::<Vec<_>>(), Timestamp::now());
        files.push((args.output.join(format!("{}-series.ics", slug(title))), text));
    }
    write_all(&args.output, &files, args.force)?;
    if let Some((day, _)) = &led {
        writeln!(out, "continues from what was done on {day}")?;
    }
    table(&weeks, out)?;
    writeln!(
        out,
        "\n{} files in {}; each is a draft: check it before you lead it",
        files.len(),
        args.output.display()
    )?;
    Ok(())
}

/// Writes all files or none: if one fails, those written before it are restored or deleted.
fn write_all(folder: &Path, files: &[(PathBuf, String)], force: bool) -> Result<(), CommandError> {
    std::fs::create_dir_all(folder).or_cannot(format_args!("create {}", folder.display()))?;
    // The old contents are kept in memory until all files are written.
    let opened: Result<Vec<OutputFile>, CommandError> =
        files.iter().map(|(path, _)| OutputFile::open(path, force)).collect();
    let before: Vec<Option<Vec<u8>>> = files.iter().map(|(path, _)| std::fs::read(path).ok()).collect();
    for (at, (output, (_, text))) in opened?.into_iter().zip(files).enumerate() {
        if let Err(stop) = output.write_whole(text.as_bytes()) {
            for ((path, _), before) in files[..at].iter().zip(&before) {
                // If this fails as well, nothing more can be done.
                let _ = match before {
                    Some(bytes) => std::fs::write(path, bytes),
                    None => std::fs::remove_file(path),
                };
            }
            return Err(stop);
        }
    }
    Ok(())
}

/// What was done the last time that a file was led for people, block by block, with the day. None if it never was, or
/// its journal cannot be read.
fn last_led(file: &Path) -> Option<(Date, Vec<BlockWork>)> {
    let known = journals::canonical_path(file).display().to_string();
    let entries = journals::entries().ok()?;
    entries.iter().rev().find_map(|entry| {
        let header = entry.header().ok().filter(|header| header.speed == 1 && header.session.path == known)?;
        let kept = entry.read().ok()?;
        let plan = PlannedClass::of(&header).ok()?;
        let left = replay(&plan, &kept).ok()?;
        if left.now.saturating_sub(Tick(header.opening.from_ms)) < Tick::MINUTE {
            return None;
        }
        let account = ClassAccount::of(&plan, &kept, &left);
        let blocks = plan.schedule.session.blocks.iter().enumerate().map(|(index, block)| {
            let of = account.stations.iter().filter(|done| done.block == index);
            let (planned, done) = of.fold((Tick::ZERO, Tick::ZERO), |(p, d), of| (p + of.planned, d + of.done));
            BlockWork { name: block.name.clone(), planned, done }
        });
        Some((header.wall.date(), blocks.collect()))
    })
}

/// Prints what changes: one line per week, and more lines if more changes.
fn table(weeks: &[SeriesWeek], out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "week  length  days                      what changes")?;
    for week in weeks {
        let step = match week.step {
            WeekStep::Begin => "as it is".to_owned(),
            WeekStep::Advance(variable) => variable.to_string(),
            WeekStep::Easier => "easier".to_owned(),
            WeekStep::Same => "the same again: nothing more can be advanced".to_owned(),
        };
        let days: Vec<String> = week.dates.iter().map(|date| date.strftime("%a %-d %b").to_string()).collect();
        let (first, rest) = match week.changes.split_first() {
            Some((first, rest)) if week.step == WeekStep::Begin => (first.clone(), rest),
            Some((first, rest)) => (format!("{step}: {first}"), rest),
            None => (step, &[][..]),
        };
        let length = clock(week.schedule.total());
        writeln!(out, "{:>4}  {length:>6}  {:<24}  {first}", week.number, days.join(", "))?;
        for change in rest {
            writeln!(out, "{:40}{change}", "")?;
        }
    }
    Ok(())
}
