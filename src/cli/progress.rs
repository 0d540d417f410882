//! How far a piece of work is, as one line on standard error; nothing if that is not a terminal.

use std::io::{IsTerminal, Write, stderr};
use std::time::{Duration, Instant};

use crossterm::terminal;

/// The width of the bar, in columns.
const BAR: usize = 24;
/// The shortest time between two updates of the bar.
const OFTEN: Duration = Duration::from_millis(100);

/// The line. It is cleared when dropped.
#[derive(Debug)]
pub(crate) struct ProgressLine {
    /// The width of the text shown, in columns; None without a terminal.
    shown: Option<usize>,
    at: Option<Instant>,
}

impl ProgressLine {
    /// A line that shows nothing yet.
    pub(crate) fn new() -> ProgressLine {
        ProgressLine { shown: stderr().is_terminal().then_some(0), at: None }
    }

    /// Shows that `done` of `of` is done of the work with this name.
    pub(crate) fn show(&mut self, what: &str, done: u64, of: u64) {
        let Some(shown) = self.shown else { return };
        if self.at.is_some_and(|at| at.elapsed() < OFTEN) {
            return;
        }
        self.at = Some(Instant::now());
        let line = line(what, done, of);
        // One column stays free: a full line would wrap.
        let width = terminal::size().map_or(80, |(width, _)| usize::from(width)).saturating_sub(1);
        let line: String = line.chars().take(width).collect();
        let cells = line.chars().count();
        self.put(&format!("\r{line}{}", " ".repeat(shown.min(width).saturating_sub(cells))));
        self.shown = Some(cells);
    }

    /// Clears the line.
    pub(crate) fn clear(&mut self) {
        if let Some(cells) = self.shown.filter(|cells| *cells > 0) {
            self.put(&format!("\r{}\r", " ".repeat(cells)));
            self.shown = Some(0);
        }
        self.at = None;
    }

    #[expect(clippy::unused_self, reason = "only the owner of the line writes to it")]
    fn put(&self, text: &str) {
        // If standard error is closed, there is nobody to tell.
        let _ = stderr().write_all(text.as_bytes()).and_then(|()| stderr().flush());
    }
}

impl Drop for ProgressLine {
    fn drop(&mut self) {
        self.clear();
    }
}

fn line(what: &str, done: u64, of: u64) -> String {
    let done = done.min(of);
    let share = |whole: u64| (u128::from(done) * u128::from(whole) / u128::from(of.max(1))) as u64;
    let full = share(BAR as u64) as usize;
    format!("{what} {}{} {:>3} %", "▪".repeat(full), "·".repeat(BAR - full), share(100))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_grows_to_its_end() {
        assert_eq!(line("measuring", 0, 0), format!("measuring {}   0 %", "·".repeat(24)));
        assert_eq!(line("writing", 1, 2), format!("writing {}{}  50 %", "▪".repeat(12), "·".repeat(12)));
        assert_eq!(line("writing", 7, 7), format!("writing {} 100 %", "▪".repeat(24)));
        assert_eq!(line("writing", u64::MAX, u64::MAX).chars().count(), "writing ".len() + 24 + 6);
    }
}
