//! The screens, as text at several sizes, in every phase.

mod boathouse;
#[path = "../examples/picture/svg.rs"]
mod svg;

use forecall::lead::Moment;
use forecall::screen::{Colours, Look, draw};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;

fn drawn(moment: &Moment, (width, height): (u16, u16), colours: Colours) -> Buffer {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| draw(frame, moment, &Look { colours })).unwrap();
    terminal.backend().buffer().clone()
}

/// The rows as text, without the spaces at their ends.
fn rows(buffer: &Buffer) -> String {
    let area = buffer.area;
    let row = |y| (0..area.width).map(|x| buffer[(x, y)].symbol()).collect::<String>();
    (0..area.height).map(|y| row(y).trim_end().to_owned() + "\n").collect()
}

const SIZES: [(u16, u16); 5] = [(60, 18), (80, 24), (120, 35), (160, 45), (200, 60)];

/// Without colours the screen has the same letters, and no colour at all.
#[test]
fn grey_shows_the_same() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, moment) in boathouse::moments(&schedule, &machine) {
        for size in SIZES {
            let grey = drawn(&moment, size, Colours::Without);
            assert!(grey.content.iter().all(|cell| (cell.fg, cell.bg) == (Color::Reset, Color::Reset)), "{name}");
            for colours in [Colours::True, Colours::Many, Colours::Sixteen] {
                assert_eq!(rows(&grey), rows(&drawn(&moment, size, colours)), "{name}");
            }
        }
    }
}

/// Pictures of every moment, for people: `FORECALL_PICTURES=DIR cargo test --test screens pictures`.
#[test]
fn pictures() {
    let Some(folder) = std::env::var_os("FORECALL_PICTURES") else { return };
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for (name, moment) in boathouse::moments(&schedule, &machine) {
        for size in SIZES {
            for colours in [Colours::True, Colours::Without] {
                let file = format!("{name}-{}x{}-{colours:?}.svg", size.0, size.1);
                let path = std::path::Path::new(&folder).join(file);
                std::fs::write(path, svg::svg(&drawn(&moment, size, colours))).unwrap();
            }
        }
    }
}
