//! Plain lists: usual ones and arbitrary texts.

use class::check::check;
use class::movement::{Catalogue, Sides};
use class::schedule::compile;
use class::session::list::{ListedBlock, ListedFormat, ListedStation, MovementList, NameMatch, read_list};
use class::session::write::{SessionHeading, write_session};
use class::session::{BlockKind, parse, read};
use class::time::Tick;
use proptest::prelude::*;
use std::sync::Arc;

fn list(text: &str) -> MovementList {
    read_list(text, Catalogue::built_in())
}

fn only_block(text: &str) -> ListedBlock {
    let list = list(text);
    assert_eq!(list.remarks, []);
    assert_eq!(list.blocks.len(), 1, "{text}");
    list.blocks.into_iter().next().unwrap()
}

fn only_station(line: &str) -> ListedStation {
    let block = only_block(line);
    assert_eq!(block.stations.len(), 1, "{line}");
    block.stations.into_iter().next().unwrap()
}

fn id(station: &ListedStation) -> &str {
    match &station.found {
        NameMatch::Named(movement) | NameMatch::Guessed(movement) => &movement.id,
        NameMatch::Unknown => "",
    }
}

#[test]
fn a_heading_says_how_a_block_is_done() {
    let at = Tick::seconds;
    for (heading, work, rest, rounds, form) in [
        ("50s, rest 10s, 2 rounds", 50, 10, 2, ListedFormat::Circuit),
        ("Legs: 50s, rest 10s, 2 rounds", 50, 10, 2, ListedFormat::Circuit),
        ("LEGS: work 50 s; 10 sec rest; 2 Rounds", 50, 10, 2, ListedFormat::Circuit),
        ("1 minute, 30s off, 3x rounds", 60, 30, 3, ListedFormat::Circuit),
        ("1:30, rest 0:45", 90, 45, 1, ListedFormat::Circuit),
        ("40/20", 40, 20, 1, ListedFormat::Circuit),
        ("8 x 20/10", 20, 10, 1, ListedFormat::Intervals(8)),
        ("40s, 3 sets", 40, 20, 3, ListedFormat::Sets),
        ("emom, 40s, 5 rounds", 40, 20, 5, ListedFormat::Emom),
        ("rotation, 2m, rest 30s", 120, 30, 1, ListedFormat::Rotation),
    ] {
        let block = only_block(&format!("{heading}\nsquat\npush-up"));
        assert_eq!(
            (block.work, block.rest, block.rounds, block.form),
            (Some(at(work)), at(rest), rounds, form),
            "{heading}"
        );
        assert_eq!(block.stations.len(), 2, "{heading}");
    }
    assert_eq!(only_block("amrap 8m\nsquat").form, ListedFormat::Amrap(at(480)));
    assert_eq!(only_block("12 reps\nsquat").reps, Some(12));
    assert_eq!(only_block("40s, rest after 90s\nsquat").rest_after, at(90));
}

#[test]
fn names_give_the_kinds_of_blocks() {
    for (heading, kind) in [
        ("Warm up", BlockKind::WarmUp),
        ("Warm-up:", BlockKind::WarmUp),
        ("warm: 40s", BlockKind::WarmUp),
        ("COOL DOWN", BlockKind::CoolDown),
        ("Stretches: 1m", BlockKind::CoolDown),
        ("Legs:", BlockKind::Main),
    ] {
        assert_eq!(only_block(&format!("{heading}\nsquat")).kind, kind, "{heading}");
    }
}

#[test]
fn a_line_may_give_its_own_settings() {
    for (line, movement, work, reps, sides) in [
        ("squat", "squat", None, None, None),
        ("- squat", "squat", None, None, None),
        ("3. Squats", "squat", None, None, None),
        ("squat 45s", "squat", Some(45), None, None),
        ("squat, 1 min", "squat", Some(60), None, None),
        ("squat x 12", "squat", None, Some(12), None),
        ("squat x12", "squat", None, Some(12), None),
        ("12 squats", "squat", None, Some(12), None),
        ("12 x squat", "squat", None, Some(12), None),
        ("squat 12 reps", "squat", None, Some(12), None),
        ("split squat, each side", "split-squat", None, None, Some(Sides::LeftThenRight)),
        ("split squat 45s each side", "split-squat", Some(45), None, Some(Sides::LeftThenRight)),
        ("one-arm row 10 per side", "row-one-arm", None, Some(10), Some(Sides::LeftThenRight)),
        ("step up, alternating", "step-up", None, None, Some(Sides::Alternating)),
    ] {
        let station = only_station(line);
        assert_eq!(
            (id(&station), station.work, station.reps, station.sides),
            (movement, work.map(Tick::seconds), reps, sides),
            "{line}"
        );
    }
}

#[test]
fn a_misspelt_name_is_a_guess_and_an_unknown_one_is_kept() {
    assert!(matches!(only_station("split squat").found, NameMatch::Named(_)));
    assert!(matches!(only_station("splt sqaut").found, NameMatch::Guessed(_)));
    assert_eq!(id(&only_station("splt sqaut")), "split-squat");
    let strange = only_station("sled drag");
    assert_eq!((strange.found, strange.written.as_str()), (NameMatch::Unknown, "sled drag"));
}

