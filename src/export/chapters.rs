//! Chapters: the blocks of a class and their rounds, as lines for a video's description and as ffmpeg's metadata.

use std::fmt::Write;

use super::clock::Clock;
use crate::schedule::Schedule;
use crate::session::block_letter;
use crate::time::{self, Tick};

/// The shortest chapter that is listed: players refuse or hide shorter ones (common practice, no source).
const SHORTEST: Tick = Tick::seconds(10);

/// The title of the chapter before the class starts.
const BEFORE: &str = "Before the class";

/// One chapter. The chapters of a class follow each other without a gap, from 0 to the end of the class.
pub(crate) struct Chapter {
    pub(crate) from: Tick,
    until: Tick,
    pub(crate) title: String,
}

pub(crate) fn all(schedule: &Schedule, clock: &Clock) -> Vec<Chapter> {
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

/// One line for each chapter, such as `12:30 B Legs, round 1 of 2`. The first is at 0:00.
pub fn chapters(schedule: &Schedule, clock: &Clock) -> String {
    let line = |chapter: &Chapter| {
        let title: String = chapter.title.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        format!("{} {title}\n", time::clock(Tick::seconds(chapter.from.0 / 1000)))
    };
    all(schedule, clock).iter().map(line).collect()
}

/// The metadata file that ffmpeg reads: `ffmpeg -i class.wav -i FILE -map_metadata 1 ...`.
pub fn ffmetadata(schedule: &Schedule, clock: &Clock) -> String {
    let mut text = format!(";FFMETADATA1\ntitle={}\n", escaped(&schedule.session.title));
    for chapter in all(schedule, clock) {
        let (from, until, title) = (chapter.from.0, chapter.until.0, escaped(&chapter.title));
        let _ = write!(text, "\n[CHAPTER]\nTIMEBASE=1/1000\nSTART={from}\nEND={until}\ntitle={title}\n");
    }
    text
}

/// A text with a backslash before each character that has a meaning in the file. A line end becomes a space, because
/// not every reader accepts an escaped one.
fn escaped(text: &str) -> String {
    let mut safe = String::new();
    for letter in text.chars() {
        match letter {
            '=' | ';' | '#' | '\\' => safe.extend(['\\', letter]),
            letter if letter.is_control() => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}
