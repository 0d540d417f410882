//! The terminal: taken for an application, and given back whatever happens.

pub mod wake;

use std::io::{self, IsTerminal, Stdout, Write, stdin, stdout};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, Once, PoisonError};
use std::thread;

use crossterm::cursor::{Hide, Show};
use crossterm::execute;
use crossterm::style::ResetColor;
use crossterm::terminal::{
    BeginSynchronizedUpdate, EndSynchronizedUpdate, EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode,
    enable_raw_mode,
};
use ratatui::backend::{Backend, ClearType, CrosstermBackend, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};

static RAW: AtomicBool = AtomicBool::new(false);
static ALTERNATE: AtomicBool = AtomicBool::new(false);

/// Whether a person is at a terminal: both input and output are terminals.
pub fn is_interactive() -> bool {
    stdin().is_terminal() && stdout().is_terminal()
}

/// Reads keys as they are pressed (raw mode).
///
/// # Errors
/// When the terminal refuses.
pub fn take_keys() -> io::Result<()> {
    enable_raw_mode()?;
    RAW.store(true, Ordering::SeqCst);
    Ok(())
}

/// Reads keys as they are pressed, and takes the whole screen.
///
/// # Errors
/// When the terminal refuses; it is then as it was.
pub fn take_screen() -> io::Result<()> {
    take_keys()?;
    ALTERNATE.store(true, Ordering::SeqCst);
    execute!(stdout(), EnterAlternateScreen, Hide).inspect_err(|_| restore())
}

/// Gives the terminal back when it is dropped.
#[derive(Debug)]
pub struct Restored(());

impl Drop for Restored {
    fn drop(&mut self) {
        restore();
    }
}

/// Takes keys as they are pressed until what this gives back is dropped.
///
/// # Errors
/// When the terminal refuses; then it is as it was.
pub fn take_keys_for_now() -> io::Result<Restored> {
    take_keys()?;
    Ok(Restored(()))
}

/// Takes keys and the whole screen until what this gives back is dropped.
///
/// # Errors
/// When the terminal refuses; then it is as it was.
pub fn take_screen_for_now() -> io::Result<Restored> {
    take_screen()?;
    Ok(Restored(()))
}

/// Gives the terminal back as it was. Can be called any number of times, from any thread. Errors are ignored, because
/// the terminal may be gone.
pub fn restore() {
    // Keys first: this cannot block, but writing can.
    if RAW.swap(false, Ordering::SeqCst) {
        let _ = disable_raw_mode();
    }
    if ALTERNATE.swap(false, Ordering::SeqCst) {
        let _ = execute!(stdout(), EndSynchronizedUpdate, ResetColor, LeaveAlternateScreen, Show);
    }
}

/// Restores the terminal if that takes less than 200 ms, and ends the program. Can be called from any thread.
#[cfg(unix)]
pub fn restore_and_exit(code: i32) -> ! {
    // Another thread may be stuck while it writes to the terminal: this thread must not wait for it.
    let restoring = thread::spawn(restore);
    let patience = std::time::Instant::now() + std::time::Duration::from_millis(200);
    while !restoring.is_finished() && std::time::Instant::now() < patience {
        thread::sleep(std::time::Duration::from_millis(5));
    }
    std::process::exit(code)
}

/// Tells the coach about panics of other threads while it lives.
#[derive(Debug)]
pub struct PanicLines(u64);

type TellPanic = Box<dyn Fn(String) + Send>;

/// Who is told about panics of other threads, the last one first, each with its number.
static TOLD: Mutex<Vec<(u64, TellPanic)>> = Mutex::new(Vec::new());

/// From now on a panic of this thread restores the terminal before it is reported. A panic of another thread ends
/// nothing: `tell` gets one line about it, until what this gives back is dropped.
pub fn tell_panics(tell: impl Fn(String) + Send + 'static) -> PanicLines {
    static GUARDED: Once = Once::new();
    static NUMBER: AtomicU64 = AtomicU64::new(0);
    GUARDED.call_once(guard_panics);
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    TOLD.lock().unwrap_or_else(PoisonError::into_inner).push((number, Box::new(tell)));
    PanicLines(number)
}

