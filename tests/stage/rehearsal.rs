//! Rehearsals of the changeovers of a class, on a stepped clock.

use std::time::Duration;

use class::cue::SpeechSettings;
use class::movement::Catalogue;
use class::schedule::{Activity, ChangeoverCosts, GROUP, SampleSubject, SpanPurpose};
use class::session::read;
use class::session_draft::SessionDraft;
use class::time::Tick;
use stage::rehearse::{Rehearsal, RehearsalSettings, RehearsalStage, RehearsalWindow, RehearseCommand, boundaries};
use stage::runtime::{Clock, RunEnding, StepEffect, StepInput, SteppedClock};

const SETTINGS: RehearsalSettings = RehearsalSettings {
    window: RehearsalWindow { before: Tick::seconds(15), after: Tick::seconds(10) },
    all: true,
    who: SampleSubject::Coach,
    group: GROUP,
};

fn clock() -> SteppedClock {
    SteppedClock::new("2026-11-25T18:00:00+00:00[UTC]".parse().unwrap())
}

fn demos() -> Vec<(String, String)> {
    let files = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../sessions"))
        .unwrap()
        .map(|file| file.unwrap().path());
    let mut demos: Vec<_> = files
        .map(|path| (path.file_stem().unwrap().to_str().unwrap().to_owned(), std::fs::read_to_string(path).unwrap()))
        .collect();
    demos.sort();
    demos
}

fn rehearsal(text: &str, clock: &mut SteppedClock) -> Rehearsal<'static> {
    let draft = SessionDraft::new(text.to_owned(), Catalogue::built_in(), ChangeoverCosts::ESTIMATED).unwrap();
    Rehearsal::new(draft, SpeechSettings::default(), SETTINGS, clock.read()).unwrap()
}

fn press(rehearsal: &mut Rehearsal, clock: &mut SteppedClock, press: RehearseCommand) -> Vec<StepEffect> {
    rehearsal.step(clock.read(), &[StepInput::Press(press)])
}

fn pass(rehearsal: &mut Rehearsal, clock: &mut SteppedClock, ms: u64) -> Vec<StepEffect> {
    clock.step(Duration::from_millis(ms));
    rehearsal.step(clock.read(), &[])
}

const TWO: &str = r#"(title: "Two", blocks: [
    (name: "Legs", work: "40s", rest: "10s", rounds: 2, round_rest: "20s", stations: [
        "squat", // heels down
        (move: "plank", rest: "15s"),
    ]),
    (name: "Arms", work: "30s", stations: ["push-up", "band-pull-apart"]),
])"#;

#[test]
fn each_transition_is_shown_from_before_its_boundary_to_after_it() {
    for (name, text) in demos() {
        let mut clock = clock();
        let mut rehearsal = rehearsal(&text, &mut clock);
        let schedule = rehearsal.moment().schedule.clone();
        let all = boundaries(&schedule, true);
        press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
        for (index, boundary) in all.iter().enumerate() {
            let view = rehearsal.moment();
            assert_eq!((view.index, view.count, view.boundary), (index, all.len(), *boundary), "{name}");
            assert_eq!(view.now, boundary.at.saturating_sub(Tick::seconds(15)), "{name}");
            assert_eq!(schedule.spans[boundary.before].end, boundary.at);
            let until = boundary.at - view.now;
            pass(&mut rehearsal, &mut clock, until.0);
            pass(&mut rehearsal, &mut clock, 4_200);
            press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
            assert_eq!(rehearsal.moment().took, Some(Tick(4_200)), "{name}");
            let left = schedule.total().saturating_sub(boundary.at + Tick(4_200)).0.min(5_800);
            pass(&mut rehearsal, &mut clock, left);
        }
        assert_eq!(rehearsal.moment().stage, RehearsalStage::Table, "{name}");
        let (rows, outcome) = (rehearsal.table(), rehearsal.outcome());
        assert_eq!((rows.len(), outcome.samples.len(), outcome.write), (all.len(), all.len(), None));
        for row in rows {
            assert_eq!((row.took, row.group), (Some(Tick(4_200)), Some(Tick(6_300))), "{name} {}", row.place);
            assert_eq!(row.is_tight(), row.given < Tick(6_300));
        }
    }
}

