//! Planning the cues of a class. A 90-minute class has to take less than 50 ms, and the time has to grow in proportion
//! to the spans.

use std::sync::Arc;
use std::time::{Duration, Instant};

use class::cue::{SpeechSettings, plan_cues};
use class::movement::Catalogue;
use class::schedule::{Schedule, compile};
use class::session::{Session, SpeechLevel, read};
use class::time::Tick;
use divan::{Bencher, black_box};

fn main() {
    ratios();
    divan::main();
}

/// Prints how the time grows with the spans: for 90 minutes, twice and four times as much, each the fastest of ten
/// runs.
fn ratios() {
    let fastest = |times: usize| {
        let schedule = class(2 * times);
        let voicing = SpeechSettings { level: Some(SpeechLevel::Full), ..SpeechSettings::default() };
        let once = || {
            let began = Instant::now();
            black_box(plan_cues(black_box(&schedule), Tick::ZERO, &voicing));
            began.elapsed()
        };
        (0..10).map(|_| once()).min().unwrap_or_default()
    };
    let (one, two, four) = (fastest(1), fastest(2), fastest(4));
    let ratio = |time: Duration| time.as_secs_f64() / one.as_secs_f64();
    println!("90 minutes at full {one:.1?}; twice the spans {:.2}x, four times {:.2}x", ratio(two), ratio(four));
}

/// The 45-minute demo class, repeated as often as asked.
fn class(times: usize) -> Schedule {
    let text = include_str!("../sessions/frost-and-oars.ron");
    let once = read(text, Catalogue::built_in()).session.expect("the demo class has no fault");
    let blocks = once.blocks.iter().cycle().take(once.blocks.len() * times).cloned().collect();
    compile(Arc::new(Session { blocks, ..once }))
}

fn plan(bencher: Bencher, times: usize, level: SpeechLevel) {
    let schedule = class(times);
    let voicing = SpeechSettings { level: Some(level), ..SpeechSettings::default() };
    bencher.bench_local(|| plan_cues(black_box(&schedule), Tick::ZERO, &voicing));
}

#[divan::bench]
fn ninety_minutes_changes(bencher: Bencher) {
    plan(bencher, 2, SpeechLevel::Changes);
}

#[divan::bench]
fn ninety_minutes_full(bencher: Bencher) {
    plan(bencher, 2, SpeechLevel::Full);
}

#[divan::bench(sample_count = 10)]
fn fifteen_hours_full(bencher: Bencher) {
    plan(bencher, 20, SpeechLevel::Full);
}
