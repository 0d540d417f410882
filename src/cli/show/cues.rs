//! The cues of a class, spoken and not spoken, as lines and as JSON.

use std::fmt::Write;

use serde::Serialize;

use class::cue::{CueOutcome, PlannedCue, SpeechSettings, UnsaidReason, call_words, opening_words};
use class::schedule::{Audience, CueKind, Schedule};
use class::session::SpeechLevel;
use class::time::{Tick, clock};

/// A class with its cues.
pub(super) struct CueListing<'a> {
    pub schedule: &'a Schedule,
    pub cues: &'a [PlannedCue],
    pub voicing: &'a SpeechSettings,
    /// Whether the lengths come from the voice itself and are not estimates.
    pub heard: bool,
}

impl CueListing<'_> {
    /// What is spoken in the count-in, and how long it takes.
    fn opening(&self) -> Option<(String, Tick)> {
        let level = self.voicing.level_in(self.schedule, self.schedule.spans.first()?);
        let text = opening_words(self.schedule).filter(|_| level >= SpeechLevel::Changes)?;
        let length = self.voicing.lengths.of(&text);
        Some((text, length))
    }
}

/// The version of the JSON output. It goes up when a field changes its meaning or is removed.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct CuesJson<'a> {
    version: u32,
    title: &'a str,
    /// "heard": from the voice itself; "estimated" from the texts.
    lengths: &'static str,
    /// What is spoken in the count-in of the class; null if nothing is.
    opening: Option<OpeningJson>,
    cues: Vec<CueJson<'a>>,
}

#[derive(Serialize)]
struct OpeningJson {
    text: String,
    length_ms: u64,
}

#[derive(Serialize)]
struct CueJson<'a> {
    kind: CueKind,
    audience: Audience,
    /// 0: the cue must be spoken. A cue with a higher rank gives way first.
    rank: u8,
    text: &'a str,
    /// When the cue starts; null if it is not spoken.
    at_ms: Option<u64>,
    length_ms: Option<u64>,
    from_ms: u64,
    until_ms: u64,
    /// Why it is not spoken; null if it is.
    unsaid: Option<String>,
}

/// The cues as one JSON document.
///
/// # Errors
/// None in practice: writing to a string does not fail.
pub(super) fn json(spoken: &CueListing) -> serde_json::Result<String> {
    let opening = spoken.opening().map(|(text, length)| OpeningJson { text, length_ms: length.0 });
    let shown = spoken.cues.iter().map(|cue| {
        let (said, unsaid) = match cue.outcome {
            CueOutcome::Spoken { at, length } => (Some((at.0, length.0)), None),
            CueOutcome::LeftUnsaid(reason) => (None, Some(why(reason))),
        };
        CueJson {
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
    serde_json::to_string_pretty(&CuesJson {
        version: VERSION,
        title: &spoken.schedule.session.title,
        lengths: if spoken.heard { "heard" } else { "estimated" },
        opening,
        cues: shown.collect(),
    })
}

/// One line per cue: start, length, rank, audience and text; if it is not spoken, why.
pub(super) fn lines(spoken: &CueListing) -> String {
    let CueListing { schedule, cues, .. } = spoken;
    let unsaid = cues.iter().filter(|cue| matches!(cue.outcome, CueOutcome::LeftUnsaid(_))).count();
    let lengths = if spoken.heard { "lengths from the voice" } else { "lengths are estimates" };
    let title = &schedule.session.title;
    let mut text = format!("{title}\n{} cues, {unsaid} unspoken; {lengths}\n\n", cues.len());
    text += "    start  length  rank  for    cue\n";
    if let Some((words, length)) = spoken.opening() {
        let (audience, length) = (Audience::Class.to_string(), seconds(length));
        let _ = writeln!(text, " count-in  {length:>6}     0  {audience:<5}  {words}");
    }
    for cue in *cues {
        let (start, length, why) = match cue.outcome {
            CueOutcome::Spoken { at, length } => (tenths(at), seconds(length), String::new()),
            CueOutcome::LeftUnsaid(reason) => {
                (tenths(cue.window.start), "–".to_owned(), format!(" (unspoken: {})", why(reason)))
            }
        };
        let audience = cue.audience.to_string();
        let _ = writeln!(text, "{start:>9}  {length:>6}  {:>4}  {audience:<5}  {}{why}", cue.rank, cue.text);
    }
    text
}

/// Why a cue is not spoken, in words.
fn why(reason: UnsaidReason) -> String {
    match reason {
        UnsaidReason::NoRoom => "no room".to_owned(),
        UnsaidReason::Call(call) => format!("collides with the call \"{}\"", call_words(call)),
        UnsaidReason::Tone(tone) => format!("collides with the {} tone", tone.to_string().replace('_', " ")),
        UnsaidReason::Cues => "no room: another cue".to_owned(),
        UnsaidReason::TalkRoom => "left for the coach to say".to_owned(),
        UnsaidReason::Quiet => "the coach's quiet stretch".to_owned(),
        UnsaidReason::Repeated => "said just before".to_owned(),
        UnsaidReason::NotNow => "not now".to_owned(),
    }
}

/// A class time to a tenth of a second, the grid of the cues.
fn tenths(at: Tick) -> String {
    format!("{}.{}", clock(Tick(at.0 / 1000 * 1000)), at.0 / 100 % 10)
}

fn seconds(length: Tick) -> String {
    format!("{}.{} s", length.0 / 1000, length.0 / 100 % 10)
}
