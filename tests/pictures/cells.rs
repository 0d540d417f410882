//! The cells of a terminal, to be drawn as a picture.
// Several runners have this module, so it is public in each.
#![allow(unreachable_pub)]

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier, Style};

/// What a terminal shows, as cells.
pub fn cells_of(screen: &vt100::Screen) -> Buffer {
    let colour = |colour: vt100::Color| match colour {
        vt100::Color::Default => Color::Reset,
        vt100::Color::Idx(index) => Color::Indexed(index),
        vt100::Color::Rgb(red, green, blue) => Color::Rgb(red, green, blue),
    };
    let (rows, columns) = screen.size();
    let (rows, columns) = (rows.get(), columns.get());
    let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
    for y in 0..rows {
        for x in 0..columns {
            let Some(cell) = screen.cell(y, x) else { continue };
            let mut style = Style::new().fg(colour(cell.fgcolor())).bg(colour(cell.bgcolor()));
            for (on, modifier) in [(cell.bold(), Modifier::BOLD), (cell.inverse(), Modifier::REVERSED)] {
                style = if on { style.add_modifier(modifier) } else { style };
            }
            buffer[(x, y)].set_symbol(if cell.has_contents() { cell.contents() } else { " " }).set_style(style);
        }
    }
    buffer
}
