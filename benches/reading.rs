//! Reading a session file: what a coach waits for when a file is opened, and whether it grows with the file alone.

use std::fmt::Write;
use std::sync::Arc;

use class::movement::Catalogue;
use class::schedule::compile;
use class::session::{parse, read};
use divan::counter::BytesCount;

fn main() {
    divan::main();
}

/// A session of so many stations, ten to a block, as people write them: ids, and records with a field or two.
fn text(stations: usize) -> String {
    let mut text = String::from("(title: \"Bench\", level: calls, blocks: [\n");
    for block in 0..stations / 10 {
        let _ =
            writeln!(text, "    (name: \"Block {block}\", work: \"8s\", rest: \"0s\", rest_after: \"0s\", stations: [");
        for _ in 0..3 {
            text += "        \"march-tall\",\n        \"bell-deadlift\",\n";
            text += "        (move: \"squat-goblet\", work: \"8s\", place: \"by the rack\"),\n";
        }
        text += "        (name: \"Oar carry\", prompts: [\"tall\", \"quiet feet\"], optional: true),\n    ]),\n";
    }
    text + "])\n"
}

/// At 8 s each the most are close to a day, beyond which no class is read.
const STATIONS: [usize; 3] = [1_000, 3_000, 10_000];

/// RON alone, into the same structs: what [`reading`] is held against.
#[divan::bench(args = STATIONS)]
fn parsing(bencher: divan::Bencher<'_, '_>, stations: usize) {
    let text = text(stations);
    bencher.counter(BytesCount::of_str(&text)).bench(|| parse(&text).expect("in order"));
}

/// Parsed, names found, defaults filled in.
#[divan::bench(args = STATIONS)]
fn reading(bencher: divan::Bencher<'_, '_>, stations: usize) {
    let text = text(stations);
    let catalogue = Catalogue::built_in();
    bencher.counter(BytesCount::of_str(&text)).bench(|| {
        let reading = read(&text, catalogue);
        assert!(reading.session.is_some(), "{:?}", reading.faults);
        reading
    });
}

/// Read and compiled.
#[divan::bench(args = STATIONS)]
fn reading_and_compiling(bencher: divan::Bencher<'_, '_>, stations: usize) {
    let text = text(stations);
    let catalogue = Catalogue::built_in();
    bencher
        .counter(BytesCount::of_str(&text))
        .bench(|| compile(Arc::new(read(&text, catalogue).session.expect("in order"))));
}
