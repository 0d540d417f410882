//! `--color`: when the output has colour.

use std::sync::OnceLock;

use stage::drawing::ScreenTheme;

/// When to use colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum ColourMode {
    // These are plain comments, since doc comments would appear in the help of every command.
    // Auto: on a terminal, unless NO_COLOR is set.
    #[default]
    Auto,
    // Always: whatever the output and the environment.
    Always,
    Never,
}

/// The value of `--color` for this run of the program.
static ASKED: OnceLock<ColourMode> = OnceLock::new();

/// Sets the value for the rest of this run.
pub(crate) fn set_mode(when: ColourMode) {
    ASKED.get_or_init(|| when);
}

fn mode() -> ColourMode {
    ASKED.get().copied().unwrap_or_default()
}

/// Whether printed lines are coloured. `terminal`: whether they are printed on a terminal.
pub(crate) fn is_coloured(terminal: bool) -> bool {
    match mode() {
        ColourMode::Auto => terminal && std::env::var_os(NO_COLOR).is_none_or(|value| value.is_empty()),
        ColourMode::Always => true,
        ColourMode::Never => false,
    }
}

/// The look of the screen.
pub(crate) fn theme() -> ScreenTheme {
    ScreenTheme::from_env(|name| match (name, mode()) {
        (NO_COLOR, ColourMode::Never) => Some("1".to_owned()),
        (NO_COLOR, ColourMode::Always) => None,
        _ => std::env::var(name).ok(),
    })
}

/// The environment variable by the convention of <https://no-color.org>.
const NO_COLOR: &str = "NO_COLOR";
