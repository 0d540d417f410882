//! Tempo clicks: one at each phase, and never at the same time as another sound.

use crate::classes;

use std::sync::Arc;

use class::cue::{CLEAR, SpeechSettings, call_words, clicks, plan_and_insert_cues, tone_length};
use class::movement::{Catalogue, Position, Sides, TempoGuide};
use class::schedule::{EventContent, Schedule, ScheduleEvent, Tone, compile};
use class::session::{BlockFormat, SpeechLevel, WorkAmount, read};
use class::time::{FirstPhase, Tempo, Tick};
use classes::{any_session, block, movement, session, station_of};
use proptest::prelude::*;
use stage::lead::{ClassOpening, Conductor, LeadCommand};
use stage::runtime::{Clock, StepEffect, StepInput, SteppedClock};

fn guided(counts: [u8; 4], starts: FirstPhase, sides: Sides, seconds: u64) -> Schedule {
    let mut squat = movement("squat", Position::Standing);
    squat.sides = sides;
    squat.guide = Some(TempoGuide { tempo: Tempo { counts }, starts, lower: "lower".into(), lift: "lift".into() });
    let mut station = station_of(squat, WorkAmount::Time(Tick::seconds(seconds)));
    station.click = true;
    let mut block = block(BlockFormat::Circuit, vec![station]);
    block.calls = vec![];
    compile(session(vec![block]))
}

fn at(events: &[ScheduleEvent], tone: Tone) -> Vec<u64> {
    events.iter().filter(|event| event.what == EventContent::Tone(tone)).map(|event| event.at.0).collect()
}

/// Counted by hand: 2-1-1-0 lowers for 2 s, pauses for 1 s and lifts for 1 s. The start tone is at 0, so the first
/// click gives way to it. The end tone at 12 s does not belong to the work.
#[test]
fn each_phase_that_lasts_has_its_click() {
    let schedule = guided([2, 1, 1, 0], FirstPhase::Lower, Sides::Together, 12);
    let clicks = clicks(&schedule, Tick::ZERO, &SpeechSettings::default());
    assert_eq!(at(&clicks, Tone::Rep), [4_000, 8_000]);
    assert_eq!(at(&clicks, Tone::Phase), [2_000, 3_000, 6_000, 7_000, 10_000, 11_000]);
    // A deadlift begins with the lift: 1 s up, then 2 s down and 1 s of pause.
    let schedule = guided([2, 1, 1, 0], FirstPhase::Lift, Sides::Together, 12);
    let lifted = class::cue::clicks(&schedule, Tick::ZERO, &SpeechSettings::default());
    assert_eq!(at(&lifted, Tone::Phase), [1_000, 3_000, 5_000, 7_000, 9_000, 11_000]);
}

/// 40 s with a switch of 2 s are 19 s on each side: four repetitions of 4 s. The count begins again on the right at 21
/// s.
#[test]
fn each_side_begins_its_own() {
    let schedule = guided([2, 0, 2, 0], FirstPhase::Lower, Sides::LeftThenRight, 40);
    let clicks = clicks(&schedule, Tick::ZERO, &SpeechSettings::default());
    assert_eq!(at(&clicks, Tone::Rep), [4_000, 8_000, 12_000, 21_000, 25_000, 29_000, 33_000]);
    assert!(at(&clicks, Tone::Phase).iter().all(|at| (2_000..=14_000).contains(at) || (23_000..=35_000).contains(at)));
}

#[test]
fn a_file_asks_for_clicks_and_none_sound_unasked() {
    let text = |click: &str| {
        format!(
            r#"(title: "T", {click} blocks: [(name: "A", work: "30s", stations: ["squat", (move: "squat", click: false), "plank"])])"#
        )
    };
    let count = |click: &str| {
        let session = read(&text(click), Catalogue::built_in()).session.unwrap();
        let schedule = compile(Arc::new(session));
        let tones = |event: &&ScheduleEvent| matches!(event.what, EventContent::Tone(Tone::Rep | Tone::Phase));
        assert_eq!(schedule.events.iter().filter(tones).count(), 0, "clicks are not among the events of a schedule");
        clicks(&schedule, Tick::ZERO, &SpeechSettings::default()).iter().map(|event| event.span).max()
    };
    assert_eq!(count(""), None);
    assert_eq!(count("click: true,"), Some(0), "no clicks where the station turns them off, or without a tempo");
}

