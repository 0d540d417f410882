//! A class on paper, from its file to the bytes of the document. A sheet has to be ready in less than 300 ms.

use std::sync::Arc;

use class::movement::Catalogue;
use class::schedule::{Schedule, compile};
use class::session::read;
use divan::{Bencher, black_box};
use paper::sheet::{PaperSize, cards, cards_pdf, run_sheet, run_sheet_pdf};

fn main() {
    divan::main();
}

fn class(text: &str) -> Schedule {
    let session = read(text, Catalogue::built_in()).session;
    compile(Arc::new(session.unwrap_or_else(|| panic!("a session with faults"))))
}

/// The demo of 45 minutes.
const DEMO: &str = include_str!("../sessions/frost-and-oars.ron");

fn many() -> String {
    let stations: Vec<String> = (1..=200)
        .map(|n| format!(r#"(name: "Station {n} with a rather long name", prompts: ["one of two", "two of two"])"#))
        .collect();
    format!(r#"(title: "Many", blocks: [(name: "All", work: "20s", stations: [{}])])"#, stations.join(", "))
}

#[divan::bench(args = [PaperSize::A4, PaperSize::Letter])]
fn run_sheet_of_the_demo(bencher: Bencher<'_, '_>, paper: PaperSize) {
    bencher.bench(|| run_sheet_pdf(&run_sheet(&class(black_box(DEMO)), None, false, None), paper));
}

#[divan::bench]
fn run_sheet_of_200_stations(bencher: Bencher<'_, '_>) {
    let text = many();
    bencher.bench(|| run_sheet_pdf(&run_sheet(&class(black_box(&text)), None, false, None), PaperSize::A4));
}

#[divan::bench]
fn cards_of_the_demo(bencher: Bencher<'_, '_>) {
    bencher.bench(|| cards_pdf("cards", &cards(&class(black_box(DEMO))), PaperSize::A4));
}
