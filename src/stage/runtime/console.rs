//! The console: everything that reaches an application from outside, in the order in which it came.
//!
//! The thread that leads reads the keys itself. A thread of its own that waits for keys would take them from the
//! application that is opened next.

use std::io;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, Instant};

use crossterm::event::{self, Event, KeyEvent};

use super::application::StepInput;
use super::terminal::{self, wake};

/// What reaches an application from outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Incoming<P> {
    Input(StepInput<P>),
    /// The terminal has another size, or another program had it: draw everything.
    Redraw,
    /// The program is asked to end, by the signal of this number.
    End(i32),
}

impl<P> Incoming<P> {
    /// The same, with what a key asks for as a part of something larger.
    pub fn map<Q>(self, larger: impl FnOnce(P) -> Q) -> Incoming<Q> {
        match self {
            Incoming::Input(input) => Incoming::Input(match input {
                StepInput::Press(press) => StepInput::Press(larger(press)),
                StepInput::Say(line) => StepInput::Say(line),
                StepInput::Lengths(lengths) => StepInput::Lengths(lengths),
                StepInput::Machine(lines) => StepInput::Machine(lines),
            }),
            Incoming::Redraw => Incoming::Redraw,
            Incoming::End(signal) => Incoming::End(signal),
        }
    }
}

/// Where that comes from.
pub trait InputSource<P> {
    /// Waits for something, at most `at_most`, and takes what is there.
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<P>>;
}

/// A wait of any length: when it is over, the next begins.
const ANY: Duration = Duration::from_secs(3600);

/// The signal of a terminal that hangs up, for one that has gone without a signal.
const HANGUP: i32 = 1;

/// Keys, signals, and lines from other threads, for the application that has the terminal.
///
/// While it is open, a panic on another thread reaches the coach as a line here.
pub struct Console<P> {
    meaning: Box<dyn Fn(KeyEvent) -> Option<P>>,
    reads_keys: bool,
    /// A key that came right after a redraw.
    after_redraw: Option<P>,
    to: Sender<Incoming<P>>,
    from: Receiver<Incoming<P>>,
    _panics: terminal::PanicLines,
}

impl<P: Send + 'static> Console<P> {
    /// A console whose keys mean what `meaning` says. It reads no key before [`Console::read_keys`].
    ///
    /// # Errors
    /// When the signals of the system cannot be had.
    pub fn open(meaning: impl Fn(KeyEvent) -> Option<P> + 'static) -> io::Result<Console<P>> {
        wake::listen_to_signals()?;
        let (to, from) = channel();
        let messenger = Messenger(to.clone());
        let panics = terminal::tell_panics(move |line| messenger.say(line));
        Ok(Console { meaning: Box::new(meaning), reads_keys: false, after_redraw: None, to, from, _panics: panics })
    }

    /// Reads keys from now on. The terminal must be raw by then.
    pub fn read_keys(&mut self) {
        self.reads_keys = true;
    }

    /// What other threads send lines with.
    pub fn messenger(&self) -> Messenger<P> {
        Messenger(self.to.clone())
    }

    /// Waits for a key that has a meaning.
    ///
    /// # Errors
    /// The signal that ends the program; that of a hang-up where the terminal has gone without one.
    pub fn key(&mut self) -> Result<P, i32> {
        loop {
            for incoming in self.wait(ANY) {
                match incoming {
                    Incoming::Input(StepInput::Press(press)) => return Ok(press),
                    Incoming::End(signal) => return Err(signal),
                    _ => {}
                }
            }
        }
    }

    /// Drops the keys that were typed until now.
    pub fn forget_keys(&mut self) {
        while !wake::terminal_is_gone() && event::poll(Duration::ZERO).is_ok_and(|is_there| is_there) {
            if event::read().is_err() {
                return;
            }
        }
    }

    /// The next key with a meaning, or the next redraw, if the terminal has sent one.
    fn next_key(&mut self) -> Option<Incoming<P>> {
        let read = || {
            // Reading keys from a terminal that is gone would never end.
            if wake::terminal_is_gone() {
                return Err(HANGUP);
            }
            match event::poll(Duration::ZERO) {
                Ok(false) => Ok(None),
                Ok(true) => event::read().map(Some).map_err(|_| HANGUP),
                Err(_) => Err(HANGUP),
            }
        };
        next(read, &self.meaning, &mut self.after_redraw)
    }
}

