//! Where an application is shown: the terminal's whole screen, or lines.

use std::io;
use std::mem::ManuallyDrop;

use ratatui::backend::Backend;
use ratatui::layout::Size;
use ratatui::{Frame, Terminal};

use super::application::{Application, DisplayKind, RunEnding};
use super::clock::Clock;
use super::console::Console;
use super::recorder::Recorder;
use super::run::{AudioOutput, run};
use super::terminal::{self, BatchedBackend};

/// Shows an application.
pub trait DisplayOutput<A: Application> {
    /// What the display wants to be woken for.
    fn watcher(&self) -> DisplayKind;

    /// Whether the display stays open when nothing is left to run, until the coach leaves.
    fn stays_after_class(&self) -> bool;

    /// Tells one event.
    ///
    /// # Errors
    /// When the event cannot be written.
    fn tell(&mut self, event: &A::Event, application: &A) -> io::Result<()>;

    /// Shows the application as it is.
    ///
    /// # Errors
    /// When the picture cannot be written.
    fn show(&mut self, application: &A) -> io::Result<()>;

    /// Forgets what is on the screen, so that everything is drawn again.
    ///
    /// # Errors
    /// When the terminal cannot be written to.
    fn redraw_all(&mut self) -> io::Result<()>;

    /// Hands the terminal to the shell, and returns when the shell gives it back.
    ///
    /// # Errors
    /// When the terminal cannot be handed over or taken back.
    fn suspend(&mut self) -> io::Result<()>;
}

/// Draws an application on the whole screen whenever it looks different.
#[derive(Debug)]
pub struct ScreenDisplay<B: Backend, F, D> {
    /// Never dropped: [`terminal::restore`] shows the cursor again. Where the terminal has gone, ratatui's own drop would
    /// print to it and panic.
    terminal: ManuallyDrop<Terminal<B>>,
    face: F,
    draw: D,
    /// The face that was drawn last, and the size of the screen then.
    drawn: Option<(u64, Size)>,
}

impl<B: Backend<Error = io::Error>, F, D> ScreenDisplay<B, F, D> {
    /// A display on a terminal. `draw` draws the application; `face` gives a number that is equal where the picture is.
    ///
    /// # Errors
    /// When the terminal does not tell its size.
    pub fn new(backend: B, face: F, draw: D) -> io::Result<ScreenDisplay<B, F, D>> {
        Ok(ScreenDisplay { terminal: ManuallyDrop::new(Terminal::new(backend)?), face, draw, drawn: None })
    }
}

impl<A, B, F, D> DisplayOutput<A> for ScreenDisplay<B, F, D>
where
    A: Application,
    B: Backend<Error = io::Error>,
    F: Fn(&A) -> u64,
    D: FnMut(&mut Frame, &A),
{
    fn watcher(&self) -> DisplayKind {
        DisplayKind::Screen
    }

    fn stays_after_class(&self) -> bool {
        true
    }

    fn tell(&mut self, _: &A::Event, _: &A) -> io::Result<()> {
        Ok(())
    }

    fn show(&mut self, application: &A) -> io::Result<()> {
        let now = Some(((self.face)(application), self.terminal.size()?));
        if self.drawn != now {
            self.terminal.draw(|frame| (self.draw)(frame, application))?;
            self.drawn = now;
        }
        Ok(())
    }

    fn redraw_all(&mut self) -> io::Result<()> {
        self.drawn = None;
        self.terminal.clear()
    }

    fn suspend(&mut self) -> io::Result<()> {
        terminal::restore();
        terminal::stop_for_the_shell()?;
        terminal::take_screen()?;
        DisplayOutput::<A>::redraw_all(self)
    }
}

/// Takes the screen and the keys, runs an application to its end, and gives the terminal back, also after a panic.
///
/// # Errors
/// When the terminal cannot be had, or the application cannot be shown any more.
pub fn run_on_screen<A: Application<Press: Send + 'static>>(
    application: &mut A,
    clock: &mut impl Clock,
    console: &mut Console<A::Press>,
    (face, draw): (impl Fn(&A) -> u64, impl FnMut(&mut Frame, &A)),
    audio: &mut (impl AudioOutput + ?Sized),
    recorder: &mut (impl Recorder<A> + ?Sized),
) -> io::Result<RunEnding> {
    let _restored = terminal::take_screen_for_now()?;
    console.read_keys();
    let mut display = ScreenDisplay::new(BatchedBackend::stdout(), face, draw)?;
    run(application, clock, console, &mut display, audio, recorder)
}
