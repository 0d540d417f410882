//! `forecall sheet`: a class on paper.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use jiff::civil::Time;

use super::CommandError;
use super::new::slug;
use super::notes::note;
use super::output::{OutputArgs, OutputFile};
use super::session::SessionArgs;
use super::word_parser::word_parser;
use paper::sheet::{self, PaperSize};

/// Write a class as a run sheet to print, or as cards for its stations
#[derive(Debug, clap::Args)]
pub(crate) struct SheetArgs {
    #[command(flatten)]
    file: SessionArgs,
    #[command(flatten)]
    output: OutputArgs,
    /// Format [default: from the extension of the file, else pdf]
    #[arg(long, value_name = "FORMAT")]
    format: Option<SheetFormat>,
    /// Paper size
    #[arg(long, value_name = "PAPER", default_value = "a4", value_parser = word_parser::<PaperSize>())]
    paper: PaperSize,
    /// When the class starts, such as 18:15; the sheet then shows times of day
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day)]
    start: Option<Time>,
    /// Write a card for each station instead of the run sheet
    #[arg(long)]
    cards: bool,
    /// Leave space to write down loads and notes
    #[arg(long, conflicts_with = "cards")]
    blank: bool,
    /// Prompts per station, 0 to 20 [default: as many, up to 2, as fit on the fewest pages]
    #[arg(long, value_name = "N", conflicts_with = "cards", value_parser = clap::value_parser!(u8).range(0..=20))]
    prompts: Option<u8>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum SheetFormat {
    Pdf,
    /// A page for a browser
    Html,
    /// Markdown
    Md,
    /// Plain text
    Txt,
}

/// Writes the sheet.
pub(crate) fn run(args: &SheetArgs) -> Result<(), CommandError> {
    let format = args.format.or_else(|| args.output.output.as_deref().and_then(format_of)).unwrap_or(SheetFormat::Pdf);
    // The output is opened before the session is read if its name is known, so that no work is done for a file that
    // cannot be written.
    let named = args.output.output.as_deref().map(|path| OutputFile::open(path, args.output.force)).transpose()?;
    let loaded = args.file.load()?;
    note(&loaded.warnings);
    let schedule = loaded.schedule;
    let title = &schedule.session.title;
    let usual = PathBuf::from(format!("{}{}.{}", slug(title), if args.cards { "-cards" } else { "" }, ending(format)));
    let output = named.map_or_else(|| OutputFile::open(&usual, args.output.force), Ok)?;
    let bytes = if args.cards {
        let cards = sheet::cards(&schedule);
        match format {
            SheetFormat::Pdf => pdf(sheet::cards_pdf(title, &cards, args.paper))?,
            SheetFormat::Html => sheet::html_cards(title, &cards).into_bytes(),
            SheetFormat::Md => sheet::markdown_cards(&cards).into_bytes(),
            SheetFormat::Txt => sheet::plain_cards(&cards).into_bytes(),
        }
    } else {
        let sheet = sheet::run_sheet(&schedule, args.start, args.blank, args.prompts.map(usize::from));
        match format {
            SheetFormat::Pdf => pdf(sheet::run_sheet_pdf(&sheet, args.paper))?,
            SheetFormat::Html => sheet::html(&sheet).into_bytes(),
            SheetFormat::Md => sheet::markdown(&sheet).into_bytes(),
            SheetFormat::Txt => sheet::plain(&sheet).into_bytes(),
        }
    };
    output.write_whole(&bytes)?;
    if args.output.output.is_none() {
        note(&usual.display().to_string());
    }
    Ok(())
}

/// The bytes of a document. Warns about letters that it cannot show.
fn pdf(made: Result<sheet::PdfDocument, sheet::PdfError>) -> Result<Vec<u8>, CommandError> {
    let pdf = made.map_err(CommandError::refused)?;
    if !pdf.missing.is_empty() {
        let letters: Vec<String> = pdf.missing.iter().take(20).map(char::to_string).collect();
        note(&format!("warning: the fonts cannot show {}; boxes are printed instead", letters.join(" ")));
    }
    if pdf.prompts_left_out {
        let pages = if pdf.pages == 1 { "1 page has".to_owned() } else { format!("{} pages have", pdf.pages) };
        note(&format!("{pages} room for one prompt per station; --prompts 2 prints more, on more pages"));
    }
    Ok(pdf.bytes)
}

fn format_of(path: &Path) -> Option<SheetFormat> {
    SheetFormat::from_str(path.extension()?.to_str()?, true).ok()
}

fn ending(format: SheetFormat) -> &'static str {
    match format {
        SheetFormat::Pdf => "pdf",
        SheetFormat::Html => "html",
        SheetFormat::Md => "md",
        SheetFormat::Txt => "txt",
    }
}

/// A text is not a time of day.
#[derive(Debug, thiserror::Error)]
#[error("a time of day is written like 18:15")]
struct TimeOfDayError(#[source] jiff::Error);

fn time_of_day(text: &str) -> Result<Time, TimeOfDayError> {
    Time::strptime("%H:%M", text).map_err(TimeOfDayError)
}
