//! Whole classes with the real binary in a pseudo-terminal: keys are typed, the screen is read back, and the terminal
//! is restored whatever ends the class.
#![cfg(unix)]

use crate::cells;
use crate::pty;
use crate::svg;

use std::process::{Command, Stdio};
use std::time::Duration;

use pty::{Home, Term, binary};
use rustix::process::Signal;

/// 15 + 20 + 10 + 20 + 15 = 80 s, with a block that waits and an emergency text.
const SESSION: &str = r#"(
  title: "Quay test", slot: "2m", look_after: [wrist], emergency: "Quay Lane 1, call 112",
  blocks: [
    (name: "Raise", kind: warm_up, work: "15s", stations: ["march-tall"]),
    (name: "Hinge", work: "20s", rest: "10s", start: on_key, stations: [
      "bell-deadlift", (move: "split-squat", sides: left_then_right),
    ]),
    (name: "Ease", kind: cool_down, work: "15s", stations: ["childs-pose"]),
  ],
)"#;

/// The second row of PAUSE in large lettering on 80 columns.
const PAUSE: &str = "▝██▘▝█▙ ▗▟██▙▖ ██  ██ ▟█ ▝▜█ ▝██▘ ▝█";

fn home() -> Home {
    Home::with(SESSION)
}

fn lead(home: &Home, options: &[&str]) -> Term {
    let file = home.file();
    let arguments: Vec<&str> = ["lead", &file, "--no-sound"].iter().chain(options).copied().collect();
    Term::start(home, binary(), &arguments, 80, 24)
}

#[test]
fn a_whole_class_with_the_coachs_keys() {
    let home = home();
    let mut term = lead(&home, &["--speed", "20"]);
    term.see("space to start");
    assert!(term.alternate());
    // The cautions come first.
    term.see("Stop and tell the coach");
    term.press(" ");
    // The first block runs by itself; the second waits.
    term.see("B  Hinge");
    term.see("space");
    term.press("?");
    term.see("again");
    term.press("?");
    term.press(" ");
    // The far view, and back.
    term.press("f");
    term.press("f");
    term.see("C  Ease");
    // The result of the class.
    term.see("length");
    term.press("q");
    assert_eq!(term.ends(), 0);
}

#[test]
fn the_ninety_second_class_runs_through_on_its_own() {
    let home = home();
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/sessions/first-look.ron");
    let mut term = Term::start(&home, binary(), &["lead", file, "--no-sound", "--speed", "20"], 120, 35);
    term.see("space to start");
    term.press(" ");
    for block in ["A  Warm up", "B  Main", "C  Cool down", "length"] {
        term.see(block);
    }
    term.press("q");
    assert_eq!(term.ends(), 0);
}

#[test]
fn cues_without_a_voice_are_shown_to_the_coach() {
    let home = home();
    // Without a voice only tones sound.
    let mut term = Term::start(&home, binary(), &["lead", &home.file(), "--speed", "2", "--voice", "none"], 120, 35);
    term.see("space to start");
    term.press(" ");
    term.see("Bell deadlift, bell up");
    term.press("qy");
    assert_eq!(term.ends(), 0);
}

#[test]
fn a_pause_stops_class_time_and_quitting_is_confirmed() {
    let home = home();
    let mut term = lead(&home, &[]);
    term.see("space to start");
    term.press("  ");
    // The second space comes too soon to count, so this is still the count-in.
    term.see("NEXT");
    term.see("say");
    term.until("work", |text| !text.contains("NEXT"));
    term.press(" ");
    term.see(PAUSE);
    term.press("q");
    term.see("y ends the class for good");
    term.press("n");
    term.see(PAUSE);
    term.press("qy");
    assert_eq!(term.ends(), 0);
    assert!(term.text().contains("Left at 0:0"), "{}", term.text());
}

#[test]
fn the_stop_key_shows_the_emergency_text() {
    let home = home();
    let mut term = lead(&home, &["--speed", "10"]);
    term.see("space to start");
    term.press("s");
    // The text itself is in large lettering.
    term.see("STOPPED");
    term.press("\x03\x03");
    assert_eq!(term.ends(), 0);
}

#[test]
fn a_signal_restores_the_terminal_and_says_where_the_class_was() {
    let home = home();
    for (signal, code) in [(Signal::TERM, 143), (Signal::HUP, 129), (Signal::INT, 130)] {
        let mut term = lead(&home, &["--from", "B.2"]);
        term.see("space to start");
        term.press(" ");
        term.see("NEXT");
        term.signal(signal);
        assert_eq!(term.ends(), code);
        assert!(term.text().contains("Ended by a signal at 0:45 of 1:20"), "{}", term.text());
    }
}

#[cfg(debug_assertions)]
#[test]
fn a_panic_restores_the_terminal_and_is_reported() {
    let home = home();
    let mut term = lead(&home, &["--fail", "leading", "--speed", "10"]);
    term.see("space to start");
    term.press(" ");
    assert_eq!(term.ends(), 101);
    assert!(term.text().contains("asked to fail"), "{}", term.text());
}

