//! Keys and signals of the computer, brought together in one channel.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use std::time::Duration;

use crossterm::event::{self, Event, KeyEvent};

use super::conductor::Input;
use super::keys::Press;
use super::run::{Inputs, Outside};
use super::terminal;

/// Everything that reaches the class, in the order in which it came.
#[derive(Debug)]
pub struct Channel<P = Press> {
    to: Sender<Outside<P>>,
    from: Receiver<Outside<P>>,
}

impl<P: Send + PartialEq + 'static> Channel<P> {
    /// An empty channel.
    pub fn new() -> Channel<P> {
        let (to, from) = channel();
        Channel { to, from }
    }

    /// A sender into the channel, for another thread.
    pub fn sender(&self) -> Sender<Outside<P>> {
        self.to.clone()
    }

    /// Listens to the keyboard from now on; `meant` says what a key asks for. The terminal must be in raw mode.
    ///
    /// # Errors
    /// When no thread can be started.
    pub fn listen_to_keys(&self, meant: impl Fn(KeyEvent) -> Option<P> + Send + 'static) -> std::io::Result<()> {
        let to = self.sender();
        let listen = move || {
            while let Ok(event) = event::read() {
                let outside = match event {
                    Event::Key(key) => meant(key).map(|press| Outside::Input(Input::Press(press))),
                    Event::Resize(..) | Event::FocusGained => Some(Outside::Redraw),
                    _ => None,
                };
                if outside.is_some_and(|outside| to.send(outside).is_err()) {
                    return;
                }
            }
        };
        thread::Builder::new().name("keys".to_owned()).spawn(listen).map(drop)
    }

    /// Listens to the signals that end or continue a program. If the class has not ended two seconds after such a
    /// signal, this thread restores the terminal and ends the program.
    ///
    /// # Errors
    /// When the signals cannot be received or no thread can be started.
    #[cfg(unix)]
    pub fn listen_to_signals(&self) -> std::io::Result<()> {
        use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM};

        let mut signals = signal_hook::iterator::Signals::new([SIGCONT, SIGHUP, SIGINT, SIGTERM])?;
        let to = self.sender();
        let listen = move || {
            for signal in signals.forever() {
                let ends = signal != SIGCONT;
                let outside = if ends { Outside::End(signal) } else { Outside::Redraw };
                let heard = to.send(outside).is_ok();
                if ends {
                    if heard {
                        thread::sleep(Duration::from_secs(2));
                    }
                    terminal::leave(128 + signal);
                }
            }
        };
        thread::Builder::new().name("signals".to_owned()).spawn(listen).map(drop)
    }

    /// Does nothing: elsewhere Ctrl-C comes as a key, and closing the console ends the program.
    ///
    /// # Errors
    /// Never.
    #[cfg(not(unix))]
    pub fn listen_to_signals(&self) -> std::io::Result<()> {
        Ok(())
    }
}

impl<P: Send + PartialEq + 'static> Default for Channel<P> {
    fn default() -> Channel<P> {
        Channel::new()
    }
}

impl<P: PartialEq> Inputs<P> for Channel<P> {
    fn wait(&mut self, at_most: Duration) -> Vec<Outside<P>> {
        let mut all: Vec<Outside<P>> = self.from.recv_timeout(at_most).into_iter().collect();
        // Many resizes may come at once. One redraw is enough for all of them.
        for outside in self.from.try_iter() {
            if outside != Outside::Redraw || !all.contains(&Outside::Redraw) {
                all.push(outside);
            }
        }
        all
    }
}
