//! `--color`: when the output has colour.

use std::sync::OnceLock;

use stage::drawing::Look;

/// When to use colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum When {
    // These are plain comments, since doc comments would appear in the help of every command.
    // Auto: on a terminal, unless NO_COLOR is set.
    #[default]
    Auto,
    // Always: whatever the output and the environment.
    Always,
    Never,
}

/// The value of `--color` for this run of the program.
static ASKED: OnceLock<When> = OnceLock::new();

/// Sets the value for the rest of this run.
pub fn ask(when: When) {
    ASKED.get_or_init(|| when);
}

fn asked() -> When {
    ASKED.get().copied().unwrap_or_default()
}

/// Whether printed lines are coloured. `terminal`: whether they are printed on a terminal.
pub fn wanted(terminal: bool) -> bool {
    match asked() {
        When::Auto => terminal && std::env::var_os(NO_COLOR).is_none_or(|value| value.is_empty()),
        When::Always => true,
        When::Never => false,
    }
}

/// The look of the screen.
pub fn look() -> Look {
    Look::from_env(|name| match (name, asked()) {
        (NO_COLOR, When::Never) => Some("1".to_owned()),
        (NO_COLOR, When::Always) => None,
        _ => std::env::var(name).ok(),
    })
}

/// The environment variable by the convention of <https://no-color.org>.
const NO_COLOR: &str = "NO_COLOR";