/// The next key with a meaning, or one redraw for any number of resizes before it. The key that ended a run of resizes is
/// kept in `after_redraw` for the next call.
fn next<P>(
    mut read: impl FnMut() -> Result<Option<Event>, i32>,
    meaning: impl Fn(KeyEvent) -> Option<P>,
    after_redraw: &mut Option<P>,
) -> Option<Incoming<P>> {
    let mut redraw = false;
    let press = |press: P| Incoming::Input(StepInput::Press(press));
    if let Some(kept) = after_redraw.take() {
        return Some(press(kept));
    }
    loop {
        match read() {
            Ok(Some(Event::Resize(..) | Event::FocusGained)) => redraw = true,
            Ok(Some(Event::Key(key))) => match meaning(key) {
                Some(asked) if redraw => {
                    *after_redraw = Some(asked);
                    return Some(Incoming::Redraw);
                }
                Some(asked) => return Some(press(asked)),
                None => {}
            },
            Ok(Some(_)) => {}
            Ok(None) => return redraw.then_some(Incoming::Redraw),
            Err(signal) => return Some(Incoming::End(signal)),
        }
    }
}

impl<P: Send + 'static> InputSource<P> for Console<P> {
    /// At most one key at a time: those that follow may be meant for the application that this key opens.
    fn wait(&mut self, at_most: Duration) -> Vec<Incoming<P>> {
        let until = Instant::now() + at_most;
        loop {
            let mut all: Vec<Incoming<P>> =
                wake::signals().into_iter().map(wake::CaughtSignal::into_incoming).collect();
            all.extend(self.from.try_iter());
            if self.reads_keys {
                all.extend(self.next_key());
            }
            let left = until.saturating_duration_since(Instant::now());
            if !all.is_empty() || left.is_zero() {
                return all;
            }
            wake::sleep(left, self.reads_keys);
        }
    }
}

/// Sends lines to the coach from any thread.
#[derive(Debug)]
pub struct Messenger<P>(Sender<Incoming<P>>);

impl<P> Messenger<P> {
    /// Shows the coach this line. Does nothing once the console is closed.
    pub fn say(&self, line: String) {
        self.send(StepInput::Say(line));
    }

    /// Hands an input to the application. Does nothing once the console is closed.
    pub fn send(&self, input: StepInput<P>) {
        if self.0.send(Incoming::Input(input)).is_ok() {
            wake::up();
        }
    }
}

#[cfg(test)]
mod tests {
    use crossterm::event::{KeyCode, KeyModifiers};

    use super::*;

    #[test]
    fn a_flood_of_resizes_is_one_redraw() {
        let key = |letter| Event::Key(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE));
        let resize = || Event::Resize(80, 24);
        let flood = std::iter::repeat_with(resize).take(500);
        let mut events = flood.chain([key('x'), key('a'), key('b'), resize()]);
        let mut after_redraw = None;
        let mut next = || {
            let letter = |key: KeyEvent| key.code.as_char().filter(|&letter| letter != 'x');
            next(|| Ok(events.next()), letter, &mut after_redraw)
        };
        let press = |letter| Some(Incoming::Input(StepInput::Press(letter)));
        assert_eq!([next(), next(), next()], [Some(Incoming::Redraw), press('a'), press('b')]);
        assert_eq!([next(), next()], [Some(Incoming::Redraw), None]);
    }
}
