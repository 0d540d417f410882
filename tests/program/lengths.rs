//! Compares the estimated lengths of cues with the lengths that the built-in voice needs.
#![cfg(not(target_vendor = "apple"))]

use std::collections::BTreeSet;
use std::path::Path;
use std::time::{Duration, Instant};

use class::cue::{self, SpeechSettings, plan_and_insert_cues};
use class::movement::Catalogue;
use class::schedule::{ChangeoverCosts, EventContent};
use class::time::Tick;
use cli::session::open;
use sound::voice::{VoiceChoice, VoiceSpeed};

/// The limits come from our own fit to the cues of the sessions that come with the program.
#[test]
fn lengths_are_estimated_well() {
    let mut texts = BTreeSet::new();
    for file in ["first-look", "frost-and-oars", "lunch-at-the-landing", "six-boats"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions").join(file).with_extension("ron");
        let mut schedule =
            open(&path, Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED).expect(file).schedule.expect(file);
        plan_and_insert_cues(&mut schedule, Tick::ZERO, &SpeechSettings::default());
        texts.extend(schedule.events.into_iter().filter_map(|event| match event.what {
            EventContent::Cue(cue) => Some(cue.text),
            EventContent::Call(_) | EventContent::Tone(_) => None,
        }));
    }
    let folder = tempfile::tempdir().expect("a folder");
    let mut voice = VoiceChoice::Own.voice(folder.path(), VoiceSpeed::default());
    let mut misses: Vec<(f64, f64, String)> = texts
        .into_iter()
        .map(|text| {
            let said =
                voice.say(&text, Instant::now() + Duration::from_secs(30)).expect("speech").length().as_secs_f64();
            let estimated = cue::SpeechPace::BUILT_IN.estimate(&text).0 as f64 / 1000.0;
            ((estimated - said).abs(), said - cue::SpeechPace::BUILT_IN.reserve(&text).0 as f64 / 1000.0, text)
        })
        .collect();
    misses.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mean = misses.iter().map(|miss| miss.0).sum::<f64>() / misses.len() as f64;
    let p95 = misses[misses.len() * 95 / 100].0;
    let late = misses.iter().filter(|miss| miss.1 > 0.0).count();
    println!("{} cues: mean error {mean:.3} s, 95 of 100 within {p95:.3} s, {late} longer than reserved", misses.len());
    for (error, over, text) in misses.iter().rev().take(8) {
        println!("{error:.3} s, {over:+.3} s over the reserved time: {text}");
    }
    assert!(misses.len() > 50, "{}", misses.len());
    assert!(mean <= 0.24, "mean error {mean}");
    assert!(p95 <= 0.65, "95th percentile {p95}");
}
