//! Chapters: the blocks of a class and their rounds, as lines for a video's description and as ffmpeg's metadata.

use std::fmt::Write;

use class::chapters::{Chapter, chapters as chapters_of};
use class::recording::ExportClock;
use class::schedule::Schedule;
use class::time::{self, Tick};

/// One line for each chapter, such as `12:30 B Legs, round 1 of 2`. The first is at 0:00.
pub fn chapters(schedule: &Schedule, clock: &ExportClock) -> String {
    let line = |chapter: &Chapter| {
        let title: String = chapter.title.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        format!("{} {title}\n", time::clock(Tick::seconds(chapter.from.0 / 1000)))
    };
    chapters_of(schedule, clock).iter().map(line).collect()
}

/// The metadata file that ffmpeg reads: `ffmpeg -i class.wav -i FILE -map_metadata 1 ...`.
pub fn ffmetadata(schedule: &Schedule, clock: &ExportClock) -> String {
    let mut text = format!(";FFMETADATA1\ntitle={}\n", escaped(&schedule.session.title));
    for chapter in chapters_of(schedule, clock) {
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