/// No boundary is missed, whatever the class is made of.
#[test]
fn every_change_of_movement_has_its_boundary() {
    for (_, text) in demos() {
        let mut clock = clock();
        let rehearsal = rehearsal(&text, &mut clock);
        let schedule = rehearsal.moment().schedule;
        let work: Vec<_> = schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work).collect();
        let changes = work.windows(2).filter(|pair| !pair[1].gate && pair[1].change.needs > Tick::ZERO).count();
        let costly = boundaries(schedule, true).iter().filter(|boundary| boundary.needs > Tick::ZERO).count();
        assert_eq!(costly, changes);
    }
}

#[test]
fn who_is_not_ready_is_waited_for_and_then_left_unmeasured() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    pass(&mut rehearsal, &mut clock, 15_000 + 29_999);
    assert_eq!(rehearsal.moment().index, 0);
    pass(&mut rehearsal, &mut clock, 1);
    assert_eq!((rehearsal.moment().index, rehearsal.moment().took), (1, None));
    assert_eq!(rehearsal.table()[0].took, None);
}

#[test]
fn ready_before_the_boundary_is_not_counted() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    pass(&mut rehearsal, &mut clock, 14_000);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    assert_eq!(rehearsal.moment().took, None);
    assert!(rehearsal.moment().message.is_some());
    pass(&mut rehearsal, &mut clock, 1_000);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    assert_eq!(rehearsal.moment().took, Some(Tick::ZERO));
}

#[test]
fn back_again_and_next_begin_a_transition_anew() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    let begins = rehearsal.moment().now;
    pass(&mut rehearsal, &mut clock, 9_000);
    press(&mut rehearsal, &mut clock, RehearseCommand::Again);
    assert_eq!((rehearsal.moment().index, rehearsal.moment().now), (0, begins));
    press(&mut rehearsal, &mut clock, RehearseCommand::Next);
    assert_eq!(rehearsal.moment().index, 1);
    press(&mut rehearsal, &mut clock, RehearseCommand::Back);
    assert_eq!((rehearsal.moment().index, rehearsal.moment().now), (0, begins));
    press(&mut rehearsal, &mut clock, RehearseCommand::Back);
    assert_eq!(rehearsal.moment().index, 0);
}

#[test]
fn a_hold_is_no_part_of_what_is_measured() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    pass(&mut rehearsal, &mut clock, 17_000);
    press(&mut rehearsal, &mut clock, RehearseCommand::Pause);
    pass(&mut rehearsal, &mut clock, 60_000);
    press(&mut rehearsal, &mut clock, RehearseCommand::Pause);
    pass(&mut rehearsal, &mut clock, 3_000);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    assert_eq!(rehearsal.moment().took, Some(Tick::seconds(5)));
}

#[test]
fn only_what_lies_ahead_in_its_part_sounds() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    let effects = press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    let [StepEffect::Play(sounding)] = effects.as_slice() else { panic!("{effects:?}") };
    assert_eq!((sounding.from, sounding.after), (Tick::seconds(25), Duration::ZERO));
    assert!(!sounding.events.is_empty());
    assert!(sounding.events.iter().all(|event| event.at >= Tick::seconds(25) && event.at < Tick::seconds(70)));
    assert_eq!(press(&mut rehearsal, &mut clock, RehearseCommand::Mute), [StepEffect::Hush]);
    let effects = press(&mut rehearsal, &mut clock, RehearseCommand::Next);
    assert!(effects.is_empty(), "muted: {effects:?}");
}

/// Each kind of rest is written where the format reads it, and nowhere else.
#[test]
fn rest_is_added_where_it_is_taken_from() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    let expected = [
        // Squat to plank: the squat's own rest.
        (0, "(move: \"squat\", rest: \"15s\"), // heels down", Tick::seconds(5)),
        // Plank to squat: the round is over.
        (1, "round_rest: \"25s\"", Tick::seconds(5)),
        // The block is over.
        (3, "rest_after: \"5s\"", Tick::seconds(5)),
    ];
    for (index, written, more) in expected {
        press(&mut rehearsal, &mut clock, RehearseCommand::Again);
        while rehearsal.moment().index < index {
            press(&mut rehearsal, &mut clock, RehearseCommand::Next);
        }
        while rehearsal.moment().index > index {
            press(&mut rehearsal, &mut clock, RehearseCommand::Back);
        }
        let before = rehearsal.moment().boundary;
        press(&mut rehearsal, &mut clock, RehearseCommand::MoreRest);
        let view = rehearsal.moment();
        assert_eq!((view.index, view.changes), (index, 1), "{:?}", view.message);
        let rest = |boundary: stage::rehearse::Boundary, rehearsal: &Rehearsal| {
            let spans = &rehearsal.moment().schedule.spans;
            spans[boundary.before + 1..boundary.after].iter().map(|span| span.length()).sum::<Tick>()
        };
        let after = rest(view.boundary, &rehearsal);
        rehearsal_ends_with(&mut rehearsal, &mut clock, written);
        press(&mut rehearsal, &mut clock, RehearseCommand::Back);
        press(&mut rehearsal, &mut clock, RehearseCommand::Undo);
        assert_eq!(after, rest(before, &rehearsal) + more);
        assert_eq!(rehearsal.moment().changes, 0);
    }
}

