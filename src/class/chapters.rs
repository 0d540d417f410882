//! Chapters: the blocks of a class and their rounds, as a listener jumps to them.

use std::fmt::Write;

use crate::recording::ExportClock;
use crate::schedule::Schedule;
use crate::session::block_letter;
use crate::time::Tick;

/// The shortest chapter that is listed: players refuse or hide shorter ones (common practice, no source).
const SHORTEST: Tick = Tick::seconds(10);

/// The title of the chapter before the class starts.
const BEFORE: &str = "Before the class";

/// One chapter. The chapters of a class follow each other without a gap, from 0 to the end of the class.
pub struct Chapter {
    pub from: Tick,
    pub until: Tick,
    pub title: String,
}

/// The chapters of a class on a clock, in order.
pub fn chapters(schedule: &Schedule, clock: &ExportClock) -> Vec<Chapter> {
    let mut starts: Vec<(Tick, String)> = Vec::new();
    let mut before = None;
    // Whether the first chapter started before the recording.
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
            // The remainder of a block that was cut off gives way to the next chapter.
            (Some(from), Some(last)) if from.saturating_sub(last.0) < SHORTEST => {
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
