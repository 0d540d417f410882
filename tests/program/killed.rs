//! The program is killed at any moment of a class: everything shown is in the journal, and the class can be resumed.
#![cfg(unix)]

use crate::pty;

use std::os::unix::fs::PermissionsExt;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use class::time::clock;
use journal::{JournalEvent, JournalFolder, JournalOpenError, ListedJournal, PlannedClass, replay};
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use pty::{Home, PATIENCE, Term, binary};
use rustix::process::Signal;

const SESSION: &str = r#"(title: "Quay", blocks: [
    (name: "Raise", kind: warm_up, work: "15s", stations: ["march-tall", "arm-sweeps"]),
    (name: "Hinge", work: "20s", rest: "10s", rounds: 3, stations: ["bell-deadlift", (move: "split-squat", sides: left_then_right)]),
    (name: "Ease", kind: cool_down, work: "15s", stations: ["childs-pose"]),
])"#;

/// The classes run 20 times as fast as planned: 1 s of class time takes 50 ms.
const SPEED: &str = "20";

fn folder(home: &Home) -> PathBuf {
    home.0.path().join(".local/share/forecall/journal")
}

fn entries(home: &Home) -> Vec<ListedJournal> {
    JournalFolder::new(folder(home)).entries().unwrap()
}

fn lead(home: &Home) -> Term {
    let file = home.file();
    Term::start(home, binary(), &["lead", &file, "--plain", "--no-sound", "--speed", SPEED], 150, 250)
}

/// A class that is cut off at its second station.
fn broken_off(home: &Home) {
    let mut term = lead(home);
    term.see("Space starts");
    term.press("  ");
    term.see("0:15");
    term.signal(Signal::KILL);
    let _ = term.child.wait();
}

/// What a command without a terminal prints, and its exit code.
fn says(home: &Home, arguments: &[&str]) -> (String, Option<i32>) {
    let mut command = Command::new(binary());
    command.args(arguments).env_clear().envs(home.environment()).stdin(Stdio::null());
    let output = command.output().unwrap();
    (
        String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr),
        output.status.code(),
    )
}

/// The class time of a line, in seconds.
fn at(line: &str) -> Option<u64> {
    let (minutes, rest) = line.trim_start().split_once(':')?;
    let (seconds, _) = rest.split_once("  ")?;
    Some(minutes.parse::<u64>().ok()? * 60 + seconds.parse::<u64>().ok()?)
}

/// Two hundred moments in two tests, with a few keys before each. Nothing that the coach has seen is lost, and the
/// journal is at most 1 s of class time behind what was shown.
#[test]
fn a_class_killed_at_any_moment_is_resumed_where_it_was() {
    kill(11);
}

#[test]
fn a_class_killed_at_a_hundred_more_moments_is_resumed() {
    kill(12);
}

fn kill(seed: u64) {
    let mut state = seed;
    let mut random = |below: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % below
    };
    for round in 0..100 {
        let home = Home::with(SESSION);
        let mut term = lead(&home);
        term.see("Space starts");
        term.press("  ");
        term.see("0:00  Block A");
        for _ in 0..random(4) {
            let key = ["+", "u", "\x1b[C", "a", "-"][random(5) as usize];
            term.press(key);
            std::thread::sleep(Duration::from_millis(random(40)));
        }
        std::thread::sleep(Duration::from_millis(random(150)));
        term.signal(Signal::KILL);
        let _ = term.child.wait();
        // Reads the last lines that the program wrote.
        let begun = Instant::now();
        let mut text = term.text();
        while begun.elapsed() < Duration::from_millis(20) {
            std::thread::sleep(Duration::from_millis(5));
            text = term.text();
        }
        let [entry] = entries(&home).try_into().expect("one journal");
        let kept = entry.read().unwrap();
        let left = replay(&PlannedClass::of(&kept.header).unwrap(), &kept);
        let left = left.unwrap_or_else(|fault| panic!("round {round}: {fault}: {:#?}", kept.records));
        let seen = text.lines().filter_map(at).max().unwrap_or(0);
        assert!(left.now.0 + 1_000 >= seen * 1_000, "round {round}: {:?} of {seen} s\n{text}", left.now);
        let changed = |what: &JournalEvent| matches!(what, JournalEvent::Changed { .. });
        let written = kept.records.iter().filter(|record| changed(&record.what)).count();
        let shown = text.lines().filter(|line| line.contains("  Changed: ")).count();
        assert!(written >= shown, "round {round}: {written} of {shown} changes\n{text}");
    }
}

