//! `forecall new`: a session file from a plain list, composed from the catalogue, or from a template.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::compose_args::ComposeArgs;
use super::demos::DEMOS;
use super::movements::MovementArgs;
use super::output::OutputFile;
use super::session::{check_text, summary};
use super::{CommandError, faults, input};
use class::compose::ComposeRequest;
use class::movement::Catalogue;
use class::schedule::ChangeoverCosts;
use class::session::list::{LINE, LINES, MovementList, NameMatch, read_list};
use class::session::write::{SessionHeading, write_session};
use class::time::{LengthFault, Tick, parse_length};

/// Write a session file: from a text list, composed for your kit and people, or a template
#[derive(Debug, clap::Args)]
#[command(
    after_help = "A list has one movement per line and a blank line between blocks. The first line of a block may \
    give its name, its timing, or both:\n\n  Legs: 45s, rest 15s, 2 rounds\n  deadlift\n  split squat, each side\n\n  \
    8 x 20/10\n  kettlebell swings\n\nNames may be misspelt: each guess is shown. A movement that the catalogue does \
    not know is added as your own.\n\nTo compose a class for your slot, people and kit:\n\n  \
    forecall new --slot 45m --people 12 --kit kettlebell:light:1,band:1,box:4 \
    --focus hamstrings,back --look-after wrist --why"
)]
pub(crate) struct NewArgs {
    /// The file to write [default: title + .ron]
    #[arg(value_name = "FILE")]
    file: Option<PathBuf>,
    /// A text list of movements, or - for standard input
    #[arg(long, value_name = "LIST")]
    from: Option<PathBuf>,
    /// Start from a demo class that comes with the program
    #[arg(long, value_name = "NAME", value_parser = DEMOS.map(|(name, _)| name), conflicts_with_all = ["from", "title", "slot", "people"])]
    demo: Option<String>,
    /// The same as FILE
    #[arg(short, long, value_name = "FILE", conflicts_with = "file")]
    output: Option<PathBuf>,
    /// The title of the class
    #[arg(long)]
    title: Option<String>,
    /// How long the room is booked, such as 45m
    #[arg(long, value_parser = slot)]
    slot: Option<Tick>,
    /// How many people are expected, 1 to 1000
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=1000))]
    people: Option<u32>,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    movements: MovementArgs,
    #[command(flatten)]
    asked: ComposeArgs,
}

/// The title of a class that has none yet.
const TITLE: &str = "New session";

fn slot(text: &str) -> Result<Tick, LengthFault> {
    parse_length(text).and_then(|slot| if slot == Tick::ZERO { Err(LengthFault::Shape) } else { Ok(slot) })
}

/// Writes the file and says what is in it.
pub(crate) fn run(args: NewArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let catalogue = args.movements.catalogue()?;
    if args.asked.is_given() {
        return composed(&args, &catalogue, out);
    }
    if let Some(name) = &args.demo {
        let text = DEMOS.iter().find(|(demo, _)| demo == name).map_or("", |(_, text)| *text);
        let file = args.target_file(Some(name))?;
        let output = OutputFile::open(&file, args.force)?;
        return write_class(output, &file, text.to_owned(), &catalogue, out, |_| Ok(()));
    }
    let list = match &args.from {
        Some(path) => read_list(&input::read(path, LINES * LINE * 4)?, &catalogue),
        None => MovementList::starter(&catalogue),
    };
    for (line, remark) in &list.remarks {
        writeln!(out, "line {line}: {remark}")?;
    }
    if list.blocks.is_empty() {
        return Err(CommandError::faults("the list has no movement in it: write one per line"));
    }
    let title = args.title.as_deref().or(list.title.as_deref());
    let file = args.target_file(title)?;
    let output = OutputFile::open(&file, args.force)?;
    let title = title.map_or_else(|| title_of(&file), str::to_owned);
    let heading = SessionHeading { title, slot: args.slot, people: args.people, ..SessionHeading::default() };
    let text = write_session(&heading, &list);
    write_class(output, &file, text, &catalogue, out, |out| {
        if args.from.is_some() { tell_stations(&list, out) } else { Ok(()) }
    })
}

