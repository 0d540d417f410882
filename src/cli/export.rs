//! `forecall export`: a class for other programs, as planned or as led.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use jiff::Timestamp;
use jiff::civil::DateTime;

use super::error::OrCannot;
use super::movements::MovementArgs;
use super::notes::note;
use super::output::{OutputArgs, OutputFile};
use super::session::SessionArgs;
use super::speech_args::SpeechArgs;
use super::{CommandError, journals};
use class::recording::{ExportClock, TimeStop, recording_time};
use class::schedule::Schedule;
use class::time::{LengthFault, Tick, clock, parse_length};
use journal::{LedClass, PlannedClass, replay};
use paper::export::{self, Caption, ClassDates};

/// Write a class for other programs: captions, chapters, a calendar entry, tables
#[derive(Debug, clap::Args)]
pub(crate) struct ExportArgs {
    /// The session file, or - for standard input
    #[arg(required_unless_present = "done")]
    file: Option<PathBuf>,
    #[command(flatten)]
    movements: MovementArgs,
    /// Format to write
    #[arg(long = "as", value_name = "FORMAT")]
    format: ExportFormat,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    spoken: SpeechArgs,
    /// For ics: when the class starts, such as 2026-12-01T18:15
    #[arg(long, value_name = "DATETIME", conflicts_with = "done")]
    start: Option<DateTime>,
    /// For ics: how many weeks, with a class each week, 1 to 520
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=520), conflicts_with = "done")]
    weeks: u32,
    /// Export a class as it was led, by its id in `forecall log` or `last`; pauses and waits are removed
    #[arg(long, value_name = "ID", conflicts_with_all = ["file", "movements"])]
    done: Option<String>,
    /// Keep pauses and waits
    #[arg(long, requires = "done")]
    keep_pauses: bool,
    /// Recording time that matches --at-class, such as 1:12.5; all times are then recording times, with pauses and
    /// waits
    #[arg(long, value_name = "TIME", requires = "done", value_parser = recording_time)]
    camera_time: Option<Tick>,
    /// Class time that matches --camera-time, such as that of a mark in `forecall log ID` [default: the start of the
    /// class]
    #[arg(long, value_name = "TIME", requires = "camera_time", value_parser = class_time)]
    at_class: Option<Tick>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum ExportFormat {
    /// Captions (WebVTT)
    Vtt,
    /// Captions (SubRip)
    Srt,
    /// Chapters, one per line, for the description of a video
    Chapters,
    /// Chapters in a metadata file for ffmpeg
    Ffmetadata,
    /// A calendar entry (iCalendar)
    Ics,
    /// The stations as a table (CSV)
    Csv,
    /// The schedule, as `show --json` prints it
    Json,
    /// The stations as tables (Markdown)
    Md,
}

/// The class to write, and the clock for its times.
struct ExportedClass {
    /// The schedule with its cues. Captions plan the cues again, with the lengths of the voice.
    schedule: Schedule,
    clock: ExportClock,
    ran: Option<LedClass>,
}

/// Writes the class.
pub(crate) fn run(args: &ExportArgs) -> Result<(), CommandError> {
    if args.format == ExportFormat::Ics && args.start.is_none() && args.done.is_none() {
        return Err(CommandError::refused("--as ics needs the start of the class, such as --start 2026-12-01T18:15"));
    }
    if args.done.is_none() && (args.keep_pauses || args.camera_time.is_some()) {
        return Err(CommandError::refused("--keep-pauses and --camera-time need a class that was led, with --done"));
    }
    let output = OutputFile::open(args.output.output.as_deref().unwrap_or(Path::new("-")), args.output.force)?;
    let class = match (&args.done, &args.file) {
        (Some(id), _) => args.led(id)?,
        (None, Some(file)) => planned(SessionArgs { file: file.clone(), movements: args.movements.clone() })?,
        (None, None) => return Err(CommandError::refused("name a session file, or a led class with --done")),
    };
    let (schedule, times) = (&class.schedule, &class.clock);
    let text = match args.format {
        ExportFormat::Vtt => export::vtt(&args.captions(&class)),
        ExportFormat::Srt => export::srt(&args.captions(&class)),
        ExportFormat::Chapters => export::chapters(schedule, times),
        ExportFormat::Ffmetadata => export::ffmetadata(schedule, times),
        ExportFormat::Ics => export::calendar(schedule, &args.dates(&class), times, Timestamp::now()),
        ExportFormat::Csv => export::csv(schedule, times).map_err(|error| output.fault(error))?,
        ExportFormat::Json => export::json(schedule, times).map_err(|error| output.fault(error.into()))? + "\n",
        ExportFormat::Md => export::markdown(schedule, times),
    };
    output.write_whole(text.as_bytes())
}