#[test]
fn a_class_that_was_cut_off_is_resumed_to_its_end() {
    let home = Home::with(SESSION);
    broken_off(&home);
    let [entry] = entries(&home).try_into().expect("one journal");
    let id = entry.id.clone();
    // An incomplete last line is cut off and reported.
    let path = folder(&home).join(format!("{id}.jsonl"));
    let mut bytes = std::fs::read(&path).unwrap();
    bytes.extend(b"{\"at\":16");
    std::fs::write(&path, bytes).unwrap();
    let mut term = Term::start(&home, binary(), &["resume", "--plain", "--no-sound", "--speed", SPEED], 150, 250);
    term.see("was cut off at 0:");
    term.see("resume from the beginning of");
    term.press("t");
    term.see("Resuming at 0:");
    term.press("  ");
    term.see("The class is over.");
    assert_eq!(term.ends(), 0);
    let kept = entry.read().unwrap();
    assert!(!kept.torn);
    let ended = replay(&PlannedClass::of(&kept.header).unwrap(), &kept).unwrap();
    assert!(ended.ended.is_some());
    assert_eq!(clock(ended.now), clock(ended.course.schedule().total()));
    // There is no class left to resume.
    let (said, code) = says(&home, &["resume"]);
    assert_eq!((said.as_str(), code), ("no class was cut off\n", Some(1)));
}

#[test]
fn leading_the_same_file_offers_the_class_that_was_cut_off() {
    let home = Home::with(SESSION);
    broken_off(&home);
    let mut term = lead(&home);
    term.see("start a new class");
    term.press("n");
    term.see("Space starts");
    term.press("qy");
    let mut again = lead(&home);
    again.see("start a new class");
    again.press("b");
    again.see("Resuming at 0:");
    again.press("  ");
    again.see("Arm sweeps");
    again.signal(Signal::KILL);
}

/// A signal ends it and leaves the terminal as it was. It also ends when its terminal closes without a signal, as a
/// terminal that is not its controlling one does.
#[test]
fn the_question_about_a_class_that_was_cut_off_ends_with_its_terminal() {
    let home = Home::with(SESSION);
    broken_off(&home);
    let mut asked = lead(&home);
    asked.see("start a new class");
    asked.signal(Signal::TERM);
    assert_eq!(asked.ends(), 128 + 15);

    let terminal = native_pty_system().openpty(PtySize::default()).unwrap();
    let mut command = CommandBuilder::new(binary());
    command.args(["lead", &home.file(), "--plain", "--no-sound", "--speed", SPEED]);
    command.env_clear();
    home.environment().into_iter().for_each(|(name, value)| command.env(name, value));
    command.set_controlling_tty(false);
    let modes = || format!("{:?}", terminal.master.get_termios());
    let lines = modes();
    let mut child = terminal.slave.spawn_command(command).unwrap();
    let begun = Instant::now();
    // The question is shown before the terminal is set to take keys.
    while modes() == lines {
        assert!(begun.elapsed() < PATIENCE, "it takes no keys");
        std::thread::sleep(Duration::from_millis(5));
    }
    drop(terminal);
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        assert!(begun.elapsed() < PATIENCE, "it keeps running without its terminal");
        std::thread::sleep(Duration::from_millis(5));
    };
    assert_eq!(status.exit_code(), 128 + 1);
}

#[test]
fn a_journal_is_readable_by_its_owner_only_and_each_class_has_its_own() {
    let home = Home::with(SESSION);
    let mut terms: Vec<Term> = (0..2).map(|_| lead(&home)).collect();
    for term in &mut terms {
        term.until("a start or a question", |text| text.contains("Space starts") || text.contains("being led"));
        term.press("  ");
    }
    for term in &mut terms {
        term.see("0:00  Block A");
    }
    let entries = entries(&home);
    assert_eq!(entries.len(), 2);
    let mode = |path: PathBuf| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(folder(&home)), 0o700);
    for entry in &entries {
        assert_eq!(mode(folder(&home).join(format!("{}.jsonl", entry.id))), 0o600);
        assert!(entry.is_led());
        assert!(matches!(entry.lock(), Err(JournalOpenError::Led)));
        let (said, code) = says(&home, &["resume", &entry.id]);
        assert!(said.contains("still being led"), "{said}");
        assert_eq!(code, Some(2));
    }
}

#[test]
fn a_home_that_cannot_be_written_is_reported_once_and_the_class_continues() {
    let home = Home::with(SESSION);
    // There is a file where the folder should be, so not even root can write there.
    std::fs::create_dir_all(home.0.path().join(".local/share")).unwrap();
    std::fs::write(home.0.path().join(".local/share/forecall"), "").unwrap();
    let file = home.file();
    let (said, code) = says(&home, &["lead", &file, "--no-sound", "--speed", "500"]);
    assert_eq!(code, Some(0), "{said}");
    assert_eq!(said.matches("is not being saved").count(), 1, "{said}");
    assert!(said.contains("The class is over."), "{said}");
}
