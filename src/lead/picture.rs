//! A class, or its rehearsal, on the terminal's screen.

use std::io;
use std::mem::ManuallyDrop;

use ratatui::backend::Backend;
use ratatui::layout::Size;
use ratatui::{Frame, Terminal};

use super::conductor::Watcher;
use super::happening::Told;
use super::run::Front;
use super::terminal;

/// Draws a class or a rehearsal whenever it looks different.
#[derive(Debug)]
pub struct Picture<B: Backend, F, D> {
    /// Never dropped, because [`terminal::restore`] shows the cursor again. If the terminal is gone, ratatui's drop
    /// would fail to show the cursor, print that to the terminal and so panic.
    terminal: ManuallyDrop<Terminal<B>>,
    face: F,
    draw: D,
    /// The face and the size of the last picture.
    drawn: Option<(u64, Size)>,
}

impl<B: Backend<Error = io::Error>, F, D> Picture<B, F, D> {
    /// A picture on a terminal, drawn by `draw`. While `face` gives the same number, the picture is the same.
    ///
    /// # Errors
    /// When the terminal does not tell its size.
    pub fn new(backend: B, face: F, draw: D) -> io::Result<Picture<B, F, D>> {
        Ok(Picture { terminal: ManuallyDrop::new(Terminal::new(backend)?), face, draw, drawn: None })
    }
}

impl<L, B, F, D> Front<L> for Picture<B, F, D>
where
    B: Backend<Error = io::Error>,
    F: Fn(&L) -> u64,
    D: FnMut(&mut Frame, &L),
{
    fn watcher(&self) -> Watcher {
        Watcher::Screen
    }

    fn stays(&self) -> bool {
        true
    }

    fn tell(&mut self, _: &Told, _: &L) -> io::Result<()> {
        Ok(())
    }

    fn show(&mut self, led: &L) -> io::Result<()> {
        let now = Some(((self.face)(led), self.terminal.size()?));
        if self.drawn != now {
            self.terminal.draw(|frame| (self.draw)(frame, led))?;
            self.drawn = now;
        }
        Ok(())
    }

    fn forget(&mut self) -> io::Result<()> {
        self.drawn = None;
        self.terminal.clear()
    }

    fn suspend(&mut self) -> io::Result<()> {
        terminal::restore();
        terminal::stop_for_the_shell()?;
        terminal::take_screen()?;
        Front::<L>::forget(self)
    }
}
