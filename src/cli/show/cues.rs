//! The cues of a class, said and unsaid, as lines and as JSON.

use std::fmt::Write;

use serde::Serialize;

use crate::cue::{Fate, PlannedCue, Reason, call_words};
use crate::schedule::{Audience, CueKind, Schedule};
use crate::time::{Tick, clock};

/// Counted up when a field changes its meaning or goes.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct ShownCues<'a> {
    version: u32,
    title: &'a str,
    cues: Vec<ShownCue<'a>>,
}

#[derive(Serialize)]
struct ShownCue<'a> {
    kind: CueKind,
    audience: Audience,
    /// 0: it must be said; a higher one gives way first.
    rank: u8,
    text: &'a str,
    /// Null where it is not said.
    at_ms: Option<u64>,
    length_ms: Option<u64>,
    from_ms: u64,
    until_ms: u64,
    /// Why it is not said; null where it is.
    unsaid: Option<String>,
}

/// The cues as one JSON document.
///
/// # Errors
/// None that the shape can cause; writing to a string does not fail.
pub(super) fn json(schedule: &Schedule, cues: &[PlannedCue]) -> serde_json::Result<String> {
    let shown = cues.iter().map(|cue| {
        let (said, unsaid) = match cue.fate {
            Fate::Said { at, length } => (Some((at.0, length.0)), None),
            Fate::Unsaid(reason) => (None, Some(why(reason))),
        };
        ShownCue {
            kind: cue.kind,
            audience: cue.audience,
            rank: cue.rank,
            text: &cue.text,
            at_ms: said.map(|(at, _)| at),
            length_ms: said.map(|(_, length)| length),
            from_ms: cue.window.start.0,
            until_ms: cue.window.end.0,
            unsaid,
        }
    });
    serde_json::to_string_pretty(&ShownCues { version: VERSION, title: &schedule.session.title, cues: shown.collect() })
}

/// One line a cue: start, length, rank, audience and words; of an unsaid one why.
pub(super) fn lines(schedule: &Schedule, cues: &[PlannedCue]) -> String {
    let unsaid = cues.iter().filter(|cue| matches!(cue.fate, Fate::Unsaid(_))).count();
    let mut text = format!("{}\n{} cues, {} of them unsaid\n\n", schedule.session.title, cues.len(), unsaid);
    text += "    start  length  rank  for    cue\n";
    for cue in cues {
        let (start, length, why) = match cue.fate {
            Fate::Said { at, length } => (tenths(at), seconds(length), String::new()),
            Fate::Unsaid(reason) => (tenths(cue.window.start), "–".to_owned(), format!(" (unsaid: {})", why(reason))),
        };
        let audience = cue.audience.to_string();
        let _ = writeln!(text, "{start:>9}  {length:>6}  {:>4}  {audience:<5}  {}{why}", cue.rank, cue.text);
    }
    text
}

/// Why a cue is not said, in words.
fn why(reason: Reason) -> String {
    match reason {
        Reason::NoRoom => "no room".to_owned(),
        Reason::Call(call) => format!("collides with the call \"{}\"", call_words(call)),
        Reason::Tone(tone) => format!("collides with the {} tone", tone.to_string().replace('_', " ")),
        Reason::Cues => "other cues need the room".to_owned(),
        Reason::TalkRoom => "talk room".to_owned(),
        Reason::Quiet => "the coach's one quiet stretch".to_owned(),
        Reason::Repeated => "said just before".to_owned(),
        Reason::NotNow => "not now".to_owned(),
    }
}

/// A place in the class to the tenth of a second, the grid of the cues.
fn tenths(at: Tick) -> String {
    format!("{}.{}", clock(Tick(at.0 / 1000 * 1000)), at.0 / 100 % 10)
}

fn seconds(length: Tick) -> String {
    format!("{}.{} s", length.0 / 1000, length.0 / 100 % 10)
}
