//! The class on the terminal's screen.

use std::io;

use ratatui::backend::Backend;
use ratatui::layout::Size;
use ratatui::{Frame, Terminal};

use super::conductor::{Conductor, Watcher};
use super::happening::Told;
use super::moment::Moment;
use super::run::Front;
use super::terminal;
use crate::screen;

/// Draws the moment whenever it looks different.
#[derive(Debug)]
pub struct Picture<B: Backend, D> {
    terminal: Terminal<B>,
    draw: D,
    /// What was drawn last, and how large.
    drawn: Option<(u64, Size)>,
}

impl<B, D> Picture<B, D>
where
    B: Backend<Error = io::Error>,
    D: FnMut(&mut Frame, &Moment),
{
    /// A picture on a terminal, drawn by this.
    ///
    /// # Errors
    /// When the terminal does not tell its size.
    pub fn new(backend: B, draw: D) -> io::Result<Picture<B, D>> {
        Ok(Picture { terminal: Terminal::new(backend)?, draw, drawn: None })
    }
}

impl<B, D> Front for Picture<B, D>
where
    B: Backend<Error = io::Error>,
    D: FnMut(&mut Frame, &Moment),
{
    fn watcher(&self) -> Watcher {
        Watcher::Screen
    }

    fn stays(&self) -> bool {
        true
    }

    fn tell(&mut self, _: &Told, _: &Conductor) -> io::Result<()> {
        Ok(())
    }

    fn show(&mut self, conductor: &Conductor) -> io::Result<()> {
        let moment = conductor.moment();
        let now = Some((screen::face(&moment), self.terminal.size()?));
        if self.drawn != now {
            self.terminal.draw(|frame| (self.draw)(frame, &moment))?;
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
        self.forget()
    }
}
