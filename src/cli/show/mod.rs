//! `forecall show`: the schedule of a session file.

mod cues;
mod json;
mod table;

use std::io::Write;

use super::Stop;
use super::session::SessionFile;
use crate::cue::{Voicing, plan_cues};
use crate::session::Level;
use crate::time::Tick;

/// Show the schedule of a session file, to read aloud from
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    file: SessionFile,
    /// Show what is said instead: each cue with start, length, rank and audience, and why one is left unsaid
    #[arg(long)]
    cues: bool,
    /// How much is said: silent, tones, calls, changes or full; what the blocks ask for when left out
    #[arg(long, requires = "cues")]
    level: Option<Level>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// Compiles and prints.
pub fn run(args: Args, out: &mut impl Write) -> Result<(), Stop> {
    let schedule = args.file.load()?.schedule;
    let text = if args.cues {
        let planned = plan_cues(&schedule, Tick::ZERO, &Voicing { level: args.level, ..Voicing::default() });
        if args.json { cues::json(&schedule, &planned).map(newline) } else { Ok(cues::lines(&schedule, &planned)) }
    } else if args.json {
        json::json(&schedule).map(newline)
    } else {
        Ok(table::table(&schedule))
    };
    write!(out, "{}", text.map_err(std::io::Error::from)?)?;
    Ok(())
}

fn newline(text: String) -> String {
    text + "\n"
}
