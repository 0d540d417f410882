//! Fit and cut of a 90-minute class: how long a coach waits after a key.

use std::sync::Arc;

use class::change::Course;
use class::schedule::compile;
use class::session::{BlockKind, Session};
use class::time::Tick;

#[path = "../tests/classes/mod.rs"]
mod classes;

fn main() {
    divan::main();
}

/// Warm-up, six blocks of many different lengths, cool-down: 90 minutes and many families.
fn ninety_minutes() -> Course {
    use class::session::{Block, BlockFormat};
    use classes::{block, session, station};
    let stations = |count: u64, first: u64, step: u64| {
        (0..count).map(|n| station(&format!("move-{n}"), Tick::seconds(first + n % 4 * step))).collect::<Vec<_>>()
    };
    let mut blocks = vec![Block { kind: BlockKind::WarmUp, ..block(BlockFormat::Circuit, stations(6, 50, 0)) }];
    for n in 0..6 {
        let mut stations = stations(6, 35 + n * 3, 10);
        for (place, station) in stations.iter_mut().enumerate() {
            station.rest = Tick::seconds(10 + n * 5);
            station.optional = place == 5;
        }
        let main = block(BlockFormat::Circuit, stations);
        blocks.push(Block { rounds: 2, round_rest: Tick::seconds(40), rest_after: Tick::seconds(60 + n * 10), ..main });
    }
    blocks.push(Block { kind: BlockKind::CoolDown, ..block(BlockFormat::Circuit, stations(6, 60, 0)) });
    let session: Arc<Session> = session(blocks);
    Course::new(compile(session))
}

#[divan::bench(args = [-20, -10, -3, 4])]
fn fit(bencher: divan::Bencher<'_, '_>, minutes: i64) {
    let course = ninety_minutes();
    let end = Tick(course.schedule().total().0.saturating_add_signed(minutes * 60_000));
    bencher.bench(|| course.fit(Tick::seconds(20), end));
}

#[divan::bench(args = [-20, -10, -3, -80])]
fn cut(bencher: divan::Bencher<'_, '_>, minutes: i64) {
    let course = ninety_minutes();
    let end = Tick(course.schedule().total().0.saturating_add_signed(minutes * 60_000));
    bencher.bench(|| course.cut(Tick::seconds(20), end));
}
