//! `forecall completions`: a script with which a shell completes the commands.

use std::io::Write;

use clap::CommandFactory;
use clap_complete::{Shell, generate};

use super::{Cli, CommandError};

/// Print a script with which your shell completes forecall's commands and options
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  forecall completions bash > ~/.local/share/bash-completion/completions/forecall\n  \
    forecall completions fish > ~/.config/fish/completions/forecall.fish\n  \
    forecall completions zsh > ~/.zfunc/_forecall    where ~/.zfunc is in $fpath"
)]
pub(crate) struct CompletionsArgs {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

/// Prints the script.
pub(crate) fn run(args: &CompletionsArgs, out: &mut impl Write) -> Result<(), CommandError> {
    // Into memory first, since the generator panics when the output cannot be written.
    let mut text = Vec::new();
    generate(args.shell, &mut Cli::command(), "forecall", &mut text);
    Ok(out.write_all(&text)?)
}