fn planned(file: SessionArgs) -> Result<ExportedClass, CommandError> {
    let loaded = file.load()?;
    note(&loaded.warnings);
    Ok(ExportedClass { schedule: loaded.schedule, clock: ExportClock::default(), ran: None })
}

impl ExportArgs {
    /// The class of a journal, as it was led.
    fn led(&self, id: &str) -> Result<ExportedClass, CommandError> {
        let entry = journals::find(id)?;
        let what = format!("export {}", entry.id);
        let kept = entry.read().or_cannot(&what)?;
        let left = PlannedClass::of(&kept.header).and_then(|plan| replay(&plan, &kept)).or_cannot(&what)?;
        let ran = LedClass::of(&kept, &left).ok_or("it never started").or_cannot(&what)?;
        if self.camera_time.is_some() && kept.header.speed != 1 {
            let why = format!("it was led {} times as fast as planned, so no recording matches it", kept.header.speed);
            return Err(CommandError::cannot(what, why));
        }
        if let Some(at) = self.at_class.filter(|at| *at < ran.from || *at > ran.until) {
            let (from, until) = (clock(ran.from), clock(Tick::seconds(ran.until.0 / 1000)));
            let why = format!("--at-class {} is not within the class, {from} to {until}", clock(at));
            return Err(CommandError::cannot(what, why));
        }
        let times = match self.camera_time {
            _ if !self.keep_pauses && self.camera_time.is_none() => ExportClock::class_time(ran.from),
            None => real_time_clock(&ran),
            Some(camera) => real_time_clock(&ran).synced_to_recording(self.at_class.unwrap_or(ran.from), camera),
        };
        let missed = times.time_before_zero(ran.from);
        if missed > Tick::ZERO {
            note(&format!("the recording starts {} into the class; everything before that is left out", clock(missed)));
        }
        let schedule = ran.trim_to_run(ran.course.clone());
        Ok(ExportedClass { schedule, clock: times, ran: Some(ran) })
    }

    fn captions(&self, class: &ExportedClass) -> Vec<Caption> {
        let mut said = match &class.ran {
            Some(ran) => self.spoken.speak_at_levels(ran.course.clone(), &ran.levels),
            None => self.spoken.speak_class(class.schedule.clone()),
        };
        if let Some(ran) = &class.ran {
            said.schedule = ran.trim_to_run(said.schedule);
        }
        let captions = export::captions(&said.schedule, self.spoken.audience.ears(), |text| said.get(text));
        export::retimed(captions, &class.clock)
    }

    /// When the class is in the calendar: a class that was led at the time and for the length that it really took.
    fn dates(&self, class: &ExportedClass) -> ClassDates {
        match &class.ran {
            Some(ran) => {
                let length = real_time_clock(ran).ends(ran.until);
                ClassDates { starts: ran.began.datetime(), weeks: 1, length }
            }
            None => ClassDates { starts: self.start.unwrap_or_default(), weeks: self.weeks, length: None },
        }
    }
}

/// The real time that passed in a class, with pauses and waits.
fn real_time_clock(ran: &LedClass) -> ExportClock {
    ExportClock::real_time(ran.from, ran.halts.iter().map(|&(at, length)| TimeStop { at, length: Tick::of(length) }))
}

fn class_time(text: &str) -> Result<Tick, LengthFault> {
    recording_time(text).or_else(|_| parse_length(text))
}
