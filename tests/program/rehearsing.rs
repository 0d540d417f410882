//! Rehearsals with the real binary in a pseudo-terminal, and the measurements stored after them.
#![cfg(unix)]

use crate::pty;

use std::process::{Command, Stdio};

use class::schedule::{ENOUGH, SampleSubject, TransitionKind, TransitionSample};
use class::time::Tick;
use pty::{Home, Term, binary};
use stage::rehearse::MeasurementFile;

const SESSION: &str = "// Quay
(title: \"Quay test\", blocks: [
    (name: \"Hinge\", work: \"20s\", stations: [
        \"bell-deadlift\", // long back
        \"split-squat\",
        \"bell-deadlift\",
    ]),
])
";

fn home() -> Home {
    Home::with(SESSION)
}

/// Starts a rehearsal with parts so short that it takes moments.
fn rehearse(home: &Home) -> Term {
    let file = home.file();
    Term::start(home, binary(), &["rehearse", &file, "--no-sound", "--before", "0s", "--after", "1s"], 80, 24)
}

/// What a command prints without a terminal, and its exit code.
fn says(home: &Home, arguments: &[&str]) -> (String, Option<i32>) {
    let mut command = Command::new(binary());
    command.args(arguments).env_clear().envs(home.environment()).stdin(Stdio::null());
    let output = command.output().unwrap();
    (
        String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr),
        output.status.code(),
    )
}

#[test]
fn measured_changeovers_are_stored_and_used_for_planning() {
    let home = home();
    let file = home.file();
    let before = says(&home, &["rehearse", &file]);
    assert_eq!(before.1, Some(0));
    assert_eq!(before.0.lines().count(), 2, "{}", before.0);
    for _ in 0..ENOUGH {
        let mut term = rehearse(&home);
        term.see("space to start");
        term.press(" ");
        term.see("get ready");
        term.press(" ");
        term.see("ready after");
        term.see("changeover 2 of 2");
        term.press("q");
        term.see("Times measured");
        term.press(" ");
        assert_eq!(term.ends(), 0);
    }
    let kept = MeasurementFile::in_folder(&home.0.path().join(".local/share/forecall")).read().unwrap();
    assert_eq!(kept.len(), ENOUGH);
    let mut took: Vec<u64> = kept.iter().map(|sample| sample.took.0 * 3 / 2).collect();
    took.sort_unstable();
    // The coach was alone, so 1.5 times as long; the fourth of five; rounded up to half a second.
    let needs = Tick(took[3].div_ceil(500) * 500);
    let planned = format!("needed {}", class::time::clock(needs));
    let after = says(&home, &["rehearse", &file]).0;
    assert!(after.lines().next().unwrap().contains(&planned), "{planned}\n{after}");
    let forgotten = says(&home, &["rehearse", "--forget"]);
    assert_eq!(forgotten, (format!("{ENOUGH} measured times forgotten.\n"), Some(0)));
    assert_eq!(says(&home, &["rehearse", &file]), before);
}

#[test]
fn a_change_is_written_only_when_the_coach_says_so() {
    let home = home();
    for (answer, meant) in [
        ("n", SESSION.to_owned()),
        ("y", SESSION.replace("\"bell-deadlift\", // long", "(move: \"bell-deadlift\", rest: \"5s\"), // long")),
    ] {
        let mut term = rehearse(&home);
        term.see("space to start");
        term.press("+");
        term.see("changes not saved: 1");
        term.press("q");
        term.see("Save the changes (1)");
        term.press(answer);
        assert_eq!(term.ends(), 0);
        assert_eq!(std::fs::read_to_string(home.file()).unwrap(), meant);
    }
}

