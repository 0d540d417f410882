//! `--color`: whether there is any.

use std::sync::OnceLock;

use stage::drawing::Look;

/// When to use colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum When {
    // Comments, for as documentation they would go into the help of every command.
    // On a terminal, unless NO_COLOR is set.
    #[default]
    Auto,
    // Whatever the output and the environment are.
    Always,
    // Not at all.
    Never,
}

/// What was asked for in this run of the program.
static ASKED: OnceLock<When> = OnceLock::new();

/// Has it hold from here on.
pub fn ask(when: When) {
    ASKED.get_or_init(|| when);
}

fn asked() -> When {
    ASKED.get().copied().unwrap_or_default()
}

/// Whether lines printed there are coloured.
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

/// The custom of <https://no-color.org>.
const NO_COLOR: &str = "NO_COLOR";
