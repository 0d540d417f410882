//! `forecall man`: the manual pages, made from the same definitions as the help.

use std::io::Write;
use std::path::PathBuf;

use clap::CommandFactory;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use super::config::{ConfigSetting, SETTINGS};
use super::error::OrCannot;
use super::output::OutputFile;
use super::{Cli, CommandError};

/// Print the manual page, or write the pages of all commands into a folder
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  forecall man | man -l -\n  forecall man --output ~/.local/share/man/man1")]
pub(crate) struct ManArgs {
    /// Folder for forecall.1, forecall-lead.1 and the other pages; existing pages are replaced
    #[arg(short, long, value_name = "FOLDER")]
    output: Option<PathBuf>,
}

/// Prints the manual page, or writes all pages.
pub(crate) fn run(args: &ManArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let mut command = Cli::command().name("forecall");
    command.build();
    let Some(folder) = &args.output else { return Ok(out.write_all(&page(command)?)?) };
    std::fs::create_dir_all(folder).or_cannot(format_args!("write into {}", folder.display()))?;
    let commands: Vec<clap::Command> =
        command.get_subcommands().filter(|command| !command.is_hide_set()).cloned().collect();
    for command in std::iter::once(command).chain(commands) {
        // After `build` a command knows its full name, such as "forecall-lead".
        let name = command.get_display_name().unwrap_or("forecall").to_owned();
        if name.ends_with("-help") {
            continue;
        }
        OutputFile::open(&folder.join(format!("{name}.1")), true)?.write_whole(&page(command)?)?;
        writeln!(out, "{name}.1")?;
    }
    Ok(())
}

fn page(command: clap::Command) -> std::io::Result<Vec<u8>> {
    let is_first = command.get_display_name().is_none_or(|name| name == "forecall");
    let mut page = Vec::new();
    Man::new(command).render(&mut page)?;
    // The text below the help, under the name that manual pages use.
    let mut page = String::from_utf8_lossy(&page).replace("\n.SH EXTRA\n", "\n.SH NOTES\n").into_bytes();
    if is_first {
        settings().to_writer(&mut page)?;
    }
    Ok(page)
}

/// The section on the settings.
fn settings() -> Roff {
    let mut section = Roff::new();
    section.control("SH", ["SETTINGS"]);
    section.text([roman("Set in config.ron. forecall config shows where that file is and which values are used.")]);
    for ConfigSetting { name, about, built_in, .. } in &SETTINGS {
        section.control("TP", []).text([bold(*name)]).text([roman(format!("{about}. Built in: {built_in}."))]);
    }
    section
}
