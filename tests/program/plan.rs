//! Planning a class: every key step by step, the screen at several sizes, the file while another program changes it,
//! and the real binary in a pseudo-terminal, killed at any moment.
#![cfg(unix)]

use crate::cells;
use crate::pty;
use crate::svg;

use std::time::{Duration, Instant};

use class::change::Course;
use class::check::PastClasses;
use class::movement::{Catalogue, Sides};
use class::schedule::{ChangeoverCosts, compile};
use class::session::fault::Severity;
use class::session::{Session, WorkAmount, read};
use class::session_draft::SessionDraft;
use class::time::Tick;
use proptest::prelude::*;
use pty::{Home, Term, binary};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use rustix::process::Signal;
use stage::drawing::{ColourDepth, ScreenTheme};
use stage::plan::screen as picture;
use stage::plan::{FinderFilter, KeyStroke, PlanEditor, PlanFocus, PlanInput, PlanRow, merge};
use stage::runtime::{Application, Clock, RunEnding, StepEffect, StepInput, SteppedClock};

/// A class with every kind of comment that an edit could lose.
const CLASS: &str = "// Quay
(title: \"Quay test\", slot: \"10m\", people: 8, blocks: [
    // legs first
    (name: \"Legs\", work: \"40s\", rest_after: \"30s\", stations: [
        \"squat\", // heels down
        (move: \"bell-deadlift\", rest: \"15s\"),
    ]), /* and then */
    (name: \"Arms\", work: \"30s\", rounds: 2, round_rest: \"20s\", stations: [
        \"push-up\",
        \"band-pull-apart\", // slow
    ]),
]) // end
";

fn planning(text: &str) -> PlanEditor<'static> {
    let draft = SessionDraft::new(text.to_owned(), Catalogue::built_in(), ChangeoverCosts::ESTIMATED).unwrap();
    let past = PastClasses { today: "2026-11-25".parse().unwrap(), nights: 2, classes: vec![] };
    PlanEditor::new(draft, Catalogue::built_in(), past)
}

fn step(planning: &mut PlanEditor, event: PlanInput) -> Vec<StepEffect> {
    let mut clock = SteppedClock::new("2026-11-25T18:00:00+00:00[UTC]".parse().unwrap());
    planning.step(clock.read(), &[StepInput::Press(event)])
}

fn strike(planning: &mut PlanEditor, strokes: &[KeyStroke]) -> Vec<StepEffect> {
    strokes.iter().flat_map(|stroke| step(planning, PlanInput::Key(*stroke))).collect()
}

/// Letters as they are typed.
fn letters(text: &str) -> Vec<KeyStroke> {
    text.chars().map(KeyStroke::Letter).collect()
}

fn to(planning: &mut PlanEditor, row: PlanRow) {
    strike(planning, &[KeyStroke::Home]);
    let at = planning.rows().iter().position(|one| *one == row).unwrap();
    strike(planning, &vec![KeyStroke::Down; at]);
    assert_eq!(planning.row(), row);
}

fn text(planning: &PlanEditor) -> String {
    planning.to_save().unwrap().to_owned()
}

fn session(text: &str) -> Session {
    read(text, Catalogue::built_in()).session.unwrap()
}

fn demos() -> Vec<String> {
    let mut files: Vec<_> = std::fs::read_dir("sessions").unwrap().map(|file| file.unwrap().path()).collect();
    files.sort();
    files.into_iter().map(|file| std::fs::read_to_string(file).unwrap()).collect()
}

#[test]
fn each_key_makes_its_own_change_and_no_other() {
    let one = |row, keys: &str, from: &str, into: &str| {
        let mut planning = planning(CLASS);
        to(&mut planning, row);
        strike(&mut planning, &letters(keys));
        assert_eq!(text(&planning), CLASS.replacen(from, into, 1), "{row:?} {keys}: {:?}", planning.message());
    };
    let squat = PlanRow::Station(0, 0);
    one(squat, "+", "\"squat\",", "(move: \"squat\", work: \"45s\"),");
    one(squat, "---", "\"squat\",", "(move: \"squat\", work: \"25s\"),");
    one(squat, ">", "\"squat\",", "(move: \"squat\", rest: \"5s\"),");
    one(squat, "s", "\"squat\",", "(move: \"squat\", sides: alternating),");
    one(PlanRow::Station(0, 1), "<", "rest: \"15s\"", "rest: \"10s\"");
    one(PlanRow::Block(0), "+", "work: \"40s\"", "work: \"45s\"");
    one(PlanRow::Block(0), ">", "rest_after: \"30s\"", "rest_after: \"35s\"");
    one(PlanRow::Station(1, 0), "3", "rounds: 2", "rounds: 3");
    one(PlanRow::Block(0), "2", "\"Legs\",", "\"Legs\", rounds: 2,");
    one(PlanRow::Class, "+", "\"10m\"", "\"11m\"");
    one(squat, "x", "        \"squat\", // heels down\n", "");
}