/// Ends the rehearsal at its table and checks that the text to write contains `written`.
fn rehearsal_ends_with(rehearsal: &mut Rehearsal, clock: &mut SteppedClock, written: &str) {
    press(rehearsal, clock, RehearseCommand::Quit);
    assert_eq!(rehearsal.moment().stage, RehearsalStage::Table);
    press(rehearsal, clock, RehearseCommand::Yes);
    let text = rehearsal.outcome().write.unwrap();
    assert!(text.contains(written), "{text}");
}

#[test]
fn a_station_moves_and_the_rehearsal_goes_along() {
    let mut clock = clock();
    let mut rehearsal = rehearsal(TWO, &mut clock);
    press(&mut rehearsal, &mut clock, RehearseCommand::Ready);
    let to = |rehearsal: &Rehearsal| {
        let view = rehearsal.moment();
        let after = &view.schedule.spans[view.boundary.after];
        view.schedule.station_of(after).unwrap().movement.id.clone()
    };
    assert_eq!(to(&rehearsal), "plank");
    press(&mut rehearsal, &mut clock, RehearseCommand::Later);
    assert_eq!(rehearsal.moment().changes, 0, "the station is the last already");
    press(&mut rehearsal, &mut clock, RehearseCommand::Earlier);
    assert_eq!(rehearsal.moment().changes, 1);
    press(&mut rehearsal, &mut clock, RehearseCommand::Quit);
    press(&mut rehearsal, &mut clock, RehearseCommand::Yes);
    let text = rehearsal.outcome().write.unwrap();
    let session = read(&text, Catalogue::built_in()).session.unwrap();
    let ids: Vec<_> = session.blocks[0].stations.iter().map(|station| station.movement.id.as_str()).collect();
    assert_eq!(ids, ["plank", "squat"]);
    assert!(text.contains("\"squat\", // heels down"), "{text}");
}

#[test]
fn nothing_is_written_unless_the_coach_says_so() {
    let mut clock = clock();
    for answer in [RehearseCommand::No, RehearseCommand::Interrupt, RehearseCommand::Ready] {
        let mut rehearsal = rehearsal(TWO, &mut clock);
        press(&mut rehearsal, &mut clock, RehearseCommand::MoreRest);
        press(&mut rehearsal, &mut clock, RehearseCommand::Quit);
        let effects = press(&mut rehearsal, &mut clock, answer);
        assert_eq!(
            effects == [StepEffect::End(RunEnding::Done)],
            answer != RehearseCommand::Ready,
            "space does not answer a question"
        );
        assert_eq!(rehearsal.outcome().write, None);
    }
}

/// Random presses in classes of every format: the rehearsal never fails, its place stays a changeover of the class, and
/// the text to write makes a class.
#[test]
fn any_presses_leave_a_class() {
    use RehearseCommand::*;
    let presses = [Ready, Next, Back, Again, Tight, MoreRest, LessRest, Earlier, Later, Undo, Redo, Pause, Mute, Quit];
    let mut seed = 7u64;
    let mut random = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    for (name, text) in demos() {
        let mut clock = clock();
        let mut rehearsal = rehearsal(&text, &mut clock);
        for _ in 0..200 {
            pass(&mut rehearsal, &mut clock, random(20_000) as u64);
            let pressed = presses[random(presses.len())];
            press(&mut rehearsal, &mut clock, pressed);
            let view = rehearsal.moment();
            assert!(view.index < view.count, "{name}");
            assert_eq!(boundaries(view.schedule, true)[view.index], view.boundary, "{name} {pressed:?}");
            assert_ne!(view.schedule.spans[view.boundary.after].activity, Activity::Nothing);
        }
        press(&mut rehearsal, &mut clock, Quit);
        press(&mut rehearsal, &mut clock, Yes);
        if let Some(text) = rehearsal.outcome().write {
            assert!(read(&text, Catalogue::built_in()).session.is_some(), "{name}");
        }
    }
}
