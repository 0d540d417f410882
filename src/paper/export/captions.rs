//! Captions: what is said in a class and when it is heard, as WebVTT and as SubRip.

use std::collections::HashMap;
use std::fmt::Write;

use class::cue::call_words;
use class::recording::ExportClock;
use class::schedule::{Audience, EventContent, Schedule};
use class::time::Tick;
use sound::sound_of;
use sound::{NoteClip, Pcm, PlaybackRun, Score, SoundPlan, ToneSamples};

/// One caption.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caption {
    pub from: Tick,
    /// After `from`.
    pub until: Tick,
    pub audience: Audience,
    pub text: String,
}

/// How long the caption of a call is shown if no voice says the call.
const CALL: Tick = Tick(1200);
/// The rate at which the class is rendered, in frames a second.
const RATE: u32 = 48_000;
/// Frames in a tick of 1 ms at this rate.
const FRAMES: u64 = 48;

/// The captions on another clock. A caption ends early where class time was paused. Captions before the start of a
/// recording are left out.
pub fn retimed(captions: Vec<Caption>, clock: &ExportClock) -> Vec<Caption> {
    let retimed = captions.into_iter().filter_map(|caption| {
        let (from, until) = clock.unbroken(caption.from, caption.until)?;
        (until > from).then_some(Caption { from, until, ..caption })
    });
    retimed.collect()
}

/// All calls and cues of a class for this audience, in order. If `say` has speech for a text, its caption is shown
/// exactly while the speech sounds, by the score. A text that is only printed is shown for its planned length.
pub fn captions(
    schedule: &Schedule,
    ears: impl Fn(Audience) -> bool + Copy,
    say: impl Fn(&str) -> Option<Pcm>,
) -> Vec<Caption> {
    let mut spoken = HashMap::new();
    let mut captions = Vec::new();
    let mut sounds = Vec::new();
    for event in &schedule.events {
        let (audience, text, length) = match &event.what {
            EventContent::Tone(_) => {
                sounds.extend(sound_of(event, &say));
                continue;
            }
            EventContent::Call(call) => (Audience::Class, call_words(*call), CALL),
            EventContent::Cue(cue) => (cue.audience, cue.text.as_str(), cue.length),
        };
        if !ears(audience) || text.trim().is_empty() {
            continue;
        }
        match say(text) {
            Some(pcm) => {
                spoken.insert(pcm.samples.as_ptr(), (text, audience));
                sounds.extend(sound_of(event, &|_: &str| Some(pcm.clone())));
            }
            None => {
                let until = event.at + length.max(Tick(1));
                captions.push(Caption { from: event.at, until, audience, text: text.to_owned() });
            }
        }
    }
    let plan: SoundPlan = sounds.into_iter().collect();
    let score = Score::new(&plan, &PlaybackRun::from(Tick::ZERO), RATE, &ToneSamples::at(RATE), ears);
    for note in &score.notes {
        let NoteClip::Speech(pcm, _) = &note.clip else { continue };
        let Some((text, audience)) = spoken.get(&pcm.samples.as_ptr()) else { continue };
        let (from, until) = (tick(note.start), tick(note.end()));
        captions.push(Caption { from, until, audience: *audience, text: (*text).to_owned() });
    }
    captions.retain(|caption| caption.until > caption.from);
    captions.sort_by_key(|caption| (caption.from, caption.until));
    captions
}

/// The tick of the class in which a frame of the score falls.
fn tick(frame: u64) -> Tick {
    Tick(frame / FRAMES).saturating_sub(Score::LEAD)
}

/// As WebVTT (W3C). A caption for the coach only has the voice tag `Coach`.
pub fn vtt(captions: &[Caption]) -> String {
    let mut text = "WEBVTT\n".to_owned();
    for caption in captions {
        let words = one_line(&caption.text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let voice = if caption.audience == Audience::Coach { "<v Coach>" } else { "" };
        let (from, until) = (time(caption.from, '.'), time(caption.until, '.'));
        let _ = write!(text, "\n{from} --> {until}\n{voice}{words}\n");
    }
    text
}

/// As SubRip. The format has no escapes, so `-->` in a text, which could be read as a time line, becomes `→`.
pub fn srt(captions: &[Caption]) -> String {
    let mut text = String::new();
    for (number, caption) in captions.iter().enumerate() {
        let words = one_line(&caption.text).replace("-->", "→");
        let (from, until) = (time(caption.from, ','), time(caption.until, ','));
        let gap = if number == 0 { "" } else { "\n" };
        let _ = write!(text, "{gap}{}\n{from} --> {until}\n{words}\n", number + 1);
    }
    text
}

/// `00:01:02.345`. The hours have two digits or more.
fn time(at: Tick, point: char) -> String {
    let seconds = at.0 / 1000;
    format!("{:02}:{:02}:{:02}{point}{:03}", seconds / 3600, seconds / 60 % 60, seconds % 60, at.0 % 1000)
}

/// A text with one space for every run of spaces and line ends, because an empty line would end the caption.
fn one_line(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