#[test]
fn texts_are_typed_and_removed_again() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 1));
    strike(&mut planning, &letters("p"));
    assert!(matches!(planning.focus(), PlanFocus::Line(_)));
    strike(&mut planning, &[KeyStroke::Delete]);
    strike(&mut planning, &letters("long back; \"push\" the floor"));
    strike(&mut planning, &[KeyStroke::Enter]);
    let typed = "rest: \"15s\", prompts: [\"long back\", \"\\\"push\\\" the floor\"])";
    assert_eq!(text(&planning), CLASS.replace("rest: \"15s\")", typed));
    strike(&mut planning, &[KeyStroke::Letter('e'), KeyStroke::Delete]);
    strike(&mut planning, &letters("no bell"));
    strike(&mut planning, &[KeyStroke::Escape]);
    assert_eq!(text(&planning), CLASS.replace("rest: \"15s\")", typed));
    strike(&mut planning, &[KeyStroke::Letter('p'), KeyStroke::Delete, KeyStroke::Enter]);
    assert_eq!(text(&planning), CLASS);
    // An empty field that stays empty is no change.
    let changes = planning.changes();
    strike(&mut planning, &[KeyStroke::Letter('n'), KeyStroke::Enter]);
    assert_eq!(planning.changes(), changes);
    strike(&mut planning, &letters("nmats out"));
    strike(&mut planning, &[KeyStroke::Enter]);
    assert_eq!(session(&text(&planning)).blocks[0].note.as_deref(), Some("mats out"));
}

#[test]
fn a_typed_text_is_written_in_the_form_of_the_file_and_undone() {
    let squat = PlanRow::Station(0, 0);
    for (row, key, typed, from, into) in [
        (PlanRow::Class, 'w', "Low tide", "\"Quay test\"", "\"Low tide\""),
        (PlanRow::Class, 'd', "20", "slot: \"10m\"", "slot: \"20m\""),
        (PlanRow::Class, 'd', "12m30s", "slot: \"10m\"", "slot: \"12m30s\""),
        (PlanRow::Class, 'g', "9", "people: 8", "people: 9"),
        (
            PlanRow::Class,
            'k',
            "light kettlebells, 2 bands each, 4 boxes",
            "people: 8,",
            "people: 8, kit: [(item: \"kettlebell\", load: light, each: 1), (item: \"band\", each: 2), (item: \"box\", shared: 4)],",
        ),
        (PlanRow::Block(1), 'w', "Pull", "\"Arms\"", "\"Pull\""),
        (PlanRow::Block(1), 'd', "50s", "work: \"30s\"", "work: \"50s\""),
        (PlanRow::Block(0), 'c', "3-1-1-0", "name: \"Legs\",", "name: \"Legs\", tempo: \"3-1-1-0\","),
        (squat, 'c', "4-0-1-0", "\"squat\",", "(move: \"squat\", tempo: \"4-0-1-0\"),"),
        (squat, 'd', "1:10", "\"squat\",", "(move: \"squat\", work: \"1m10s\"),"),
        (squat, 'd', "12", "\"squat\",", "(move: \"squat\", reps: 12),"),
        (squat, 'w', "SIT", "\"squat\",", "(move: \"squat\", short: \"SIT\"),"),
        (
            PlanRow::Station(0, 1),
            'k',
            "2 heavy kettlebells, mat",
            "rest: \"15s\"",
            "rest: \"15s\", kit: [(item: \"kettlebell\", load: heavy, count: 2), \"mat\"]",
        ),
    ] {
        let mut planning = planning(CLASS);
        to(&mut planning, row);
        strike(&mut planning, &[KeyStroke::Letter(key), KeyStroke::Delete]);
        strike(&mut planning, &letters(typed));
        strike(&mut planning, &[KeyStroke::Enter]);
        // New fields of a record are where the edits put them.
        let now = text(&planning);
        let wanted = session(&CLASS.replacen(from, into, 1));
        assert_eq!(session(&now), wanted, "{row:?} {key} {typed}: {:?}\n{now}", planning.message());
        for kept in ["// Quay", "// legs first", "// heels down", "/* and then */", "// slow", "// end"] {
            assert!(now.contains(kept), "{row:?} {key}: {now}");
        }
        // Opening the field and pressing Enter changes nothing.
        strike(&mut planning, &[KeyStroke::Letter(key), KeyStroke::Enter]);
        assert_eq!(text(&planning), now);
        strike(&mut planning, &letters("u"));
        assert_eq!(text(&planning), CLASS);
    }
}

