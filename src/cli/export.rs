//! `forecall export`: a class for other programs, as planned or as led.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use jiff::Timestamp;
use jiff::civil::DateTime;

use super::movements::Movements;
use super::notes::note;
use super::output::{Output, OutputArgs};
use super::session::SessionFile;
use super::spoken::Spoken;
use super::{Stop, journals};
use class::recording::{Clock, Stood, recording_time};
use class::schedule::Schedule;
use class::time::{Tick, clock, parse_length};
use journal::{Plan, Ran, replay};
use paper::export::{self, Caption, When};

/// Write a class for other programs: captions, chapters, a calendar entry, tables
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The session file, or - for standard input
    #[arg(required_unless_present = "done")]
    file: Option<PathBuf>,
    #[command(flatten)]
    movements: Movements,
    /// Format to write
    #[arg(long = "as", value_name = "FORMAT")]
    format: Format,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    spoken: Spoken,
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
    keep_holds: bool,
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
enum Format {
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
struct Class {
    /// The schedule with its cues. Captions plan the cues again, with the lengths of the voice.
    schedule: Schedule,
    clock: Clock,
    ran: Option<Ran>,
}

/// Writes the class.
pub fn run(args: &Args) -> Result<(), Stop> {
    if args.format == Format::Ics && args.start.is_none() && args.done.is_none() {
        return Err(Stop::Cannot("--as ics needs the start of the class, such as --start 2026-12-01T18:15".to_owned()));
    }
    if args.done.is_none() && (args.keep_holds || args.camera_time.is_some()) {
        return Err(Stop::Cannot("--keep-pauses and --camera-time need a class that was led, with --done".to_owned()));
    }
    let output = Output::open(args.output.output.as_deref().unwrap_or(Path::new("-")), args.output.force)?;
    let class = match (&args.done, &args.file) {
        (Some(id), _) => args.led(id)?,
        (None, Some(file)) => planned(SessionFile { file: file.clone(), movements: args.movements.clone() })?,
        (None, None) => return Err(Stop::Cannot("name a session file, or a led class with --done".to_owned())),
    };
    let (schedule, times) = (&class.schedule, &class.clock);
    let text = match args.format {
        Format::Vtt => export::vtt(&args.captions(&class)),
        Format::Srt => export::srt(&args.captions(&class)),
        Format::Chapters => export::chapters(schedule, times),
        Format::Ffmetadata => export::ffmetadata(schedule, times),
        Format::Ics => export::calendar(schedule, &args.when(&class), times, Timestamp::now()),
        Format::Csv => export::csv(schedule, times).map_err(|error| output.fault(error))?,
        Format::Json => export::json(schedule, times).map_err(|error| output.fault(error.into()))? + "\n",
        Format::Md => export::markdown(schedule, times),
    };
    output.whole(text.as_bytes())
}

fn planned(file: SessionFile) -> Result<Class, Stop> {
    let loaded = file.load()?;
    note(&loaded.warnings);
    Ok(Class { schedule: loaded.schedule, clock: Clock::default(), ran: None })
}

impl Args {
    /// The class of a journal, as it was led.
    fn led(&self, id: &str) -> Result<Class, Stop> {
        let entry = journals::find(id)?;
        let cannot = |why: &dyn std::fmt::Display| Stop::Cannot(format!("cannot export {}: {why}", entry.id));
        let kept = entry.read().map_err(|why| cannot(&why))?;
        let left = Plan::of(&kept.header).and_then(|plan| replay(&plan, &kept)).map_err(|why| cannot(&why))?;
        let ran = Ran::of(&kept, &left).ok_or_else(|| cannot(&"it never started"))?;
        if self.camera_time.is_some() && kept.header.speed != 1 {
            return Err(cannot(&format!(
                "it was led {} times as fast as planned, so no recording matches it",
                kept.header.speed
            )));
        }
        if let Some(at) = self.at_class.filter(|at| *at < ran.from || *at > ran.until) {
            let (from, until) = (clock(ran.from), clock(Tick::seconds(ran.until.0 / 1000)));
            return Err(cannot(&format!("--at-class {} is not within the class, {from} to {until}", clock(at))));
        }
        let times = match self.camera_time {
            _ if !self.keep_holds && self.camera_time.is_none() => Clock::of_class(ran.from),
            None => wall_of(&ran),
            Some(camera) => wall_of(&ran).synced(self.at_class.unwrap_or(ran.from), camera),
        };
        let missed = times.missed(ran.from);
        if missed > Tick::ZERO {
            note(&format!("the recording starts {} into the class; everything before that is left out", clock(missed)));
        }
        let schedule = ran.cut(ran.course.clone());
        Ok(Class { schedule, clock: times, ran: Some(ran) })
    }

    fn captions(&self, class: &Class) -> Vec<Caption> {
        let mut said = match &class.ran {
            Some(ran) => self.spoken.say_at(ran.course.clone(), &ran.levels),
            None => self.spoken.say(class.schedule.clone()),
        };
        if let Some(ran) = &class.ran {
            said.schedule = ran.cut(said.schedule);
        }
        let captions = export::captions(&said.schedule, self.spoken.audience.ears(), |text| said.get(text));
        export::retimed(captions, &class.clock)
    }

    /// When the class is in the calendar: a class that was led at the time and for the length that it really took.
    fn when(&self, class: &Class) -> When {
        match &class.ran {
            Some(ran) => {
                let length = wall_of(ran).ends(ran.until);
                When { starts: ran.began.datetime(), weeks: 1, length }
            }
            None => When { starts: self.start.unwrap_or_default(), weeks: self.weeks, length: None },
        }
    }
}

/// The real time that passed in a class, with pauses and waits.
fn wall_of(ran: &Ran) -> Clock {
    Clock::of_wall(ran.from, ran.stood.iter().map(|&(at, ms)| Stood { at, length: Tick(ms) }))
}

fn class_time(text: &str) -> Result<Tick, String> {
    recording_time(text).or_else(|_| parse_length(text).map_err(|why| why.to_string()))
}
