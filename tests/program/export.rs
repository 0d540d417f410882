//! Exports of a class: captions, chapters, a calendar, a table. `tests/judges.sh` checks the formats with other
//! programs. These tests check the facts that other programs cannot know.

use std::sync::Arc;

use class::cue::{SpeechSettings, plan_and_insert_cues};
use class::movement::Catalogue;
use class::recording::ExportClock;
use class::schedule::{Audience, EventContent, Schedule, compile};
use class::session::read;
use class::time::Tick;
use paper::export::{ClassDates, calendar, captions, chapters, csv, ffmetadata, markdown, srt, vtt};
use sound::Pcm;

fn class(text: &str) -> Schedule {
    let session = read(text, Catalogue::built_in()).session.expect("a session without faults");
    let mut schedule = compile(Arc::new(session));
    plan_and_insert_cues(&mut schedule, Tick::ZERO, &SpeechSettings::default());
    schedule
}

fn demo() -> Schedule {
    class(include_str!("../../sessions/frost-and-oars.ron"))
}

fn everybody(_: Audience) -> bool {
    true
}

/// Half a second of sound, a separate clip for each text.
fn half_a_second(_: &str) -> Option<Pcm> {
    Pcm::from_samples(16_000, vec![1000; 8_000])
}

#[test]
fn captions_are_shown_while_the_voice_speaks() {
    let schedule = demo();
    let spoken = schedule.events.iter().filter(|event| !matches!(event.what, EventContent::Tone(_))).count();
    let captions = captions(&schedule, everybody, half_a_second);
    assert_eq!(captions.len(), spoken);
    for caption in &captions {
        assert_eq!(caption.until - caption.from, Tick(500), "{caption:?}");
        // Speech waits for a tone on its tick, at most as long as a tone sounds.
        let said = |at: Tick| at <= caption.from && caption.from.saturating_sub(at) <= Tick(1600);
        assert!(schedule.events.iter().any(|event| said(event.at)), "{caption:?}");
    }
}

#[test]
fn a_caption_without_speech_is_shown_for_its_planned_length() {
    let schedule = demo();
    let captions = captions(&schedule, everybody, |_| None);
    let cues = schedule.events.iter().filter_map(|event| match &event.what {
        EventContent::Cue(cue) => Some((event.at, event.at + cue.length, cue.text.as_str())),
        _ => None,
    });
    for cue in cues {
        assert!(captions.iter().any(|caption| (caption.from, caption.until, caption.text.as_str()) == cue), "{cue:?}");
    }
}

/// The same block at every level, so that only the amount of speech differs.
#[test]
fn a_cue_that_is_unsaid_at_a_level_has_no_caption() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("class.ron");
    let block =
        |level: &str| format!("(name: \"All\", work: \"60s\", level: {level}, stations: [\"squat\", \"push-up\"])");
    let captions_at = |level: &str| {
        std::fs::write(&file, format!("(title: \"Levels\", blocks: [{}])", block(level))).expect("written");
        let mut export = std::process::Command::new(env!("CARGO_BIN_EXE_forecall"));
        let export = export.args(["export", "--as", "srt", "--voice", "none"]).arg(&file);
        String::from_utf8(export.output().expect("it runs").stdout).expect("text")
    };
    let [silent, tones, calls, changes] = ["silent", "tones", "calls", "changes"].map(captions_at);
    assert_eq!((silent.as_str(), tones.as_str()), ("", ""));
    assert!(calls.contains("halfway") && !calls.contains("ush-up"), "{calls}");
    assert!(changes.contains("halfway") && changes.contains("ush-up"), "{changes}");
}

#[test]
fn no_text_of_a_caption_breaks_its_file() {
    let caption = paper::export::Caption {
        from: Tick(3_599_999),
        until: Tick(3_600_001),
        audience: Audience::Coach,
        text: "a <b> & c --> d\n\n\u{b}e".to_owned(),
    };
    // By the WebVTT recommendation & and < are escaped, a blank line ends a cue, and `-->` would be a time line.
    assert_eq!(
        vtt(std::slice::from_ref(&caption)),
        "WEBVTT\n\n00:59:59.999 --> 01:00:00.001\n<v Coach>a &lt;b&gt; &amp; c --&gt; d e\n"
    );
    assert_eq!(srt(&[caption]), "1\n00:59:59,999 --> 01:00:00,001\na <b> & c → d e\n");
}