#[test]
fn an_invalid_text_is_not_written_and_the_reason_is_shown() {
    for (row, key, typed, why) in [
        (PlanRow::Class, 'g', "many", "whole number"),
        (PlanRow::Class, 'k', "kettelbell", "did you mean kettlebell"),
        (PlanRow::Class, 'd', "soon", "soon"),
        (PlanRow::Class, 'w', "", "title"),
        (PlanRow::Station(0, 0), 'c', "fast", "fast"),
        (PlanRow::Station(0, 0), 'd', "0s", "zero"),
    ] {
        let mut planning = planning(CLASS);
        to(&mut planning, row);
        strike(&mut planning, &[KeyStroke::Letter(key), KeyStroke::Delete]);
        strike(&mut planning, &letters(typed));
        strike(&mut planning, &[KeyStroke::Enter]);
        let said = planning.message().unwrap_or_default().to_owned();
        assert_eq!((text(&planning).as_str(), planning.changes()), (CLASS, 0), "{key} {typed}");
        assert!(said.starts_with("Not changed: ") && said.contains(why), "{key} {typed}: {said}");
    }
    // A block has no kit of its own, and a station has no people.
    for (row, key) in [(PlanRow::Block(0), 'k'), (PlanRow::Station(0, 0), 'g')] {
        let mut planning = planning(CLASS);
        to(&mut planning, row);
        strike(&mut planning, &[KeyStroke::Letter(key)]);
        assert_eq!((planning.focus(), planning.message().is_some()), (&PlanFocus::Class, true));
    }
}

/// A length that the format does not use is not written: the file would say what the class does not do.
#[test]
fn lengths_without_effect_in_a_format_are_refused_with_the_reason() {
    const FORMATS: &str = "(title: \"F\", slot: \"40m\", blocks: [
        (name: \"L\", format: ladder(rungs: [\"20s\", \"30s\"]), stations: [\"squat\", \"push-up\"]),
        (name: \"E\", format: emom(every: \"1m\"), work: \"40s\", rounds: 3, stations: [\"squat\"]),
        (name: \"A\", format: amrap(time: \"5m\"), work: \"40s\", stations: [\"squat\", \"push-up\"]),
        (name: \"C\", work: \"40s\", stations: [\"squat\", \"push-up\"]),
    ])";
    let (ladder, pace, emom, never) = ("rungs", "own pace", "left of the interval", "not used here");
    for (row, key, why) in [
        (PlanRow::Station(0, 0), '+', ladder),
        (PlanRow::Block(0), '+', "nothing here"),
        (PlanRow::Station(1, 0), '>', emom),
        (PlanRow::Station(2, 0), '+', pace),
        (PlanRow::Station(2, 1), '>', pace),
        (PlanRow::Block(2), '+', pace),
        // The last station, and the last block.
        (PlanRow::Station(3, 1), '>', never),
        (PlanRow::Block(3), '>', never),
    ] {
        let mut planning = planning(FORMATS);
        to(&mut planning, row);
        strike(&mut planning, &[KeyStroke::Letter(key)]);
        let said = planning.message().unwrap_or_default();
        assert!(said.contains(why), "{row:?} {key}: {said}");
        assert_eq!((text(&planning).as_str(), planning.changes()), (FORMATS, 0), "{row:?} {key}");
    }
    // A length that has an effect is still written.
    for (row, key) in
        [(PlanRow::Block(1), '+'), (PlanRow::Block(0), '>'), (PlanRow::Station(3, 0), '>'), (PlanRow::Block(2), '2')]
    {
        let mut planning = planning(FORMATS);
        to(&mut planning, row);
        strike(&mut planning, &[KeyStroke::Letter(key)]);
        assert_eq!(planning.changes(), 1, "{row:?} {key}: {:?}", planning.message());
    }
}

#[test]
fn a_swap_changes_one_station_and_breaks_no_rule() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 0));
    let warnings = |planning: &PlanEditor| {
        planning.findings().iter().filter(|(_, finding)| finding.severity <= Severity::Warning).count()
    };
    let before = warnings(&planning);
    let mut seen = vec!["squat".to_owned()];
    loop {
        let was = text(&planning);
        strike(&mut planning, &letters("o"));
        if text(&planning) == was {
            break;
        }
        let blocks = session(&text(&planning)).blocks;
        let id = blocks[0].stations[0].movement.id.clone();
        assert!(!seen.contains(&id), "{id} again");
        assert_eq!(text(&planning), CLASS.replace("\"squat\"", &format!("\"{id}\"")));
        assert!(warnings(&planning) <= before, "{id}");
        seen.push(id);
    }
    assert!(seen.len() > 3, "{seen:?}");
    assert!(planning.message().unwrap().starts_with("No other similar movement"));
    strike(&mut planning, &vec![KeyStroke::Letter('u'); seen.len() - 1]);
    assert_eq!(text(&planning), CLASS);
    // A block cannot be swapped.
    to(&mut planning, PlanRow::Block(0));
    strike(&mut planning, &letters("o"));
    assert_eq!((text(&planning).as_str(), planning.message().is_some()), (CLASS, true));
}

