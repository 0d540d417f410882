//! `forecall new`, run as the real binary in an empty folder.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn forecall(folder: &Path, arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(arguments)
        .current_dir(folder)
        .env_clear()
        .env("HOME", folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

fn printed(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// The printed text, without the time of day.
fn without_clock(printed: &str) -> String {
    let (before, after) = printed.split_once("it ends at ").expect("an end");
    let end = &after[..5];
    assert!(end.as_bytes()[2] == b':' && end.bytes().filter(u8::is_ascii_digit).count() == 4, "{end}");
    format!("{before}it ends at ..:..{}", &after[5..])
}

#[test]
fn an_idea_becomes_a_class() {
    let folder = tempfile::tempdir().unwrap();
    let idea = "Warm: 40s\nmarch tall\n\nLegs: 45s, rest 15s, 2 rounds\ndeadlift\nsplt squat\nsled drag\n";
    let output = forecall(folder.path(), &["new", "--from", "-", "legs.ron", "--slot", "20m"], idea);
    assert_eq!(output.status.code(), Some(0), "{}", printed(&output));
    insta::assert_snapshot!("an-idea", without_clock(&printed(&output)));
    insta::assert_snapshot!("an-idea-written", std::fs::read_to_string(folder.path().join("legs.ron")).unwrap());
    for command in ["check", "show"] {
        assert_eq!(forecall(folder.path(), &[command, "legs.ron"], "").status.code(), Some(0));
    }
}

#[test]
fn the_starter_passes_check_and_no_file_is_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(forecall(folder.path(), &["new"], "").status.code(), Some(0));
    let file = folder.path().join("new-session.ron");
    assert_eq!(forecall(folder.path(), &["check", "new-session.ron"], "").status.code(), Some(0));

    std::fs::write(&file, "mine").unwrap();
    let refused = forecall(folder.path(), &["new"], "");
    assert_eq!(refused.status.code(), Some(2));
    assert!(printed(&refused).contains("already exists"));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");

    assert_eq!(forecall(folder.path(), &["new", "--force"], "").status.code(), Some(0));
    assert_ne!(std::fs::read_to_string(&file).unwrap(), "mine");
}

#[test]
fn a_text_that_is_not_a_list_is_refused_with_the_reason() {
    let folder = tempfile::tempdir().unwrap();
    for (arguments, input, code, reason) in [
        (&["new", "--from", "-", "a.ron"][..], "", 1, "no movement"),
        (&["new", "--from", "-", "a.ron"], "\u{1}\u{2}\n---\n", 1, "no movement"),
        (&["new", "--from", "gone.txt", "a.ron"], "", 2, "cannot read gone.txt"),
        (&["new", "--from", "-", "no/such/folder/a.ron"], "squat", 2, "cannot write"),
        (&["new", "--slot", "soon"], "", 2, "not a length of time"),
    ] {
        let output = forecall(folder.path(), arguments, input);
        assert_eq!(output.status.code(), Some(code), "{}", printed(&output));
        assert!(printed(&output).contains(reason), "{}", printed(&output));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}

const BOATHOUSE: [&str; 11] = [
    "new",
    "--slot",
    "45m",
    "--people",
    "12",
    "--kit",
    "kettlebell:light:1,band:1,box:4",
    "--focus",
    "hamstrings,back",
    "--look-after",
    "wrist",
];

#[test]
fn a_class_is_composed_with_reasons() {
    let folder = tempfile::tempdir().unwrap();
    let arguments = [&BOATHOUSE[..], &["--aim", "conditioning", "--seed", "7", "--why"]].concat();
    let output = forecall(folder.path(), &arguments, "");
    assert_eq!(output.status.code(), Some(0), "{}", printed(&output));
    insta::assert_snapshot!("composed", without_clock(&printed(&output)));
    let files: Vec<String> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    let file = files.iter().find(|name| name.ends_with(".ron")).unwrap();
    let text = std::fs::read_to_string(folder.path().join(file)).unwrap();
    insta::assert_snapshot!("composed-written", text);
    let checked = forecall(folder.path(), &["check", file, "--strict"], "");
    assert_eq!(checked.status.code(), Some(0), "{}", printed(&checked));
    let again = forecall(folder.path(), &arguments, "");
    assert_eq!(again.status.code(), Some(2), "{}", printed(&again));
    assert!(printed(&again).contains("already exists"));
    assert_eq!(forecall(folder.path(), &[&arguments[..], &["--force"]].concat(), "").status.code(), Some(0));
    assert_eq!(std::fs::read_to_string(folder.path().join(file)).unwrap(), text);
}

#[test]
fn a_wrong_word_gives_the_nearest() {
    let folder = tempfile::tempdir().unwrap();
    for (option, word, says) in [
        ("--focus", "hamstring", "did you mean hamstrings?"),
        ("--focus", "middle-bakc", "did you mean middle-back?"),
        ("--look-after", "wirst", "did you mean wrist?"),
        ("--kit", "ketlebell:1", "did you mean kettlebell?"),
        ("--kit", "kettlebell:lihgt:1", "not a load"),
        ("--kit", "anvil", "choose from "),
        ("--keep", "bell-swng", "did you mean bell-swing?"),
        ("--keep", "squat-goblet", "the kit or a region to look after"),
        ("--slot", "5m", "at least 10m"),
    ] {
        let output = forecall(folder.path(), &["new", "--aim", "strength", option, word], "");
        assert!(output.status.code().is_some_and(|code| code > 0), "{option} {word}: {}", printed(&output));
        assert!(printed(&output).contains(says), "{option} {word}: {}", printed(&output));
        assert_eq!(
            std::fs::read_dir(folder.path()).unwrap().filter(|file| file.as_ref().unwrap().path().is_file()).count(),
            0
        );
    }
}