/// Composes a class, writes it and prints it.
fn composed(args: &NewArgs, catalogue: &Catalogue, out: &mut impl Write) -> Result<(), CommandError> {
    let usual = ComposeRequest::default();
    let base = ComposeRequest {
        title: args.title.clone(),
        slot: args.slot.unwrap_or(usual.slot),
        people: args.people.unwrap_or(usual.people),
        ..usual
    };
    let request = args.asked.request(base, catalogue)?;
    let draft = args.asked.draft(&request, catalogue)?;
    let file = args.target_file(Some(&draft.title))?;
    let output = OutputFile::open(&file, args.force)?;
    write_class(output, &file, draft.text.clone(), catalogue, out, |out| args.asked.print(&draft, &request, out))
}

/// Writes a class and says what is in it. `tell` prints something before that.
fn write_class<W: Write>(
    output: OutputFile,
    file: &Path,
    text: String,
    catalogue: &Catalogue,
    out: &mut W,
    tell: impl FnOnce(&mut W) -> io::Result<()>,
) -> Result<(), CommandError> {
    let checked = check_text(file.display().to_string(), text, None, catalogue, &[], &ChangeoverCosts::ESTIMATED);
    // A list may ask for more than a session can hold. Then there are faults, and nothing is written.
    if checked.schedule.is_none() {
        return Err(CommandError::faults(faults::render(&checked, faults::FaultStyle::of_stderr())));
    }
    output.write_whole(checked.text.as_bytes())?;
    tell(out)?;
    write!(out, "{}", faults::render(&checked, faults::FaultStyle::of_stdout()))?;
    writeln!(out, "{}", summary(&checked))?;
    if let Some(end) = checked.schedule.as_ref().and_then(|schedule| ends_at(schedule.total())) {
        writeln!(out, "if it starts now, it ends at {end}")?;
    }
    writeln!(out, "\nto see it:   forecall show {0}\nto lead it:  forecall lead {0}", shell_word(file))?;
    Ok(())
}

impl NewArgs {
    /// The file that was named, else one named after the title.
    fn target_file(&self, title: Option<&str>) -> Result<PathBuf, CommandError> {
        let named = self.file.as_ref().or(self.output.as_ref());
        let file = named.cloned().unwrap_or_else(|| PathBuf::from(format!("{}.ron", slug(title.unwrap_or(TITLE)))));
        if file.as_os_str() == "-" {
            return Err(CommandError::refused("new needs a file to write, not standard output"));
        }
        Ok(file)
    }
}

/// A title from the name of a file.
fn title_of(file: &Path) -> String {
    let stem = file.file_stem().and_then(|stem| stem.to_str()).unwrap_or(TITLE).replace(['-', '_'], " ");
    let mut letters = stem.chars();
    letters.next().map_or(TITLE.to_owned(), |first| first.to_uppercase().chain(letters).collect())
}

/// The time of day at which a class of this length ends if it starts now, as `18:45`.
fn ends_at(total: Tick) -> Option<String> {
    let length = jiff::SignedDuration::from_millis(i64::try_from(total.0).ok()?);
    let end = jiff::ZonedDateTime::now().checked_add(length).ok()?;
    Some(end.strftime("%H:%M").to_string())
}

/// Prints the blocks with their stations; for each guess also what the list says.
fn tell_stations(list: &MovementList, out: &mut impl Write) -> io::Result<()> {
    for block in &list.blocks {
        writeln!(out, "{}", block.name)?;
        for station in &block.stations {
            match &station.found {
                NameMatch::Named(movement) => writeln!(out, "  {}", movement.name)?,
                NameMatch::Guessed(movement) => {
                    writeln!(out, "  {}  (a guess for \"{}\", line {})", movement.name, station.written, station.line)?;
                }
                NameMatch::Unknown => {
                    writeln!(
                        out,
                        "  {}  (not in the catalogue: added as your own, line {})",
                        station.written, station.line
                    )?;
                }
            }
        }
    }
    writeln!(out)
}

/// A title as a file name.
pub(super) fn slug(title: &str) -> String {
    let lower = title.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let slug: String = words.join("-").chars().take(60).collect();
    if slug.is_empty() { "session".to_owned() } else { slug }
}

/// A path as a coach can type it into a shell.
fn shell_word(path: &Path) -> String {
    let text = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '.' | '/' | '-' | '_');
    let text = if text.starts_with('-') { format!("./{text}") } else { text };
    if text.chars().all(plain) { text } else { format!("'{}'", text.replace('\'', r"'\''")) }
}