#[test]
fn only_names_and_kit_make_a_guess() {
    // Words of an unknown name also occur in muscles, patterns or parts of other names. They do not make a guess.
    for line in ["oar pulls", "sled push", "rope climb", "quadriceps", "weighted dragon flags"] {
        assert_eq!(only_station(line).found, NameMatch::Unknown, "{line}");
    }
    for (line, movement) in
        [("march", "march-tall"), ("kettlebell dedlift", "bell-deadlift"), ("band rows", "row-band-standing")]
    {
        assert_eq!(id(&only_station(line)), movement, "{line}");
    }
}

#[test]
fn a_heading_needs_no_colon() {
    for (heading, name, kind, work, rest) in [
        ("Warm-up 30s", "Warm-up", BlockKind::WarmUp, 30, 0),
        ("cool down, 30s, rest 5s", "cool down", BlockKind::CoolDown, 30, 5),
        ("Legs, 45s, rest 15s", "Legs", BlockKind::Main, 45, 15),
    ] {
        let block = only_block(&format!("{heading}\nsquat"));
        assert_eq!((block.name.as_str(), block.kind), (name, kind));
        assert_eq!((block.work, block.rest), (Some(Tick::seconds(work)), Tick::seconds(rest)), "{heading}");
    }
    // A movement with its own length, or with a comma in its name, does not begin a block.
    assert_eq!(id(&only_station("Row, bent over, 45s")), "row-bent-over");
    assert_eq!(only_block("squat, 45s\nplank").stations.len(), 2);
}

#[test]
fn a_first_line_with_a_hash_is_the_title() {
    assert_eq!(list("# Frost and oars\n\nsquat").title.as_deref(), Some("Frost and oars"));
    assert_eq!(list("squat\n# a note").title, None);
    assert_eq!(list("#\nsquat").title, None);
}

/// A movement that is held, carried or thrown has no tempo, so a number of repetitions becomes a time.
#[test]
fn repetitions_of_a_throw_become_the_time_they_take() {
    for text in ["20 swings", "20 reps\nswings", "one-arm swing 10 per side"] {
        let text = write_session(&SessionHeading::default(), &list(text));
        assert!(text.contains("work: \"40s\"") && !text.contains("tempo"), "{text}");
    }
    assert_eq!(findings(&list("12 reps\nswings\nplank\nsquat\nsled drag\nsuitcase carry")), [""; 0]);
}

#[test]
fn blank_lines_separate_blocks_and_notes_are_skipped() {
    let list = list("# for Thursday\nsquat\n\n\n// no kit\nLegs: 30s\n\nTrunk:\nplank\nCool down:\ncat cow\n\n***\n");
    let names: Vec<(&str, usize)> =
        list.blocks.iter().map(|block| (block.name.as_str(), block.stations.len())).collect();
    assert_eq!(names, [("Block A", 1), ("Trunk", 1), ("Cool down", 1)]);
}

/// Writes a session from a list, reads it back, compiles it and returns its findings.
fn findings(list: &MovementList) -> Vec<String> {
    let heading = SessionHeading { title: "Listed".into(), slot: None, people: None, ..SessionHeading::default() };
    let text = write_session(&heading, list);
    let reading = read(&text, Catalogue::built_in());
    let mut faults = reading.faults;
    let session = reading.session.unwrap_or_else(|| panic!("{faults:?}\n{text}"));
    faults.extend(check(&compile(Arc::new(session))));
    faults.iter().map(|fault| fault.message.clone()).collect()
}

#[test]
fn the_starter_and_an_everyday_list_have_no_finding() {
    assert_eq!(findings(&MovementList::starter(Catalogue::built_in())), [""; 0]);
    let everyday = list(
        "Warm up: 40s\nmarch tall\narm sweeps\n\nLegs: 45s, rest 15s, 2 rounds\ndeadlift\nsplit squat\nsled drag\n",
    );
    assert_eq!(findings(&everyday), [""; 0]);
}

/// A line as somebody might write it, or an arbitrary one.
fn any_line() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        "[ -~]{0,40}",
        "\\PC{0,30}",
        prop::sample::select(vec![
            "squat",
            "12 squats",
            "8 x 20/10",
            "Legs: 45s, rest 15s",
            "plank 1m each side",
            "amrap 8m",
            "emom",
            "x",
            ":",
            "rest",
            "\"quoted\", (round) \\ back",
            "name: \"a\"",
            "10 reps each side",
            "- - 5) push up",
            "0 rounds",
            "999999999 reps",
        ])
        .prop_map(String::from),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// The session that is written from any list can be read again and has every block and station.
    #[test]
    fn any_list_is_written_as_a_session_that_can_be_read(lines in prop::collection::vec(any_line(), 0..20), title in "\\PC{1,40}") {
        let list = list(&lines.join("\n"));
        let text = write_session(&SessionHeading { title, slot: None, people: Some(4), ..SessionHeading::default() }, &list);
        let written = parse(&text).map_err(|error| TestCaseError::fail(format!("{error}\n{text}")))?;
        let stations: Vec<usize> = written.blocks.iter().map(|block| block.stations.len()).collect();
        prop_assert_eq!(stations, list.blocks.iter().map(|block| block.stations.len()).collect::<Vec<_>>());
    }
}