/// Every key in two changeovers, on a file with comments in odd places.
#[test]
fn each_key_does_what_it_says_and_no_other_byte_is_touched() {
    let quay = "// Quay, south side
(title: \"Quay test\", blocks: [
    (name: \"Hinge\", work: \"20s\", stations: [
        \"bell-deadlift\", // long back
        /* slow */ \"split-squat\",
        \"row-band-standing\",   // band by the door
    ]), // the end
])
";
    let home = Home::with(quay);
    let file = home.file();
    let mut term =
        Term::start(&home, binary(), &["rehearse", &file, "--no-sound", "--before", "0s", "--after", "60s"], 80, 24);
    term.see("space to start");
    term.press(" ");
    term.see("get ready");
    term.press(" ");
    term.see("ready after");
    // Again: the same changeover, with no measurement yet.
    term.press("a");
    term.until("the first once more", |text| text.contains("changeover 1 of 2") && !text.contains("ready after"));
    term.press(" ");
    term.see("ready after");
    // Once ready, the same key goes to the next; another goes back.
    term.press(" ");
    term.see("changeover 2 of 2");
    term.press("\x1b[D");
    term.see("changeover 1 of 2");
    term.press("t");
    term.see("TIGHT");
    term.press("t");
    term.until("no mark", |text| !text.contains("TIGHT"));
    term.press("t");
    term.see("TIGHT");
    // A rest is added here, undone and redone. By the estimate a bell goes down in 3 s, so 5 s of rest give more time.
    term.press("+");
    term.see("Time for the changeover: 0:05 (rest 0:05), was 0:03");
    term.press("u");
    term.until("no change", |text| text.contains("Undone") && !text.contains("changes not saved"));
    term.press("U");
    term.see("changes not saved: 1");
    term.see("TIGHT");
    // The second station goes to the front, and no further.
    term.press("\x1b[C");
    term.see("changeover 2 of 2");
    term.press("[");
    term.see("changes not saved: 2");
    term.press("q");
    term.see("Times measured");
    term.see("Save the changes (2)");
    // Back from the table to the rehearsal, and to the table again.
    term.press("\x1b[D");
    term.see("changeover 2 of 2");
    term.press("q");
    term.see("Save the changes (2)");
    term.press("y");
    assert_eq!(term.ends(), 0);
    let meant = quay
        .replace("\"bell-deadlift\",", "(move: \"bell-deadlift\", rest: \"5s\"),")
        .replace("        /* slow */ \"split-squat\",\n", "")
        .replace("by the door\n", "by the door\n        /* slow */ \"split-squat\",\n");
    assert_eq!(std::fs::read_to_string(home.file()).unwrap(), meant);
    let kept = MeasurementFile::in_folder(&home.0.path().join(".local/share/forecall")).read().unwrap();
    assert_eq!(kept.len(), 2, "measured once, and again");
}

#[test]
fn a_file_changed_during_the_rehearsal_is_not_overwritten() {
    let home = home();
    let mut term = rehearse(&home);
    term.see("space to start");
    term.press("+");
    term.see("changes not saved: 1");
    let by_hand = SESSION.replace("20s", "25s");
    std::fs::write(home.file(), &by_hand).unwrap();
    term.press("qy");
    assert_eq!(term.ends(), 2);
    assert!(term.text().contains("it was changed"), "{}", term.text());
    assert_eq!(std::fs::read_to_string(home.file()).unwrap(), by_hand);
}

#[test]
fn ctrl_c_leaves_at_once_and_the_file_stays() {
    let home = home();
    let mut term = rehearse(&home);
    term.see("space to start");
    term.press("+");
    term.see("changes not saved: 1");
    term.press("\x03");
    assert_eq!(term.ends(), 0);
    assert_eq!(std::fs::read_to_string(home.file()).unwrap(), SESSION);
}

#[test]
fn the_read_through_has_a_page_for_each_station() {
    let home = home();
    let file = home.file();
    let mut term = Term::start(&home, binary(), &["rehearse", &file, "--read", "--no-sound"], 80, 24);
    term.see("station 1 of 3");
    term.press(" ");
    term.see("station 2 of 3");
    term.see("fix");
    term.press("\x1b[D");
    term.see("station 1 of 3");
    term.press("q");
    assert_eq!(term.ends(), 0);
}