#[test]
fn a_movement_is_found_and_added_after_the_chosen_station() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 0));
    strike(&mut planning, &letters("aglute brige"));
    assert_eq!(planning.finder().hits[0].id, "glute-bridge");
    // By the table of changeovers: 6 s to the floor; the mat is there already.
    assert_eq!(planning.finder().hits[0].needs, Tick::seconds(6));
    strike(&mut planning, &[KeyStroke::Enter]);
    assert_eq!(planning.row(), PlanRow::Station(0, 1));
    assert_eq!(text(&planning), CLASS.replace("heels down\n", "heels down\n        \"glute-bridge\",\n"));
    strike(&mut planning, &letters("rplank"));
    strike(&mut planning, &[KeyStroke::Enter]);
    assert_eq!(text(&planning), CLASS.replace("heels down\n", "heels down\n        \"plank\",\n"));
    strike(&mut planning, &letters("bcat cow"));
    strike(&mut planning, &[KeyStroke::Enter]);
    let blocks = session(&text(&planning)).blocks;
    assert_eq!((blocks.len(), blocks[1].name.as_str()), (3, "New block"));
    assert_eq!(planning.row(), PlanRow::Station(1, 0));
    strike(&mut planning, &letters("uuu"));
    assert_eq!(text(&planning), CLASS);
}

#[test]
fn a_replaced_movement_keeps_the_other_fields_of_its_station() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 1));
    strike(&mut planning, &letters("rkettlebell swing"));
    strike(&mut planning, &[KeyStroke::Enter]);
    let blocks = session(&text(&planning)).blocks;
    assert_eq!(
        (blocks[0].stations[1].movement.id.as_str(), blocks[0].stations[1].rest),
        ("bell-swing", Tick::seconds(15))
    );
}

#[test]
fn the_tab_key_moves_between_the_filters_of_the_finder() {
    let mut planning = planning(CLASS);
    strike(&mut planning, &[KeyStroke::Letter('a')]);
    let all = planning.finder().hits.len();
    strike(&mut planning, &[KeyStroke::Tab, KeyStroke::Down]);
    assert_eq!(planning.finder().chip, FinderFilter::Pattern);
    let pattern = planning.finder().query.pattern.unwrap();
    let catalogue = Catalogue::built_in();
    let hits = &planning.finder().hits;
    assert!(hits.len() < all && !hits.is_empty());
    assert!(hits.iter().all(|hit| catalogue.get(&hit.id).unwrap().pattern == pattern));
    // A region to look after shows what is done instead.
    strike(
        &mut planning,
        &[KeyStroke::Up, KeyStroke::Tab, KeyStroke::Tab, KeyStroke::Tab, KeyStroke::Tab, KeyStroke::Down],
    );
    assert_eq!((planning.finder().chip, planning.finder().query.pattern), (FinderFilter::LookAfter, None));
    let region = planning.finder().region.unwrap();
    assert!(planning.finder().hits.iter().any(|hit| !hit.alternatives.is_empty()));
    assert!(planning.finder().hits.iter().all(|hit| hit.alternatives.iter().all(|(minded, _)| *minded == region)));
    // Nothing matches: Enter says so and adds nothing.
    strike(&mut planning, &letters("zzzzzz"));
    strike(&mut planning, &[KeyStroke::Enter]);
    assert_eq!((planning.changes(), planning.message().is_some()), (0, true));
}

#[test]
fn a_station_moves_over_the_edge_of_its_block() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(1, 0));
    strike(&mut planning, &letters("["));
    assert_eq!(planning.row(), PlanRow::Station(0, 2));
    let names = |text: &str| -> Vec<Vec<String>> {
        let blocks = session(text).blocks;
        blocks.iter().map(|block| block.stations.iter().map(|one| one.movement.id.clone()).collect()).collect()
    };
    assert_eq!(names(&text(&planning))[0][2], "push-up");
    strike(&mut planning, &letters("]"));
    assert_eq!(names(&text(&planning)), names(CLASS));
    // The last station of a block cannot be deleted; the message says why.
    strike(&mut planning, &letters("x"));
    let before = text(&planning);
    strike(&mut planning, &letters("x"));
    assert_eq!(text(&planning), before);
    assert!(planning.message().unwrap().starts_with("Not changed: "), "{:?}", planning.message());
}

#[test]
fn findings_are_shown_beside_their_stations() {
    let mut planning = planning(CLASS);
    // A band is a finding only if the session lists its kit without one.
    assert!(!planning.findings().iter().any(|(_, finding)| finding.message.contains("band")));
    let with_kit = CLASS.replace("people: 8,", "people: 8, kit: [(item: \"kettlebell\", each: 1)],");
    step(&mut planning, PlanInput::Disk { was: CLASS.into(), is: with_kit });
    let here: Vec<&str> = planning
        .findings()
        .iter()
        .filter(|(row, _)| *row == PlanRow::Station(1, 1))
        .map(|(_, f)| f.message.as_str())
        .collect();
    assert!(here.iter().any(|message| message.contains("band")), "{here:?}");
    to(&mut planning, PlanRow::Station(1, 1));
    strike(&mut planning, &letters("x"));
    assert!(!planning.findings().iter().any(|(_, finding)| finding.message.contains("band")));
}