#[test]
fn chapters_cover_the_class_and_begin_at_zero() {
    let schedule = demo();
    let lines = chapters(&schedule, &ExportClock::default());
    assert!(lines.starts_with("0:00 A Warm up\n"), "{lines}");
    assert_eq!(lines.lines().count(), 8);
    let meta = ffmetadata(&schedule, &ExportClock::default());
    let numbers =
        |key: &str| -> Vec<u64> { meta.lines().filter_map(|line| line.strip_prefix(key)?.parse().ok()).collect() };
    let (starts, ends) = (numbers("START="), numbers("END="));
    assert_eq!(starts[0], 0);
    assert_eq!(starts[1..], ends[..ends.len() - 1]);
    assert_eq!(ends.last(), Some(&schedule.total().0));
    // Characters with a meaning in ffmpeg's format are escaped.
    let odd = class(r##"(title: "a=b;c#d\\e", blocks: [(name: "x", work: "30s", stations: ["squat"])])"##);
    assert!(ffmetadata(&odd, &ExportClock::default()).contains(r"title=a\=b\;c\#d\\e"));
}

/// A recording starts late in a block: the remainder of the block is a chapter only if it lasts 10 s or more.
#[test]
fn the_remainder_of_a_block_is_a_chapter_only_if_it_is_long_enough() {
    let block = |name: &str| format!(r#"(name: "{name}", work: "60s", stations: ["squat"])"#);
    let blocks = ["One", "Two", "Three"].map(block).join(", ");
    let class = class(&format!(r#"(title: "Late", blocks: [{blocks}])"#));
    let lines =
        |missed: u64| chapters(&class, &ExportClock::default().synced_to_recording(Tick::seconds(missed), Tick::ZERO));
    assert_eq!(lines(50), "0:00 A One\n0:10 B Two\n1:10 C Three\n");
    assert_eq!(lines(51), "0:00 B Two\n1:09 C Three\n");
    assert_eq!(lines(60), "0:00 B Two\n1:00 C Three\n");
}

#[test]
fn a_calendar_entry_is_as_long_as_the_room_is_booked() {
    let when = ClassDates { starts: jiff::civil::date(2026, 12, 1).at(18, 15, 0, 0), weeks: 8, length: None };
    let now = "2026-11-25T12:00:00Z".parse().unwrap();
    let text = calendar(&demo(), &when, &ExportClock::default(), now);
    // RFC 5545: UID, DTSTAMP and PRODID are required, lines end in CRLF and have at most 75 octets.
    for line in [
        "PRODID:-//forecall//forecall//EN",
        "DTSTAMP:20261125T120000Z",
        "DTSTART:20261201T181500",
        "DURATION:PT45M",
        "RRULE:FREQ=WEEKLY;COUNT=8",
        "SUMMARY:Frost and oars",
    ] {
        assert!(text.split("\r\n").any(|have| have == line), "{line} in {text}");
    }
    assert!(text.contains("\r\nUID:"));
    assert!(text.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')));
    assert_eq!(text, calendar(&demo(), &when, &ExportClock::default(), now));
    assert!(!calendar(&demo(), &ClassDates { weeks: 1, ..when }, &ExportClock::default(), now).contains("RRULE"));
}

#[test]
fn no_cell_is_a_formula() {
    let text = r#"(title: "t", blocks: [(name: "=1+1", work: "30s", stations: [
        (name: "@sum, \"x\""),
    ])])"#;
    let read = read(text, Catalogue::built_in());
    let Some(session) = read.session else { panic!("{:?}", read.faults) };
    let csv = csv(&compile(Arc::new(session)), &ExportClock::default()).unwrap();
    assert!(csv.contains("'=1+1") && csv.contains("\"'@sum, \"\"x\"\"\""), "{csv}");
    assert!(csv.lines().count() == 2 && csv.ends_with("\r\n"));
}

#[test]
fn markdown_has_a_table_for_each_block() {
    let text = markdown(&demo(), &ExportClock::default());
    assert_eq!(text.lines().filter(|line| line.starts_with("## ")).count(), 5);
    assert!(text.contains("| 6:30 | 45 | 1 | Kettlebell deadlift |"), "{text}");
}
