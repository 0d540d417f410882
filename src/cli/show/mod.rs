//! `forecall show`: the schedule of a session file.

mod json;
mod table;

use std::io::Write;

use super::Stop;
use super::session::SessionFile;

/// Show the schedule of a session file, to read aloud from
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    file: SessionFile,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// Compiles and prints.
pub fn run(args: Args, out: &mut impl Write) -> Result<(), Stop> {
    let schedule = args.file.load()?.schedule;
    if args.json {
        let document = json::json(&schedule).map_err(std::io::Error::from)?;
        writeln!(out, "{document}")?;
    } else {
        write!(out, "{}", table::table(&schedule))?;
    }
    Ok(())
}
