//! The limits inside the core: a module uses only modules listed before it in `lib.rs`, and every module only
//! calculates.

use std::fs;
use std::path::{Path, PathBuf};

const CORE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../class");

/// All source files of a module, or of a folder.
fn files(path: &Path) -> Vec<PathBuf> {
    if path.is_file() {
        return vec![path.to_owned()];
    }
    let entries = fs::read_dir(path).into_iter().flatten().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = entries.flat_map(|entry| files(&entry)).collect();
    files.retain(|file| file.extension().is_some_and(|ending| ending == "rs"));
    files
}

/// The names after `before` in a text, such as the modules after `crate::`.
fn names<'a>(text: &'a str, before: &'a str) -> impl Iterator<Item = &'a str> {
    text.match_indices(before).map(move |(at, _)| {
        let rest = &text[at + before.len()..];
        &rest[..rest.find(|letter: char| !letter.is_alphanumeric() && letter != '_').unwrap_or(rest.len())]
    })
}

#[test]
fn a_module_uses_only_modules_listed_before_it() {
    let lib = fs::read_to_string(format!("{CORE}/lib.rs")).unwrap();
    let modules: Vec<&str> = names(&lib, "mod ").collect();
    assert!(modules.len() > 10, "{modules:?}");
    let mut upward = Vec::new();
    for (place, module) in modules.iter().enumerate() {
        let found = [format!("{CORE}/{module}.rs"), format!("{CORE}/{module}")].map(PathBuf::from);
        let found: Vec<PathBuf> = found.iter().flat_map(|path| files(path)).collect();
        assert!(!found.is_empty(), "no files of {module}");
        for file in found {
            let text = fs::read_to_string(&file).unwrap();
            for used in names(&text, "crate::").filter(|used| modules.iter().skip(place + 1).any(|later| later == used))
            {
                upward.push(format!("{}: crate::{used}", file.display()));
            }
        }
    }
    assert!(upward.is_empty(), "uses of later modules:\n{}", upward.join("\n"));
}

#[test]
fn the_core_has_no_clock_no_file_no_thread_and_no_terminal() {
    let outside = [
        "std::fs",
        "std::io",
        "std::thread",
        "std::net",
        "std::process",
        "std::env",
        "Instant",
        "SystemTime",
        "::now()",
        "println!",
        "eprint",
    ];
    let mut found = Vec::new();
    for file in files(Path::new(CORE)) {
        let text = fs::read_to_string(&file).unwrap();
        found.extend(
            outside.iter().filter(|word| text.contains(**word)).map(|word| format!("{}: {word}", file.display())),
        );
    }
    assert!(found.is_empty(), "the core reaches outside:\n{}", found.join("\n"));
}
