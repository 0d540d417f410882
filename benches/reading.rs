//! Reading a session file: how long a coach waits when a file is opened, and whether the time grows only in proportion
//! to the file.

use std::fmt::Write;
use std::sync::Arc;

use class::movement::Catalogue;
use class::schedule::compile;
use class::session::{parse, read};
use divan::counter::BytesCount;

fn main() {
    divan::main();
}

/// A session of `stations` stations, ten to a block, as people write them: ids, and records with a field or two.
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

/// At 8 s each, the largest number lasts close to a day; a longer class is refused.
const STATIONS: [usize; 3] = [1_000, 3_000, 10_000];

/// Only the RON parser, into the same structs, to compare with [`reading`].
#[divan::bench(args = STATIONS)]
fn parsing(bencher: divan::Bencher<'_, '_>, stations: usize) {
    let text = text(stations);
    bencher.counter(BytesCount::of_str(&text)).bench(|| parse(&text).expect("in order"));
}

/// Parsing, finding names and filling in defaults.
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

/// Reading and compiling.
#[divan::bench(args = STATIONS)]
fn reading_and_compiling(bencher: divan::Bencher<'_, '_>, stations: usize) {
    let text = text(stations);
    let catalogue = Catalogue::built_in();
    bencher
        .counter(BytesCount::of_str(&text))
        .bench(|| compile(Arc::new(read(&text, catalogue).session.expect("in order"))));
}