/// In a led class, clicks are played in order with the other sounds. At the level `silent` there are none.
#[test]
fn the_conductor_sounds_them_where_tones_sound() {
    let played = |level: Option<SpeechLevel>| {
        let schedule = guided([2, 1, 1, 0], FirstPhase::Lower, Sides::Together, 12);
        let mut clock = SteppedClock::new("2026-01-10T18:00:00+00:00[UTC]".parse().unwrap());
        let opening =
            ClassOpening { voicing: SpeechSettings { level, ..SpeechSettings::default() }, ..ClassOpening::default() };
        let mut conductor = Conductor::new(schedule, opening, clock.read());
        let effects = conductor.step(clock.read(), &[StepInput::Press(LeadCommand::Go)]);
        let events = effects.into_iter().find_map(|effect| match effect {
            StepEffect::Play(sounding) => Some(sounding.events),
            _ => None,
        });
        events.unwrap()
    };
    let events = played(None);
    assert!(events.is_sorted_by_key(|event| event.at));
    assert_eq!(at(&events, Tone::Rep), [4_000, 8_000]);
    assert_eq!(at(&played(Some(SpeechLevel::Silent)), Tone::Rep), [] as [u64; 0]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// Every click is at the beginning of a phase, and no other sound is near it.
    #[test]
    fn clicks_are_where_phases_begin_and_nothing_sounds(
        session in any_session(),
        counts in prop::array::uniform4(0..4u8),
        starts in prop::sample::select(vec![FirstPhase::Lower, FirstPhase::Lift]),
    ) {
        prop_assume!(counts != [0; 4]);
        let tempo = Tempo { counts };
        let mut session = (*session).clone();
        for station in session.blocks.iter_mut().flat_map(|block| &mut block.stations) {
            station.click = true;
            station.tempo = Some(tempo);
            let mut movement = (*station.movement).clone();
            movement.guide = Some(TempoGuide { tempo, starts, lower: "lower".into(), lift: "lift".into() });
            station.movement = Arc::new(movement);
        }
        let mut schedule = compile(Arc::new(session));
        let voicing = SpeechSettings::default();
        plan_and_insert_cues(&mut schedule, Tick::ZERO, &voicing);
        let clicks = clicks(&schedule, Tick::ZERO, &voicing);
        let ends = |event: &ScheduleEvent| event.at + match &event.what {
            EventContent::Tone(tone) => tone_length(*tone),
            EventContent::Call(call) => voicing.lengths.of(call_words(*call)),
            EventContent::Cue(cue) => cue.length,
        };
        for click in &clicks {
            let span = &schedule.spans[click.span];
            prop_assert!(span.start <= click.at && ends(click) <= span.end + Tick(25));
            for event in &schedule.events {
                let apart = ends(event) + CLEAR <= click.at || ends(click) + CLEAR <= event.at;
                prop_assert!(apart, "{click:?} in {event:?}");
            }
            // Count phase by phase from the beginning of this side.
            let begins = span.right_start().filter(|right| click.at >= *right).unwrap_or(span.work_start());
            let order = if starts == FirstPhase::Lower { [0, 1, 2, 3] } else { [2, 3, 0, 1] };
            let (mut at, mut phase) = (begins, 0);
            while at < click.at {
                at += Tick::seconds(u64::from(counts[order[phase % 4]]));
                phase += 1;
            }
            while counts[order[phase % 4]] == 0 {
                phase += 1;
            }
            prop_assert_eq!(at, click.at);
            let first = order.iter().position(|&phase| counts[phase] > 0).unwrap();
            prop_assert_eq!(click.what == EventContent::Tone(Tone::Rep), phase % 4 == first);
        }
    }
}