#[cfg(debug_assertions)]
#[test]
fn a_panic_elsewhere_does_not_end_the_class() {
    let home = home();
    let mut term = lead(&home, &["--fail", "other"]);
    term.see("space to start");
    term.press(" ");
    term.see("Part of the program failed");
    assert!(term.alternate());
    term.press("qy");
    assert_eq!(term.ends(), 0);
}

#[test]
fn a_terminal_made_tiny_and_large_again_shows_the_class_again() {
    let home = home();
    let mut term = lead(&home, &[]);
    term.see("space to start");
    for (columns, rows) in [(20, 5), (1, 1), (59, 17), (200, 60)] {
        term.resize(columns, rows);
    }
    term.see("space to start");
    term.resize(30, 8);
    term.see("60");
    term.resize(120, 35);
    term.see("space to start");
    term.press("qy");
    assert_eq!(term.ends(), 0);
}

#[test]
fn ctrl_z_goes_to_the_shell_and_fg_returns_to_a_paused_class() {
    let home = home();
    let mut term = Term::start(&home, "/bin/sh".into(), &["-i"], 80, 24);
    term.see("$");
    let line = format!("{} lead class.ron --no-sound\n", binary().display());
    term.press(&line);
    term.see("space to start");
    term.press(" ");
    term.see("NEXT");
    term.press("\x1a");
    term.until("the shell", |text| !text.contains("NEXT") && text.contains("Stopped"));
    assert!(!term.alternate());
    let echo = |term: &Term| {
        term.master.get_termios().is_some_and(|modes| format!("{:?}", modes.local_flags).contains("ICANON"))
    };
    assert!(echo(&term), "the shell has its terminal back as before");
    term.press("echo in the shell\n");
    term.see("\nin the shell");
    term.press("fg\n");
    term.see(PAUSE);
    assert!(term.alternate());
    term.press("qy");
    term.until("the end", |text| text.contains("Left at 0:00"));
    assert!(!term.alternate());
    term.press("exit\n");
    term.ends();
}

#[test]
fn without_a_terminal_the_class_is_printed_in_lines() {
    let home = home();
    let output = Command::new(binary())
        .args(["lead", &home.file(), "--speed", "20"])
        .env_clear()
        .envs(home.environment())
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(out.starts_with("Quay test: 1:20, ends at "), "{out}");
    for line in [
        " 0:00  Starts in 5 seconds.\n",
        " 0:00  Block A, Raise. Work, 15 seconds. Tall march, alternating sides.\n",
        " 0:15  Block B, Hinge. Work, 20 seconds. Kettlebell deadlift. Bell up. About 5 repetitions.\n",
        " 0:35  Rest, 10 seconds. Next: Split squat, left then right. Bell down.\n",
        " 1:20  The class is over.\n",
    ] {
        assert!(out.contains(line), "{line:?} is not in\n{out}");
    }
    assert!(!out.contains('\r') && !out.contains('\x1b'), "{out:?}");
}

#[test]
fn keys_work_in_a_terminal_with_lines_as_well() {
    let home = home();
    let mut term = lead(&home, &["--plain"]);
    term.see("Space starts, pauses and resumes");
    term.press("?");
    term.see("Right arrow: End this station");
    term.press("?");
    term.press(" ");
    term.see("Starts in 5 seconds.");
    term.press("\x03");
    term.see("End the class for good?");
    term.press("y");
    assert_eq!(term.ends(), 0);
    assert!(term.text().contains("Ended by the coach."), "{}", term.text());
}

#[test]
fn lines_into_a_closed_pipe_end_quietly() {
    let home = home();
    let mut child = Command::new(binary())
        .args(["lead", &home.file(), "--no-sound", "--speed", "50"])
        .env_clear()
        .envs(home.environment())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn wrong_options_are_refused_before_anything_starts() {
    let home = home();
    let led = |options: &[&str]| {
        let output = Command::new(binary())
            .args(["lead", &home.file(), "--no-sound"])
            .args(options)
            .env_clear()
            .envs(home.environment())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    let (code, error) = led(&["--from", "D"]);
    assert_eq!(
        (code, error.as_str()),
        (Some(2), "--from: there is no block `D`; the blocks are A Raise, B Hinge, C Ease\n")
    );
    let (code, error) = led(&["--at", "quarter past six"]);
    assert_eq!((code, error.as_str()), (Some(2), "--at: a time of day is written like 18:15\n"));
    assert_eq!(led(&["--speed", "0"]).0, Some(2));
}

/// The README's picture, from a real class: `cargo test --test class picture -- --ignored` writes assets/screen.svg.
#[test]
#[ignore = "writes a file of the repository"]
fn the_picture_of_the_readme() {
    let home = home();
    let folder = env!("CARGO_MANIFEST_DIR");
    let file = format!("{folder}/sessions/frost-and-oars.ron");
    let mut term = Term::start(&home, binary(), &["lead", &file, "--no-sound", "--from", "B.4"], 120, 35);
    term.see("space to start");
    // Begin, and skip the count-in as soon as a second press counts.
    term.press(" ");
    std::thread::sleep(Duration::from_millis(1_000));
    term.press(" ");
    std::thread::sleep(Duration::from_secs(12));
    let picture = svg::svg(&cells::cells_of(term.seen.lock().unwrap().screen()));
    std::fs::write(format!("{folder}/assets/screen.svg"), picture).unwrap();
    term.press("qy");
    term.ends();
}