#[test]
fn stored_measurements_that_cannot_be_read_are_skipped() {
    let folder = tempfile::tempdir().unwrap();
    let kept = MeasurementFile::in_folder(&folder.path().join("not/there/yet"));
    assert_eq!(kept.read().unwrap(), []);
    let sample = |kind: &str, took| TransitionSample {
        kind: kind.parse().unwrap(),
        took: Tick(took),
        who: SampleSubject::Coach,
    };
    let samples = [sample("kit_up", 3_000), sample("to_floor+side", 5_000)];
    kept.add(&samples).unwrap();
    let file = folder.path().join("not/there/yet/transitions.jsonl");
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(
        &file,
        format!("garbage\n{text}{{\"kind\":\"kit_up\",\"took_ms\":-1,\"who\":\"coach\"}}\n{{\"kind\":"),
    )
    .unwrap();
    assert_eq!(kept.read().unwrap(), samples);
    assert_eq!(kept.forget(Some("kit_up".parse::<TransitionKind>().unwrap())).unwrap(), 1);
    assert_eq!(kept.read().unwrap(), samples[1..]);
    assert_eq!(kept.forget(None).unwrap(), 1);
    assert_eq!(kept.read().unwrap(), []);
}

#[test]
fn the_whole_class_runs_at_the_requested_speed() {
    let home = home();
    let file = home.file();
    let mut term = Term::start(&home, binary(), &["rehearse", &file, "--whole", "--speed", "8", "--no-sound"], 80, 24);
    term.see("Quay test");
    term.press(" ");
    term.see("q to leave");
    term.press("q");
    assert_eq!(term.ends(), 0);
    // This is not a class, so nothing is recorded.
    assert!(!home.0.path().join(".local/share/forecall/classes").exists());
    let (said, code) = says(&home, &["rehearse", &file, "--whole", "--speed", "9"]);
    assert!(code == Some(2) && said.contains("1..=8"), "{said}");
    let (said, code) = says(&home, &["rehearse", &file, "--whole"]);
    assert!(code == Some(2) && said.contains("needs a terminal"), "{said}");
}

#[test]
fn every_demo_can_be_rehearsed_and_changed() {
    let sessions = std::fs::read_dir("sessions").unwrap().map(|file| file.unwrap().path());
    for path in sessions {
        let text = std::fs::read_to_string(&path).unwrap();
        let home = Home::with(&text);
        let mut term = rehearse(&home);
        term.see("changeover 1 of");
        // Mark it as tight, and change the file. If there is no rest to change, the coach is told.
        term.press("t");
        term.see("TIGHT");
        term.press("+");
        term.until("a change", |text| text.contains("changes not saved: 1") || text.contains("no rest to change"));
        term.press("\x1b[C");
        term.see("changeover 2 of");
        term.press("\x1b[D");
        term.see("changeover 1 of");
        // Pause, so that the rehearsal does not move on by itself.
        term.press("h");
        term.see("PAUSED");
        // At one of the first changeovers a station can be moved.
        for _ in 0..3 {
            if term.text().contains("changes not saved") {
                break;
            }
            term.press("\x1b[Ch+]");
            term.until("an answer", |text| {
                ["changes not saved", "no rest to change", "further in its block", "Everyone rotates", "Not changed"]
                    .iter()
                    .any(|answer| text.contains(answer))
            });
        }
        term.press("q");
        term.see("Times measured");
        term.see("Save the changes");
        term.press("y");
        assert_eq!(term.ends(), 0, "{}", path.display());
        let now = std::fs::read_to_string(home.file()).unwrap();
        assert_ne!(now, text);
        let comments = |text: &str| {
            text.lines().filter_map(|line| line.split_once("//").map(|(_, words)| words.to_owned())).collect::<Vec<_>>()
        };
        assert_eq!(comments(&now), comments(&text), "{}", path.display());
        // One line has a new rest or a new place; every other byte is as before.
        let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
        let (mut gone, mut came) = (lines(&text), lines(&now));
        gone.retain(|line| !came.contains(line));
        came.retain(|line| !text.contains(line.as_str()));
        assert!(gone.len() <= 2 && came.len() <= 2, "{}: {gone:?} {came:?}", path.display());
        assert_eq!(says(&home, &["show", &home.file()]).1, Some(0));
    }
}