#[test]
fn a_fit_edits_lengths_so_that_the_class_ends_on_time() {
    for text_before in demos() {
        let before = session(&text_before);
        let total = compile(before.clone().into()).total();
        for percent in [85_u64, 92, 97, 103, 108] {
            let slot = Tick::seconds(total.0 * percent / 100 / 1000);
            let mut other = before.clone();
            other.slot = Some(slot);
            let old = format!("slot: \"{}\"", class::time::spoken_length(before.slot.unwrap()));
            assert!(text_before.contains(&old));
            let text_before = text_before.replace(&old, &format!("slot: \"{}\"", class::time::spoken_length(slot)));
            let mut planning = planning(&text_before);
            strike(&mut planning, &letters("f"));
            let promised = Course::new(compile(other.into())).fit(Tick::ZERO, slot);
            let fitted = planning.schedule().total();
            // A station has one length in the file. In a warm-up with several rounds the fit may give it two.
            assert!(
                fitted.0.abs_diff(promised.course.schedule().total().0) <= 5_000,
                "{percent} %: {} instead of {}",
                fitted.0,
                promised.course.schedule().total().0
            );
            strike(&mut planning, &letters("u"));
            assert_eq!(text(&planning), text_before);
        }
    }
}

#[test]
fn a_fit_that_misses_the_slot_says_by_how_much() {
    let mut planning = planning(&CLASS.replace("slot: \"10m\"", "slot: \"2m\""));
    for _ in 0..2 {
        strike(&mut planning, &letters("f"));
        let over = planning.schedule().total().saturating_sub(Tick::seconds(120));
        assert!(over > Tick::ZERO);
        let said = planning.message().unwrap();
        assert!(said.contains(&format!("{} over", class::time::clock(over))), "{said}");
    }
}

#[test]
fn a_class_is_tried_from_the_chosen_station() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(1, 1));
    assert_eq!(strike(&mut planning, &letters("t")), [StepEffect::End(RunEnding::Done)]);
    assert_eq!(planning.take_trial().unwrap().0, "B.2");
    assert_eq!(planning.take_trial(), None);
}

#[test]
fn the_cues_of_a_station_are_played_and_shown() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 1));
    let effects = strike(&mut planning, &letters("l"));
    let [StepEffect::Play(sounding)] = effects.as_slice() else { panic!("{effects:?}") };
    assert!(!sounding.events.is_empty());
    assert!(planning.message().unwrap().contains('“'));
    // When muted, the cues are only shown.
    let mut muted = planning.with_speech(class::cue::SpeechSettings::default(), true);
    assert_eq!(strike(&mut muted, &letters("l")), [StepEffect::Hush]);
    assert!(muted.message().unwrap().contains('“'));
}

#[test]
fn changes_in_different_places_are_merged() {
    let base = "a\nb\nc\nd\n";
    assert_eq!(merge(base, "A\nb\nc\nd\n", "a\nb\nc\nD\n").as_deref(), Some("A\nb\nc\nD\n"));
    assert_eq!(merge(base, "a\nb\nc\nd\ne\n", "b\nc\nd\n").as_deref(), Some("b\nc\nd\ne\n"));
    assert_eq!(merge(base, "a\nB\nc\nd\n", "a\nX\nc\nd\n"), None);
    assert_eq!(merge(base, "a\nb\nx\nc\nd\n", "a\nb\ny\nc\nd\n"), None);
    assert_eq!(merge(base, "a\nB\nc\nd\n", "a\nB\nc\nd\n").as_deref(), Some("a\nB\nc\nd\n"));
}

#[test]
fn a_change_by_another_program_is_merged_and_survives_undo() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(1, 1));
    strike(&mut planning, &letters("+"));
    let was = text(&planning);
    let is = was.replace("Quay test", "Quay class");
    step(&mut planning, PlanInput::Disk { was, is: is.clone() });
    assert_eq!(text(&planning), is);
    strike(&mut planning, &letters("u"));
    assert_eq!(text(&planning), CLASS.replace("Quay test", "Quay class"));
    strike(&mut planning, &letters("U"));
    assert_eq!(text(&planning), is);
}

#[test]
fn a_change_by_another_program_in_the_same_place_is_a_question() {
    let was = CLASS.to_owned();
    let is = CLASS.replace("\"squat\",", "\"plank\",");
    assert!(read(&is, Catalogue::built_in()).session.is_some());
    for (answer, meant) in [('t', Some(is.clone())), ('m', None)] {
        let mut planning = planning(CLASS);
        to(&mut planning, PlanRow::Station(0, 0));
        strike(&mut planning, &letters("+"));
        let mine = text(&planning);
        step(&mut planning, PlanInput::Disk { was: was.clone(), is: is.clone() });
        assert!(planning.question().is_some());
        // Nothing is written until the coach has answered, and no other key is an answer.
        assert_eq!(planning.to_save(), None);
        strike(&mut planning, &letters("+x"));
        assert_eq!(planning.to_save(), None);
        strike(&mut planning, &[KeyStroke::Letter(answer)]);
        assert_eq!(text(&planning), meant.unwrap_or(mine));
    }
}

