//! Every file under `tests/faulty` has the faults that are written in its comments, at those places, and no others.
//!
//! `//~ CODE `MARKED` WORDS` is at the end of the line that has the fault, or alone on the line above it. `//~^` is on
//! the line below it. MARKED is the text under the mark. WORDS are in the message or the help. `//~ warning CODE ..` is
//! a warning.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use class::check::advice::RULES;
use class::movement::Catalogue;
use class::schedule::ChangeoverCosts;
use class::session::fault::{FaultCode, Severity};
use cli::session::{CheckedSession, open};
use strum::IntoEnumIterator;

/// A fault that a file expects.
#[derive(Debug)]
struct Expected {
    /// From 1.
    line: usize,
    severity: Severity,
    code: String,
    marked: String,
    words: String,
}

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faulty");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

fn check(file: &Path) -> CheckedSession {
    open(file, Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED).unwrap()
}

fn expected(text: &str) -> Vec<Expected> {
    let lines: Vec<&str> = text.lines().collect();
    let mut expected = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let Some((before, note)) = line.split_once("//~") else { continue };
        let is_note = |line: &str| line.trim_start().starts_with("//~");
        let (line, note) = if let Some(note) = note.strip_prefix('^') {
            let above = (0..index).rev().find(|&above| !is_note(lines[above])).unwrap();
            (above, note)
        } else if before.trim().is_empty() {
            let below = (index + 1..lines.len()).find(|&below| !is_note(lines[below])).unwrap_or(index + 1);
            (below, note)
        } else {
            (index, note)
        };
        let note = note.trim();
        let (severity, note) = match note.strip_prefix("warning ") {
            Some(note) => (Severity::Warning, note),
            None => (Severity::Fault, note),
        };
        let mut parts = note.splitn(3, '`');
        let (code, marked, words) = (parts.next().unwrap(), parts.next().unwrap(), parts.next().unwrap());
        expected.push(Expected {
            line: line + 1,
            severity,
            code: code.trim().to_owned(),
            marked: marked.to_owned(),
            words: words.trim().to_owned(),
        });
    }
    expected
}

/// The differences between the faults that were found and those that the file expects.
fn differences(file: &Path) -> Vec<String> {
    let checked = check(file);
    let mut expected = expected(&checked.text);
    let mut wrong = Vec::new();
    if expected.is_empty() {
        wrong.push("expects nothing".to_owned());
    }
    for placed in &checked.report.faults {
        let fault = &placed.fault;
        let place = placed.place.clone().unwrap_or(0..0);
        let line = checked.text[..place.start].matches('\n').count() + 1;
        let marked = checked.text[place].lines().next().unwrap_or_default();
        let said = format!("{} {}", fault.message, fault.help.clone().unwrap_or_default());
        let as_expected = |expected: &Expected| {
            expected.line == line
                && expected.severity == fault.severity
                && expected.code == fault.code.to_string()
                && expected.marked == marked
                && said.contains(&expected.words)
        };
        match expected.iter().position(as_expected) {
            Some(index) => drop(expected.remove(index)),
            None => wrong.push(format!("line {line}: {} {} `{marked}` {said}", fault.severity, fault.code)),
        }
    }
    wrong.extend(expected.iter().map(|missing| format!("not found: {missing:?}")));
    wrong
}

#[test]
fn every_file_has_the_faults_written_in_it() {
    let mut wrong = Vec::new();
    for file in files() {
        for difference in differences(&file) {
            wrong.push(format!("{}: {difference}", file.file_name().unwrap().display()));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn there_are_many_files_and_a_file_for_every_code() {
    assert!(files().len() >= 35);
    let told: BTreeSet<FaultCode> = files()
        .iter()
        .flat_map(|file| check(file).report.faults)
        .map(|placed| placed.fault.code)
        // Huge files are not stored here: tests/program/reading.rs makes them.
        // Earlier classes are not part of a session file: tests/class/recovery.rs has them.
        .chain([FaultCode::FileTooLarge, FaultCode::TooDeep, FaultCode::BadMovement, FaultCode::NotRecovered])
        // Only the command gives advice and reports an allowance that is not needed: tests/program/advice.rs.
        .chain([FaultCode::AllowsNothing])
        .chain(RULES.iter().map(|rule| rule.code))
        .collect();
    let silent: Vec<FaultCode> = FaultCode::iter().filter(|code| !told.contains(code)).collect();
    assert!(silent.is_empty(), "no file shows {silent:?}");
}
