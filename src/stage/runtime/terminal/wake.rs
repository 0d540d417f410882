//! What wakes the thread that leads: a key, a signal, or a line from another thread.

use crate::runtime::Incoming;

/// A signal that reached the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CaughtSignal {
    /// The program goes on after a stop, or the terminal has another size.
    Redraw,
    /// The program is to end: the number of the signal.
    End(i32),
}

impl CaughtSignal {
    /// The same for an application.
    pub fn into_incoming<P>(self) -> Incoming<P> {
        match self {
            CaughtSignal::Redraw => Incoming::Redraw,
            CaughtSignal::End(signal) => Incoming::End(signal),
        }
    }
}

#[cfg(unix)]
pub use unix::{listen_to_signals, signals, sleep, terminal_is_gone, up};

#[cfg(not(unix))]
pub use elsewhere::{listen_to_signals, signals, sleep, terminal_is_gone, up};

#[cfg(unix)]
mod unix {
    use std::fs::File;
    use std::io::{self, IsTerminal, PipeReader, PipeWriter, Read, Write, stdin};
    use std::os::fd::{AsFd, BorrowedFd};
    use std::sync::{Mutex, OnceLock, PoisonError};
    use std::thread;
    use std::time::Duration;

    use rustix::event::{PollFd, PollFlags, poll};
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGWINCH};
    use signal_hook::iterator::Signals;

    use super::CaughtSignal;
    use crate::runtime::terminal;

    /// After this long without an answer to a signal that ends the program, the program is left all the same.
    const PATIENCE: Duration = Duration::from_secs(2);

    /// A pipe on which the thread that leads waits beside the terminal.
    struct Bell {
        wait: PipeReader,
        ring: PipeWriter,
        caught: Mutex<Vec<CaughtSignal>>,
    }

    static BELL: OnceLock<Bell> = OnceLock::new();

    /// Listens to the signals that end or continue the program, from now on and for its whole life. Where the application
    /// does not end within two seconds of one, the terminal is restored and the program left from another thread.
    ///
    /// # Errors
    /// When the signals cannot be had, or no thread can be started.
    pub fn listen_to_signals() -> io::Result<()> {
        static ONCE: Mutex<bool> = Mutex::new(false);
        let mut listens = ONCE.lock().unwrap_or_else(PoisonError::into_inner);
        if *listens {
            return Ok(());
        }
        let (wait, ring) = io::pipe()?;
        // A thread that wakes another never waits for it.
        rustix::io::ioctl_fionbio(&ring, true)?;
        // One that was made before stays: a try that failed half-way made it.
        let bell = BELL.get_or_init(|| Bell { wait, ring, caught: Mutex::new(Vec::new()) });
        let mut signals = Signals::new([SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGWINCH])?;
        let listen = move || {
            for signal in signals.forever() {
                let ends = signal != SIGCONT && signal != SIGWINCH;
                let caught = if ends { CaughtSignal::End(signal) } else { CaughtSignal::Redraw };
                let mut all = bell.caught.lock().unwrap_or_else(PoisonError::into_inner);
                if !all.contains(&caught) {
                    all.push(caught);
                }
                drop(all);
                up();
                if ends {
                    thread::sleep(PATIENCE);
                    terminal::restore_and_exit(128 + signal);
                }
            }
        };
        thread::Builder::new().name("signals".to_owned()).spawn(listen)?;
        *listens = true;
        Ok(())
    }

    /// The signals since this was last asked.
    pub fn signals() -> Vec<CaughtSignal> {
        BELL.get().map_or_else(Vec::new, |bell| {
            std::mem::take(&mut *bell.caught.lock().unwrap_or_else(PoisonError::into_inner))
        })
    }

    /// Wakes the thread that sleeps.
    pub fn up() {
        if let Some(mut ring) = BELL.get().map(|bell| &bell.ring) {
            // A pipe that is full wakes as well.
            let _ = ring.write(&[0]);
        }
    }

    /// Sleeps until something has come, at most this long. `keys`: a key wakes too.
    pub fn sleep(at_most: Duration, keys: bool) {
        let at_most = at_most.try_into().ok();
        let bell = BELL.get();
        let mut waited: Vec<PollFd> = bell.map(|bell| PollFd::new(&bell.wait, PollFlags::IN)).into_iter().collect();
        let terminal = terminal_fd().filter(|_| keys);
        waited.extend(terminal.as_ref().map(|fd| PollFd::new(fd, PollFlags::IN)));
        // An interrupted wait is a signal, which is looked at next.
        let _ = poll(&mut waited, at_most.as_ref());
        if let Some(bell) = bell
            && waited[0].revents().contains(PollFlags::IN)
        {
            // There is a byte to read, so this does not wait.
            let _ = (&bell.wait).read(&mut [0; 64]);
        }
    }

    /// Whether the terminal has gone. Reading keys from one that has, without a signal to tell of it, would never end.
    pub fn terminal_is_gone() -> bool {
        let Some(terminal) = terminal_fd() else { return false };
        let mut fds = [PollFd::new(&terminal, PollFlags::IN)];
        let at_once = Duration::ZERO.try_into().ok();
        poll(&mut fds, at_once.as_ref()).is_ok() && fds[0].revents().intersects(PollFlags::HUP | PollFlags::ERR)
    }

    /// Where keys come from: standard input, or the terminal itself where standard input was something else at first. A
    /// terminal that is gone does not look like one any more, so this is found out once.
    fn terminal_fd() -> Option<BorrowedFd<'static>> {
        enum Keys {
            Input(io::Stdin),
            Terminal(File),
        }
        static KEYS: OnceLock<Option<Keys>> = OnceLock::new();
        let keys = KEYS.get_or_init(|| match stdin().is_terminal() {
            true => Some(Keys::Input(stdin())),
            false => File::open("/dev/tty").ok().map(Keys::Terminal),
        });
        keys.as_ref().map(|keys| match keys {
            Keys::Input(input) => input.as_fd(),
            Keys::Terminal(terminal) => terminal.as_fd(),
        })
    }
}

#[cfg(not(unix))]
mod elsewhere {
    use std::io;
    use std::time::Duration;

    use super::Caught;

    /// How soon a line from another thread is noticed.
    const SOON: Duration = Duration::from_millis(50);

    /// Ctrl-C comes as a key here, and a closed console ends the program.
    ///
    /// # Errors
    /// Never.
    pub fn listen_to_signals() -> io::Result<()> {
        Ok(())
    }

    /// None here.
    pub fn signals() -> Vec<CaughtSignal> {
        Vec::new()
    }

    /// Nothing waits for long here.
    pub fn up() {}

    /// Sleeps until a key has come, at most this long.
    pub fn sleep(at_most: Duration, keys: bool) {
        if keys {
            let _ = crossterm::event::poll(at_most.min(SOON));
        } else {
            std::thread::sleep(at_most.min(SOON));
        }
    }

    /// Not to be told here.
    pub fn terminal_is_gone() -> bool {
        false
    }
}