#[test]
fn leaving_the_question_open_leaves_the_file_as_it_is() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 0));
    strike(&mut planning, &letters("+"));
    step(&mut planning, PlanInput::Disk { was: CLASS.into(), is: CLASS.replace("\"squat\",", "\"plank\",") });
    strike(&mut planning, &[KeyStroke::Escape]);
    assert!(planning.question().is_some(), "Esc is no answer");
    assert_eq!(step(&mut planning, PlanInput::Key(KeyStroke::Letter('q'))), [StepEffect::End(RunEnding::Done)]);
    assert_eq!(planning.to_save(), None);
}

#[test]
fn a_swapped_movement_keeps_the_comment_beside_its_station() {
    let mut planning = planning(CLASS);
    to(&mut planning, PlanRow::Station(0, 0));
    strike(&mut planning, &letters("rplank"));
    strike(&mut planning, &[KeyStroke::Enter]);
    assert_eq!(text(&planning), CLASS.replacen("\"squat\"", "\"plank\"", 1));
}

#[test]
fn looking_at_a_class_writes_nothing() {
    for key in ["e", "h", "p"] {
        let mut planning = planning(CLASS);
        to(&mut planning, PlanRow::Station(0, 0));
        strike(&mut planning, &letters(key));
        assert!(matches!(planning.focus(), PlanFocus::Line(typed) if !typed.text.is_empty()), "{key}");
        strike(&mut planning, &[KeyStroke::Enter]);
        assert_eq!(text(&planning), CLASS, "{key}");
    }
}

#[test]
fn a_file_broken_by_another_program_is_not_overwritten() {
    let mut planning = planning(CLASS);
    let broken = CLASS.replace("\"squat\"", "\"sqat\"");
    step(&mut planning, PlanInput::Disk { was: CLASS.into(), is: broken.clone() });
    assert!(planning.question().unwrap().fault.is_some());
    assert_eq!(planning.to_save(), None);
    // The broken text cannot be taken, since it makes no class.
    strike(&mut planning, &letters("t"));
    assert!(planning.question().is_some());
    let right = CLASS.replace("\"squat\"", "\"plank\"");
    step(&mut planning, PlanInput::Disk { was: broken, is: right.clone() });
    assert_eq!(text(&planning), right);
}

fn drawn(planning: &PlanEditor, (width, height): (u16, u16)) -> String {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    terminal.draw(|frame| picture::draw(frame, planning, &ScreenTheme { colours: ColourDepth::Without })).unwrap();
    let buffer = terminal.backend().buffer();
    let row = |y| (0..width).map(|x| buffer[(x, y)].symbol()).collect::<String>();
    (0..height).map(|y| row(y).trim_end().to_owned() + "\n").collect()
}

#[test]
fn planning_at_every_size() {
    let oars = std::fs::read_to_string("sessions/frost-and-oars.ron").unwrap();
    let with = |keys: &[KeyStroke]| {
        let mut planning = planning(&oars);
        strike(&mut planning, keys);
        planning
    };
    let mut conflict = planning(CLASS);
    strike(&mut conflict, &letters("+"));
    step(&mut conflict, PlanInput::Disk { was: CLASS.into(), is: CLASS.replace("\"squat\"", "\"plank\"") });
    let mut unsaved = planning(CLASS);
    step(&mut unsaved, PlanInput::Unsaved("no room on the disk".into()));
    let plans = [
        ("list", with(&[KeyStroke::Down])),
        ("session", with(&[KeyStroke::Home])),
        ("longer", with(&[KeyStroke::Letter('+')])),
        ("finder", with(&letters("agoblet"))),
        ("filter", with(&[KeyStroke::Letter('a'), KeyStroke::Tab, KeyStroke::Down])),
        ("line", with(&letters("e"))),
        ("keys", with(&letters("?"))),
        ("conflict", conflict),
        ("unsaved", unsaved),
    ];
    for (name, planning) in plans {
        let sizes = [(50, 12), (60, 18), (80, 24), (160, 45)];
        let pictures = sizes.map(|size| format!("{} x {}\n{}", size.0, size.1, drawn(&planning, size)));
        insta::assert_snapshot!(format!("plan_{name}"), pictures.join("\n"));
    }
}

