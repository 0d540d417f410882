//! `forecall export`: a class for other programs.

use std::path::Path;

use clap::ValueEnum;
use jiff::Timestamp;
use jiff::civil::DateTime;

use super::Stop;
use super::output::{Output, OutputArgs};
use super::session::SessionFile;
use super::spoken::Spoken;
use crate::export::{self, Caption, When};
use crate::schedule::Schedule;

/// Write a class for other programs: captions, chapters, a calendar entry, tables
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    file: SessionFile,
    /// What to write
    #[arg(long = "as", value_name = "FORMAT")]
    format: Format,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    spoken: Spoken,
    /// For ics: when the class starts, such as 2026-12-01T18:15
    #[arg(long, value_name = "DATETIME", required_if_eq("format", "ics"))]
    start: Option<DateTime>,
    /// For ics: held weekly, so many times
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=520))]
    weeks: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Captions, WebVTT
    Vtt,
    /// Captions, SubRip
    Srt,
    /// Chapters, a line each, for a video's description
    Chapters,
    /// Chapters, for ffmpeg to put into a file
    Ffmetadata,
    /// A calendar entry, iCalendar
    Ics,
    /// The stations as a table, CSV
    Csv,
    /// The schedule, as `show --json` prints it
    Json,
    /// The stations as tables, Markdown
    Md,
}

/// Writes the class.
pub fn run(args: &Args) -> Result<(), Stop> {
    let output = Output::open(args.output.output.as_deref().unwrap_or(Path::new("-")), args.output.force)?;
    let loaded = args.file.load()?;
    eprint!("{}", loaded.warnings);
    let schedule = loaded.schedule;
    let text = match args.format {
        Format::Vtt => export::vtt(&args.captions(schedule)),
        Format::Srt => export::srt(&args.captions(schedule)),
        Format::Chapters => export::chapters(&schedule),
        Format::Ffmetadata => export::ffmetadata(&schedule),
        Format::Ics => {
            let starts = args.start.unwrap_or_default();
            export::calendar(&schedule, &When { starts, weeks: args.weeks }, Timestamp::now())
        }
        Format::Csv => export::csv(&schedule).map_err(|error| output.fault(error))?,
        Format::Json => export::json(&schedule).map_err(|error| output.fault(error.into()))? + "\n",
        Format::Md => export::markdown(&schedule),
    };
    output.whole(text.as_bytes())
}

impl Args {
    fn captions(&self, schedule: Schedule) -> Vec<Caption> {
        let said = self.spoken.say(schedule);
        export::captions(&said.schedule, self.spoken.audience.ears(), |text| said.get(text))
    }
}
