//! Keys and signals read by the thread that leads, one at a time, so that another program can have the terminal in
//! between. A thread of its own that waits for keys would take them away from that program.

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

/// The length of one wait for any time: after it, the next wait begins.
const ANY: Duration = Duration::from_secs(3600);

/// The signal that is reported if the terminal is gone without a signal: that of a hang-up.
const HANGUP: i32 = 1;

impl<P> Keyboard<P> {
    /// A keyboard whose keys have these meanings. It reads no key before it is asked to wait for one.
    ///
    /// # Errors
    /// When the signals cannot be received.
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

    /// The signals that came since the last call.
    pub fn signals(&mut self) -> Vec<i32> {
        #[cfg(unix)]
        return self.signals.pending().collect();
        #[cfg(not(unix))]
        Vec::new()
    }

    /// Drops the keys that were typed until now.
    pub fn forget(&mut self) {
        while !gone(Duration::ZERO) && event::poll(Duration::ZERO).is_ok_and(|is_there| is_there) {
            if event::read().is_err() {
                return;
            }
        }
    }

    /// Waits for a key that has a meaning.
    ///
    /// # Errors
    /// The signal that ends the program, or that of a hang-up if the terminal is gone without a signal.
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
            // `gone` does not see an event that has been read from the terminal already, so such events come first.
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

/// Waits for a key, at most `at_most`, and says whether the terminal is gone. To read from a terminal that is gone,
/// without a signal, would never end.
#[cfg(unix)]
fn gone(at_most: Duration) -> bool {
    use rustix::event::{PollFd, PollFlags, poll};
    let terminal = std::io::stdin();
    let mut fds = [PollFd::new(&terminal, PollFlags::IN)];
    let at_most = at_most.try_into().ok();
    // A signal interrupts the wait; the caller looks at signals next.
    poll(&mut fds, at_most.as_ref()).is_ok() && fds[0].revents().intersects(PollFlags::HUP | PollFlags::ERR)
}

/// Waits for a key, at most `at_most`.
#[cfg(not(unix))]
fn gone(at_most: Duration) -> bool {
    let _ = event::poll(at_most);
    false
}