impl Drop for PanicLines {
    fn drop(&mut self) {
        TOLD.lock().unwrap_or_else(PoisonError::into_inner).retain(|(number, _)| *number != self.0);
    }
}

fn guard_panics() {
    let leading = thread::current().id();
    let report = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        if thread::current().id() == leading {
            restore();
            return report(info);
        }
        let payload = info.payload();
        let why = payload.downcast_ref::<String>().map(String::as_str).or(payload.downcast_ref::<&str>().copied());
        let part = thread::current().name().unwrap_or("unnamed").to_owned();
        let line = format!("Part of the program failed ({part}: {}); the class continues", why.unwrap_or("no reason"));
        if let Some((_, tell)) = TOLD.lock().unwrap_or_else(PoisonError::into_inner).last() {
            tell(line);
        }
    }));
}

/// Stops the program as the shell expects on Ctrl-Z, and returns when the program is continued.
///
/// # Errors
/// When the signal cannot be sent.
#[cfg(unix)]
pub fn stop_for_the_shell() -> io::Result<()> {
    use rustix::process::{Signal, kill_current_process_group};

    // Stop the whole process group, as the terminal does: the shell waits until all of the group has stopped.
    kill_current_process_group(Signal::TSTP)?;
    // The signal may reach another thread first. After this sleep, the program was stopped and continued, or the system
    // did not stop it because nobody could continue it.
    thread::sleep(std::time::Duration::from_millis(50));
    Ok(())
}

/// Does nothing: other systems have no such signal.
///
/// # Errors
/// Never.
#[cfg(not(unix))]
pub fn stop_for_the_shell() -> io::Result<()> {
    Ok(())
}

/// A backend that writes nothing if nothing has changed. It writes all changes of a picture in one piece, so that the
/// picture does not tear on a slow line.
#[derive(Debug)]
pub struct BatchedBackend<W: Write> {
    to: CrosstermBackend<W>,
    /// Whether the end of a piece has still to be written.
    open: bool,
    hidden: bool,
}

impl BatchedBackend<Stdout> {
    /// The terminal of this program.
    pub fn stdout() -> BatchedBackend<Stdout> {
        BatchedBackend::new(stdout())
    }
}

impl<W: Write> BatchedBackend<W> {
    /// A terminal behind a writer.
    pub fn new(to: W) -> BatchedBackend<W> {
        BatchedBackend { to: CrosstermBackend::new(to), open: false, hidden: false }
    }
}

impl<W: Write> Backend for BatchedBackend<W> {
    type Error = io::Error;

    fn draw<'a, I>(&mut self, content: I) -> io::Result<()>
    where
        I: Iterator<Item = (u16, u16, &'a Cell)>,
    {
        let mut content = content.peekable();
        if content.peek().is_none() {
            return Ok(());
        }
        if !self.open {
            crossterm::queue!(self.to, BeginSynchronizedUpdate)?;
            self.open = true;
        }
        self.to.draw(content)
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        if !self.hidden {
            self.hidden = true;
            self.to.hide_cursor()?;
        }
        Ok(())
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        self.hidden = false;
        self.to.show_cursor()
    }

    /// The cursor is hidden, so its position does not matter. To ask the terminal would mean to wait for an answer,
    /// which the thread that listens to keys would take.
    fn get_cursor_position(&mut self) -> io::Result<Position> {
        Ok(Position::ORIGIN)
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.to.set_cursor_position(position)
    }

    fn clear(&mut self) -> io::Result<()> {
        self.to.clear()
    }

    fn clear_region(&mut self, clear_type: ClearType) -> io::Result<()> {
        self.to.clear_region(clear_type)
    }

    fn size(&self) -> io::Result<Size> {
        self.to.size()
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        self.to.window_size()
    }

    fn flush(&mut self) -> io::Result<()> {
        if std::mem::take(&mut self.open) {
            crossterm::queue!(self.to, EndSynchronizedUpdate)?;
        }
        Backend::flush(&mut self.to)
    }
}