fn any_stroke() -> impl Strategy<Value = KeyStroke> {
    let keys = vec![
        KeyStroke::Enter,
        KeyStroke::Escape,
        KeyStroke::Tab,
        KeyStroke::Up,
        KeyStroke::Down,
        KeyStroke::Down,
        KeyStroke::PageDown,
        KeyStroke::Home,
        KeyStroke::Backspace,
        KeyStroke::Delete,
    ];
    let letters: Vec<KeyStroke> = "arbx[]+->.<,123shepnuUflt?q\"é".chars().map(KeyStroke::Letter).collect();
    prop_oneof![1 => prop::sample::select(keys), 3 => prop::sample::select(letters)]
}

fn comments(text: &str) -> usize {
    text.matches("//").count() + text.matches("/*").count()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// After any keys the file makes a class and can be drawn, and undo brings it back byte for byte.
    #[test]
    fn any_keys_can_be_undone(
        demo in 0_usize..5,
        strokes in prop::collection::vec(any_stroke(), 0..30),
        size in (20_u16..170, 8_u16..50),
    ) {
        let before = demos().get(demo).cloned().unwrap_or_else(|| CLASS.to_owned());
        let mut planning = planning(&before);
        for stroke in strokes {
            strike(&mut planning, &[stroke]);
            prop_assert!(planning.chosen() < planning.rows().len());
        }
        let after = text(&planning);
        prop_assert!(read(&after, Catalogue::built_in()).session.is_some());
        drawn(&planning, size);
        strike(&mut planning, &[KeyStroke::Escape, KeyStroke::Escape]);
        let changes = planning.changes();
        strike(&mut planning, &vec![KeyStroke::Letter('u'); changes + 1]);
        prop_assert_eq!(text(&planning), before);
        strike(&mut planning, &vec![KeyStroke::Letter('U'); changes]);
        prop_assert_eq!(text(&planning), after);
    }

    /// Lengths, rests, rounds and sides lose no comment, and change the class as they should, in every station of every demo.
    #[test]
    fn lengths_and_sides_leave_the_rest_of_the_file(demo in 0_usize..5, at in any::<prop::sample::Index>(), key in 0..4_usize) {
        let before = demos().get(demo).cloned().unwrap_or_else(|| CLASS.to_owned());
        let mut planning = planning(&before);
        let stations: Vec<PlanRow> = planning.rows().iter().copied().filter(|row| matches!(row, PlanRow::Station(..))).collect();
        let row = stations[at.index(stations.len())];
        let PlanRow::Station(block, station) = row else { unreachable!() };
        to(&mut planning, row);
        let keys = ["+", ">", "3", "s"][key];
        strike(&mut planning, &letters(keys));
        let after = text(&planning);
        prop_assert_eq!(comments(&before), comments(&after));
        let mut meant = session(&before);
        if planning.changes() == 1 {
            let blocks = &mut meant.blocks[block];
            match (keys, blocks.stations[station].work) {
                ("+", WorkAmount::Time(work)) => blocks.stations[station].work = WorkAmount::Time(work + Tick::seconds(5)),
                ("+", WorkAmount::Reps(reps)) => blocks.stations[station].work = WorkAmount::Reps(reps + 1),
                (">", _) => blocks.stations[station].rest += Tick::seconds(5),
                ("3", _) => blocks.rounds = 3,
                _ => blocks.stations[station].sides = match blocks.stations[station].sides {
                    Sides::Together => Sides::Alternating,
                    Sides::Alternating => Sides::LeftThenRight,
                    Sides::LeftThenRight => Sides::EachSide,
                    Sides::EachSide => Sides::Together,
                },
            }
        }
        prop_assert_eq!(session(&after), meant);
    }

    /// The order of two changes does not matter: both are in the result, or they cannot be merged.
    #[test]
    fn a_merge_does_not_depend_on_the_order(
        base in prop::collection::vec("[ab]", 1..8),
        ours in prop::collection::vec("[abx]", 1..8),
        theirs in prop::collection::vec("[aby]", 1..8),
    ) {
        let text = |lines: &[String]| lines.iter().map(|line| format!("{line}\n")).collect::<String>();
        let (base, ours, theirs) = (text(&base), text(&ours), text(&theirs));
        let both = merge(&base, &ours, &theirs);
        prop_assert_eq!(&both, &merge(&base, &theirs, &ours));
        if let Some(both) = both {
            for mark in ["x", "y"] {
                let new = ours.matches(mark).count() + theirs.matches(mark).count();
                prop_assert_eq!(both.matches(mark).count(), new);
            }
        }
    }
}

fn plan(home: &Home) -> Term {
    Term::start(home, binary(), &["plan", "class.ron", "--no-sound"], 80, 24)
}

fn on_disk(home: &Home) -> String {
    std::fs::read_to_string(home.file()).unwrap()
}

