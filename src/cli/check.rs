//! `forecall check`: all faults of session files.

use std::io::Write;
use std::path::PathBuf;

use serde::Serialize;

use super::error::StopKind;
use super::movements::MovementArgs;
use super::session::{CheckedSession, open_with_advice, summary};
use super::text_lines::TextLines;
use super::word_parser::word_parser;
use super::{CommandError, changeover_costs, faults, journals, watch_files};
use class::check::ABOUT;
use class::check::advice::RULES;
use class::movement::Region;
use class::nearest_name::nearest;
use class::session::block_letter;
use class::session::fault::{FaultCode, PlacedFault, Severity};
use class::session::name_now;

/// Check session files: list every fault with its line and what to write instead
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Exit codes: 0 no fault (warnings are possible), 1 a fault, 2 wrong usage, or a file cannot be read."
)]
pub(crate) struct CheckArgs {
    /// The session files, or - for standard input
    #[arg(required_unless_present = "explain", value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Body regions or states to look after, comma-separated, in addition to those of the file
    #[arg(long, value_delimiter = ',', value_parser = word_parser::<Region>())]
    look_after: Vec<Region>,
    /// Print JSON
    #[arg(long)]
    json: bool,
    /// Fail on warnings too
    #[arg(long)]
    strict: bool,
    /// Check again after each save, until Ctrl-C
    #[arg(long, conflicts_with = "json")]
    follow: bool,
    /// Explain what a rule looks for and where it comes from
    #[arg(long, value_name = "RULE", conflicts_with_all = ["files", "json", "strict", "look_after", "follow"])]
    explain: Option<String>,
    #[command(flatten)]
    movements: MovementArgs,
}

/// Checks and prints.
pub(crate) fn run(args: CheckArgs, out: &mut impl Write) -> Result<(), CommandError> {
    if let Some(rule) = &args.explain {
        return explain_rule(rule, out);
    }
    if args.follow {
        return watch_files::follow(&args.files, out, |out| check_once(&args, out));
    }
    check_once(&args, out)
}

/// Checks and prints, once.
fn check_once(args: &CheckArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let catalogue = args.movements.catalogue()?;
    let costs = changeover_costs::costs();
    let past = journals::past_weeks();
    let mut checked = Vec::new();
    let mut unreadable = Vec::new();
    for file in &args.files {
        match open_with_advice(file, &catalogue, &args.look_after, &costs, &past) {
            Ok(file) => checked.push(file),
            Err(stop) if stop.kind == StopKind::Cannot => unreadable.push(stop.to_string()),
            Err(stop) => return Err(stop),
        }
    }
    if args.json {
        let files = checked.iter().map(CheckedFileJson::new).collect();
        serde_json::to_writer_pretty(&mut *out, &CheckJson { version: VERSION, files })
            .map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        for file in &checked {
            write!(out, "{}", faults::render_by_block(file, faults::FaultStyle::of_stdout()))?;
            writeln!(out, "{}", summary(file))?;
        }
    }
    out.flush()?;
    if !unreadable.is_empty() {
        return Err(CommandError::refused(unreadable.join("\n")));
    }
    let passes = |file: &CheckedSession| {
        let worst = if args.strict { Severity::Warning } else { Severity::Fault };
        let mut told = file.report.faults.iter().filter(|placed| placed.fault.allowed.is_none());
        told.all(|placed| placed.fault.severity > worst)
    };
    if checked.iter().all(passes) { Ok(()) } else { Err(CommandError::faults("")) }
}

/// Prints what a rule looks for, and its source. Codes for how a file is written are not listed here: their messages
/// explain themselves.
fn explain_rule(asked: &str, out: &mut impl Write) -> Result<(), CommandError> {
    let name = asked.trim().to_lowercase().replace('-', "_");
    let advice = RULES.iter().map(|rule| (rule.code, rule.severity, rule.source, rule.explain));
    let others = ABOUT.iter().map(|about| (about.code, about.severity, about.source, about.explain));
    let all: Vec<_> = advice.chain(others).collect();
    let Some((code, severity, source, explain)) = all.iter().find(|(code, ..)| code.to_string() == name) else {
        let names: Vec<String> = all.iter().map(|(code, ..)| code.to_string()).collect();
        let near = nearest(&name, names.iter().map(String::as_str));
        let hint = match (name_now(&name), near) {
            (Some(now), _) => format!("it is called {now} now"),
            (None, Some(near)) => format!("did you mean {near}?"),
            (None, None) => format!("rules: {}", names.join(", ")),
        };
        return Err(CommandError::faults(format!("no rule is called {asked}")).hint(hint));
    };
    writeln!(out, "{code} ({severity})\n  {explain}\n  source: {source}")?;
    Ok(())
}

/// The version of the JSON output. It goes up when a field changes its meaning or is removed.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct CheckJson<'a> {
    version: u32,
    files: Vec<CheckedFileJson<'a>>,
}

#[derive(Serialize)]
struct CheckedFileJson<'a> {
    file: &'a str,
    /// Whether the session can be led.
    usable: bool,
    /// None if the session cannot be led.
    total_ms: Option<u64>,
    slot_ms: Option<u64>,
    faults: Vec<FaultJson<'a>>,
    /// How many more faults there are than are listed.
    more: usize,
}

#[derive(Serialize)]
struct FaultJson<'a> {
    severity: Severity,
    code: FaultCode,
    message: &'a str,
    help: Option<&'a str>,
    /// The letter of the block that the fault is in.
    block: Option<String>,
    /// The reason why the coach allows it; None if it is not allowed.
    allowed: Option<&'a str>,
    at: Option<FaultPlaceJson>,
    beside: Option<RelatedPlaceJson<'a>>,
}

/// A place in the file. Lines and columns count from 1, columns in characters; the end is after the last character.
#[derive(Serialize)]
struct FaultPlaceJson {
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
}

#[derive(Serialize)]
struct RelatedPlaceJson<'a> {
    at: FaultPlaceJson,
    message: &'a str,
}

impl<'a> CheckedFileJson<'a> {
    fn new(file: &'a CheckedSession) -> CheckedFileJson<'a> {
        let lines = TextLines::new(&file.text);
        CheckedFileJson {
            file: &file.name,
            usable: file.schedule.is_some(),
            total_ms: file.schedule.as_ref().map(|schedule| schedule.total().0),
            slot_ms: file.schedule.as_ref().and_then(|schedule| schedule.session.slot).map(|slot| slot.0),
            faults: file.report.faults.iter().map(|placed| FaultJson::new(placed, &lines)).collect(),
            more: file.report.more,
        }
    }
}

impl<'a> FaultJson<'a> {
    fn new(placed: &'a PlacedFault, lines: &TextLines<'_>) -> FaultJson<'a> {
        let place = |at: &std::ops::Range<usize>| {
            let (start, end) = (lines.position(at.start), lines.position(at.end));
            FaultPlaceJson { line: start.line, column: start.column, end_line: end.line, end_column: end.column }
        };
        let fault = &placed.fault;
        let beside = placed.related.as_ref().zip(fault.related.as_ref());
        FaultJson {
            severity: fault.severity,
            code: fault.code,
            message: &fault.message,
            help: fault.help.as_deref(),
            block: fault.block().map(block_letter),
            allowed: fault.allowed.as_deref(),
            at: placed.place.as_ref().map(place),
            beside: beside.map(|(at, (_, why))| RelatedPlaceJson { at: place(at), message: why }),
        }
    }
}
