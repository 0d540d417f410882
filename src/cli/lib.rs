//! The command line: one module per command.

mod changeover_costs;
mod check;
mod class_run;
mod colour;
mod completions;
mod compose_args;
mod config;
mod demos;
mod devices;
mod dirs;
mod door;
mod error;
mod explain;
mod export;
pub mod faults;
mod full_run;
mod input;
mod journals;
mod keys;
mod latencies;
mod lead;
mod log;
mod man;
mod movements;
mod moves;
mod music;
mod new;
mod notes;
mod opened;
mod output;
mod plan;
mod progress;
mod rehearse;
mod render;
mod resume;
mod rewrite;
mod series;
pub mod session;
mod sheet;
mod show;
mod sound_args;
mod soundcheck;
mod speech_args;
mod text_lines;
mod viewing;
mod voice;
mod voices;
mod volume;
mod watch_files;
mod word_parser;

use std::io::{self, Write};
use std::process::ExitCode;

use clap::{Parser, Subcommand};

pub use error::{CommandError, Exit};

/// Plan, rehearse, lead and record a timed class
#[derive(Debug, Parser)]
#[command(name = "forecall", version, max_term_width = 100, after_help = EXIT_CODES)]
pub struct Cli {
    /// When to use colour; auto obeys NO_COLOR
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value = "auto", display_order = 1000)]
    color: colour::ColourMode,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    New(new::NewArgs),
    Series(series::SeriesArgs),
    Moves(moves::MovesArgs),
    Check(check::CheckArgs),
    Explain(explain::ExplainArgs),
    Show(show::ShowArgs),
    Plan(plan::PlanArgs),
    Rehearse(rehearse::RehearseArgs),
    Soundcheck(soundcheck::SoundCheckArgs),
    Lead(lead::LeadArgs),
    Sheet(sheet::SheetArgs),
    Render(render::RenderArgs),
    Export(export::ExportArgs),
    Resume(resume::ResumeArgs),
    Log(log::LogArgs),
    Devices(devices::DevicesArgs),
    Voices(voices::VoicesArgs),
    Config(config::ConfigArgs),
    Completions(completions::CompletionsArgs),
    Man(man::ManArgs),
}

/// The exit codes, as the help shows them.
const EXIT_CODES: &str = "Exit codes: 0 success, 1 a file has faults or nothing was found, 2 wrong usage, or \
    something cannot be read or written.";

/// Runs the command that the arguments name.
///
/// The exit code is 0 on success, 1 when a file has faults or nothing was found, 2 when the arguments are wrong or
/// something cannot be read or written.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // If the output is closed, there is nobody to tell.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    colour::set_mode(cli.color);
    // A fault in the settings must not stop the commands with which the coach looks it up.
    if !matches!(cli.command, Some(Command::Config(_) | Command::Completions(_) | Command::Man(_)))
        && let Err(stop) = config::load()
    {
        return stop.report();
    }
    // Standard output is not locked: leading a class takes over the terminal and writes from more than one thread.
    let mut out = io::BufWriter::new(io::stdout());
    let ended = carry_out(cli.command, &mut out).and_then(|ended| Ok(out.flush().map(|()| ended)?));
    ended.map_or_else(CommandError::report, ExitCode::from)
}

fn carry_out(command: Option<Command>, out: &mut impl Write) -> Result<Exit, CommandError> {
    let Some(command) = command else { return door::run(out) };
    let done = match command {
        Command::Plan(args) => return plan::run(&args),
        Command::Rehearse(args) => return rehearse::run(&args, out),
        Command::Soundcheck(args) => return soundcheck::run(&args, out),
        Command::Lead(args) => return lead::run(&args),
        Command::Resume(args) => return resume::run(&args),
        Command::Render(args) => return render::run(&args),
        Command::New(args) => new::run(args, out),
        Command::Series(args) => series::run(&args, out),
        Command::Moves(args) => moves::run(args, out),
        Command::Check(args) => check::run(args, out),
        Command::Explain(args) => explain::run(args, out),
        Command::Show(args) => show::run(args, out),
        Command::Sheet(args) => sheet::run(&args),
        Command::Export(args) => export::run(&args),
        Command::Log(args) => log::run(&args, out),
        Command::Devices(args) => devices::run(&args, out),
        Command::Voices(args) => voices::run(&args, out),
        Command::Config(args) => config::run(&args, out),
        Command::Completions(args) => completions::run(&args, out),
        Command::Man(args) => man::run(&args, out),
    };
    done.map(|()| Exit::Well)
}
