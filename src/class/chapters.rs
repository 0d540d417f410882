//! Chapters: the blocks of a class and their rounds, as a listener jumps to them.

use std::fmt::Write;

use crate::recording::Clock;
use crate::schedule::Schedule;
use crate::session::block_letter;
use crate::time::Tick;

/// The shortest chapter that is listed: players refuse or hide shorter ones (common practice, no source).
const SHORTEST: Tick = Tick::seconds(10);

/// What a recording has before the class.
const BEFORE: &str = "Before the class";

/// One chapter; the chapters of a class follow each other without a gap, from nought to its end.
pub struct Chapter {
    pub from: Tick,
    pub until: Tick,
    pub title: String,
}

/// The chapters of a class on a clock, in order.
pub fn chapters(schedule: &Schedule, clock: &Clock) -> Vec<Chapter> {
    let mut starts: Vec<(Tick, String)> = Vec::new();
    let mut before = None;
    // The first had begun before the recording did.
    let mut cut_off = false;
    for span in &schedule.spans {
        let place = (span.block, span.round);
        // The rest after a block or round belongs to what was before it.
        if span.purpose.is_rest() || before == Some(place) {
            continue;
        }
        before = Some(place);
        let block = schedule.block_of(span);
        let mut title = format!("{} {}", block_letter(span.block), block.name);
        let rounds = schedule.passes(span);
        if rounds > 1 && block.format.counts_rounds() {
            let _ = write!(title, ", round {} of {rounds}", span.round + 1);
        } else if span.round > 0 {
            continue;
        }
        match (clock.begins(span.start), starts.last_mut()) {
            (None, _) => (starts, cut_off) = (vec![(Tick::ZERO, title)], true),
            // What is left of a block gives way to a whole one.
            (Some(from), Some(last)) if from.less(last.0) < SHORTEST => {
                if std::mem::take(&mut cut_off) {
                    last.1 = title;
                }
            }
            (Some(from), _) => {
                starts.push((from, title));
                cut_off = false;
            }
        }
    }
    match starts.first_mut() {
        Some(first) if first.0 >= SHORTEST => starts.insert(0, (Tick::ZERO, BEFORE.to_owned())),
        Some(first) => first.0 = Tick::ZERO,
        None => {}
    }
    let end = clock.ends(schedule.total()).unwrap_or(Tick::ZERO);
    starts.retain(|(from, _)| *from < end);
    let ends: Vec<Tick> = starts.iter().skip(1).map(|(start, _)| *start).chain([end]).collect();
    starts.into_iter().zip(ends).map(|((from, title), until)| Chapter { from, until, title }).collect()
}