#[track_caller]
fn until(home: &Home, meant: &str) {
    let begun = Instant::now();
    while on_disk(home) != meant {
        assert!(begun.elapsed() < pty::PATIENCE, "not written:\n{}", on_disk(home));
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn a_newcomer_plans_with_mistakes() {
    let home = Home::with(CLASS);
    let mut term = plan(&home);
    term.see("Quay test");
    // A key without a meaning, then a misspelt word.
    term.press("z");
    term.press("aglute brigde");
    term.see("Glute bridge");
    term.press("\r");
    let with = CLASS.replace("heels down\n", "heels down\n        \"glute-bridge\",\n");
    until(&home, &with);
    term.resize(40, 10);
    term.see("Make the window");
    term.resize(160, 45);
    term.see("Glute bridge");
    term.press("u");
    until(&home, CLASS);
    term.press("u");
    term.see("Nothing to undo");
    // Another program writes the file.
    std::fs::write(home.file(), CLASS.replace("Quay test", "Quay class")).unwrap();
    term.see("changed elsewhere");
    term.press("\x1b[A+");
    let both = CLASS.replace("Quay test", "Quay class").replacen("\"squat\",", "(move: \"squat\", work: \"45s\"),", 1);
    until(&home, &both);
    term.press("q");
    assert_eq!(term.ends(), 0);
    assert_eq!(on_disk(&home), both);
}

#[test]
fn a_file_that_cannot_be_written_is_reported() {
    let home = Home::with(CLASS);
    let mut term = plan(&home);
    term.see("Quay test");
    std::fs::remove_file(home.file()).unwrap();
    term.press("+");
    term.see("NOT SAVED");
    std::fs::write(home.file(), CLASS).unwrap();
    term.press("+");
    term.until("saved", |text| !text.contains("NOT SAVED"));
    until(&home, &CLASS.replacen("\"squat\",", "(move: \"squat\", work: \"50s\"),", 1));
    term.press("q");
    assert_eq!(term.ends(), 0);
}

#[test]
fn the_class_is_tried_and_planning_continues() {
    let home = Home::with(CLASS);
    let mut term = plan(&home);
    term.see("Quay test");
    term.press("t");
    term.see("space to start");
    term.press("qy");
    term.see("longer");
    term.press("+");
    until(&home, &CLASS.replacen("\"squat\",", "(move: \"squat\", work: \"45s\"),", 1));
    term.press("q");
    assert_eq!(term.ends(), 0);
}

/// Killed at a hundred moments around a key, the file is complete, and at most that key is lost.
#[test]
fn the_file_is_complete_after_a_kill_at_any_moment() {
    let mut moments = 0x9E37_79B9_u32;
    for round in 0..100 {
        let home = Home::with(CLASS);
        let mut term = plan(&home);
        term.see("Quay test");
        let with = |seconds: u32| CLASS.replacen("\"squat\",", &format!("(move: \"squat\", work: \"{seconds}s\"),"), 1);
        term.press("+");
        until(&home, &with(45));
        term.press("+");
        moments = moments.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        std::thread::sleep(Duration::from_micros(u64::from(moments >> 17)));
        term.signal(Signal::KILL);
        let _ = term.child.wait();
        let left = on_disk(&home);
        assert!(left == with(45) || left == with(50), "{round}: {left}");
    }
}

#[test]
fn a_file_that_cannot_be_planned_is_reported_before_anything_starts() {
    let home = Home::with("(title: \"Broken\", blocks: [(name: \"A\", stations: [\"sqat\"])])");
    let run = |arguments: &[&str]| {
        let mut command = std::process::Command::new(binary());
        let output = command
            .args(arguments)
            .env_clear()
            .envs(home.environment())
            .current_dir(home.0.path())
            .stdin(std::process::Stdio::null())
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    let (code, said) = run(&["plan", "class.ron"]);
    assert!(code == Some(1) && said.contains("sqat"), "{said}");
    std::fs::write(home.file(), CLASS).unwrap();
    let (code, said) = run(&["plan", "class.ron"]);
    assert!(code == Some(2) && said.contains("needs a terminal"), "{said}");
    assert_eq!(run(&["plan", "-"]).0, Some(2));
    assert_eq!(run(&["plan", "gone.ron"]).0, Some(2));
}

/// The README's picture, from a real run: `cargo test --test plan picture -- --ignored` writes assets/plan.svg.
#[test]
#[ignore = "writes a file of the repository"]
fn the_picture_of_planning() {
    let folder = env!("CARGO_MANIFEST_DIR");
    let home = Home::with(&std::fs::read_to_string(format!("{folder}/sessions/frost-and-oars.ron")).unwrap());
    let mut term = Term::start(&home, binary(), &["plan", &home.file(), "--no-sound"], 100, 28);
    term.see("spare");
    term.press(&"\x1b[B".repeat(5));
    term.press("ahinge");
    term.see("ADD");
    term.until("hits", |text| text.contains("find: hinge") || text.contains("hinge▏"));
    std::fs::write(format!("{folder}/assets/plan.svg"), svg::svg(&cells::cells_of(term.seen.lock().unwrap().screen())))
        .unwrap();
    term.press("\x03");
    term.ends();
}
