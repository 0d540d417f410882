//! Keys and signals taken in by the thread that leads, one at a time, so that in between another program can have the
//! terminal to itself: a thread that waits for keys would take them away from it.

use std::time::{Duration, Instant};

use crossterm::event::{self, Event, KeyEvent};

use super::conductor::Input;
use super::run::{Inputs, Outside};

/// The keyboard, and the signals that end or continue a program.
#[derive(Debug)]
pub struct Keyboard<P> {
    meant: fn(KeyEvent) -> Option<P>,
    #[cfg(unix)]
    signals: signal_hook::iterator::Signals,
}

/// How soon a signal is noticed.
const SOON: Duration = Duration::from_millis(100);

/// A wait of any length: when it is over, another begins.
const ANY: Duration = Duration::from_secs(3600);

/// The exit code's signal where the terminal is gone without one: that of a terminal that hangs up.
const HANGUP: i32 = 1;

impl<P> Keyboard<P> {
    /// A keyboard whose keys mean this. It takes none until it is waited for.
    ///
    /// # Errors
    /// When the signals cannot be had.
    pub fn new(meant: fn(KeyEvent) -> Option<P>) -> std::io::Result<Keyboard<P>> {
        #[cfg(unix)]
        {
            use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM};
            let signals = signal_hook::iterator::Signals::new([SIGCONT, SIGHUP, SIGINT, SIGTERM])?;
            Ok(Keyboard { meant, signals })
        }
        #[cfg(not(unix))]
        Ok(Keyboard { meant })
    }

    /// The signals that have come since this was last asked.
    pub fn signals(&mut self) -> Vec<i32> {
        #[cfg(unix)]
        return self.signals.pending().collect();
        #[cfg(not(unix))]
        Vec::new()
    }

    /// Lets the keys go that were typed until now.
    pub fn forget(&mut self) {
        while !gone(Duration::ZERO) && event::poll(Duration::ZERO).is_ok_and(|is_there| is_there) {
            if event::read().is_err() {
                return;
            }
        }
    }

    /// Waits for a key that means something.
    ///
    /// # Errors
    /// The signal that ends the program; that of a hang-up where the terminal has gone without one.
    pub fn key(&mut self) -> Result<P, i32> {
        loop {
            for outside in self.wait(ANY) {
                match outside {
                    Outside::Input(Input::Press(press)) => return Ok(press),
                    Outside::End(signal) => return Err(signal),
                    _ => {}
                }
            }
        }
    }

    fn signalled(&mut self) -> Vec<Outside<P>> {
        #[cfg(unix)]
        let continues = signal_hook::consts::SIGCONT;
        #[cfg(not(unix))]
        let continues = 0;
        let outside = |signal| if signal == continues { Outside::Redraw } else { Outside::End(signal) };
        self.signals().into_iter().map(outside).collect()
    }
}

impl<P> Inputs<P> for Keyboard<P> {
    fn wait(&mut self, at_most: Duration) -> Vec<Outside<P>> {
        let until = Instant::now() + at_most;
        loop {
            let signalled = self.signalled();
            if !signalled.is_empty() {
                return signalled;
            }
            let left = until.saturating_duration_since(Instant::now());
            if gone(Duration::ZERO) {
                return vec![Outside::End(HANGUP)];
            }
            // What has been read already does not show at the terminal any more, so it comes first.
            let outside = match event::poll(Duration::ZERO) {
                Ok(true) => match event::read() {
                    Ok(Event::Key(key)) => (self.meant)(key).map(|press| Outside::Input(Input::Press(press))),
                    Ok(Event::Resize(..) | Event::FocusGained) => Some(Outside::Redraw),
                    Ok(_) => None,
                    Err(_) => Some(Outside::End(HANGUP)),
                },
                Ok(false) => None,
                Err(_) => Some(Outside::End(HANGUP)),
            };
            if outside.is_some() || left.is_zero() {
                return outside.into_iter().collect();
            }
            gone(left.min(SOON));
        }
    }
}

/// Waits for a key, at most so long, and says whether the terminal has gone: reading from one that has, without a signal
/// to tell of it, would never end.
#[cfg(unix)]
fn gone(at_most: Duration) -> bool {
    use rustix::event::{PollFd, PollFlags, poll};
    let terminal = std::io::stdin();
    let mut fds = [PollFd::new(&terminal, PollFlags::IN)];
    let at_most = at_most.try_into().ok();
    // An interrupted wait is a signal, which is looked at next.
    poll(&mut fds, at_most.as_ref()).is_ok() && fds[0].revents().intersects(PollFlags::HUP | PollFlags::ERR)
}

/// Waits for a key, at most so long.
#[cfg(not(unix))]
fn gone(at_most: Duration) -> bool {
    let _ = event::poll(at_most);
    false
}
