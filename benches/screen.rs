//! Drawing one frame of the screen, and asking whether a new frame is needed.

use ratatui::Terminal;
use ratatui::backend::TestBackend;
use stage::drawing::ScreenTheme;
use stage::lead::screen::{draw, fingerprint};
use stage::lead::{Moment, ScreenView};

#[path = "../tests/boathouse/mod.rs"]
mod boathouse;

fn main() {
    divan::main();
}

/// Draws a whole frame and compares it with the one before, in moments of each kind.
#[divan::bench(args = ["work", "last", "settle", "block_rest", "held", "far_work"])]
fn frame_200x60(bencher: divan::Bencher, name: &str) {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    let (_, moment) = boathouse::moments(&schedule, &machine).into_iter().find(|(at, _)| *at == name).unwrap();
    let mut terminal = Terminal::new(TestBackend::new(200, 60)).unwrap();
    bencher.bench_local(|| {
        terminal.draw(|frame| draw(frame, &moment, &ScreenTheme::default())).unwrap();
    });
}

#[divan::bench]
fn face_of_a_moment(bencher: divan::Bencher) {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    let (_, moment) = boathouse::moments(&schedule, &machine).into_iter().find(|(at, _)| *at == "work").unwrap();
    let moment = Moment { view: ScreenView::Coach, ..moment };
    bencher.bench_local(|| fingerprint(divan::black_box(&moment)));
}
