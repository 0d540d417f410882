//! The repository itself: the layers, a runner for every test file, the version of Rust, no unused words.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The layers from the lowest up, each with the layers that it may use.
const LAYERS: [(&str, &[&str]); 6] = [
    ("class", &[]),
    ("journal", &["class"]),
    ("sound", &["class"]),
    ("paper", &["class", "journal", "sound"]),
    ("stage", &["class", "journal", "sound"]),
    ("cli", &["class", "journal", "sound", "paper", "stage"]),
];

/// The dependencies of the core besides the standard library. None of these opens a file, a device or a terminal.
const OF_THE_CORE: [&str; 9] =
    ["jiff", "nucleo-matcher", "ron", "ron2", "serde", "serde_json", "strsim", "strum", "thiserror"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.flat_map(|entry| if entry.is_dir() { files(&entry) } else { vec![entry] }).collect()
}

/// The metadata of the packages of this workspace and of all their dependencies.
fn metadata() -> serde_json::Value {
    let mut cargo = Command::new(env!("CARGO"));
    let output = cargo.args(["metadata", "--format-version", "1", "--offline", "--locked"]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The dependencies of a package that are no development dependencies.
fn dependencies(metadata: &serde_json::Value, package: &str) -> BTreeSet<String> {
    let packages = metadata["packages"].as_array().unwrap();
    let package = packages.iter().find(|one| one["name"] == package).unwrap();
    let all = package["dependencies"].as_array().unwrap().iter().filter(|one| one["kind"].is_null());
    all.map(|one| one["name"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_layer_uses_only_layers_below_it() {
    let metadata = metadata();
    for (layer, below) in LAYERS {
        let all = dependencies(&metadata, &format!("forecall-{layer}"));
        let used: BTreeSet<&str> = all.iter().filter_map(|name| name.strip_prefix("forecall-")).collect();
        let may: BTreeSet<&str> = below.iter().copied().collect();
        assert!(used.is_subset(&may), "{layer} uses {used:?}, and may use {may:?}");
    }
    let core: BTreeSet<String> = OF_THE_CORE.map(str::to_owned).into();
    assert_eq!(dependencies(&metadata, "forecall-class"), core);
    // There are no packages besides the layers.
    let folders = fs::read_dir(root().join("src")).unwrap().map(|entry| entry.unwrap().file_name());
    let folders: BTreeSet<String> = folders.map(|name| name.to_string_lossy().into_owned()).collect();
    let layers = LAYERS.iter().map(|(layer, _)| (*layer).to_owned()).chain(["main.rs".to_owned()]);
    assert_eq!(folders, layers.collect::<BTreeSet<String>>());
}

#[test]
fn every_test_file_is_in_its_runner() {
    for runner in ["class", "sound", "paper", "stage", "program"] {
        let folder = root().join("tests").join(runner);
        let main = fs::read_to_string(folder.join("main.rs")).unwrap();
        for entry in fs::read_dir(&folder).unwrap() {
            let file = entry.unwrap().path();
            let name = file.file_stem().unwrap().to_string_lossy().into_owned();
            if file.extension().is_some_and(|ending| ending == "rs") && name != "main" {
                assert!(main.contains(&format!("mod {name};\n")), "{} is in no runner", file.display());
            }
        }
    }
    // A file beside the runners would never be built.
    let loose = fs::read_dir(root().join("tests")).unwrap().map(|entry| entry.unwrap().path());
    let loose: Vec<PathBuf> = loose.filter(|path| path.extension().is_some_and(|ending| ending == "rs")).collect();
    assert!(loose.is_empty(), "{loose:?}");
}

#[test]
fn the_version_of_rust_is_what_the_dependencies_need() {
    let metadata = metadata();
    let version = |text: &str| -> Vec<u32> { text.split('.').take(2).map(|part| part.parse().unwrap()).collect() };
    let (mut ours, mut needed) = (Vec::new(), Vec::new());
    for package in metadata["packages"].as_array().unwrap() {
        let Some(said) = package["rust_version"].as_str() else { continue };
        if package["name"].as_str().unwrap().starts_with("forecall") {
            ours.push(version(said));
        } else {
            needed.push((version(said), package["name"].as_str().unwrap()));
        }
    }
    let (needed, by) = needed.into_iter().max().unwrap();
    assert!(ours.iter().all(|one| *one == needed), "{by} needs Rust {needed:?}, Cargo.toml says {ours:?}");
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    assert!(readme.contains(&format!("{}.{} or later", needed[0], needed[1])), "the README says another version");
}

/// The words are public, so the compiler does not report unused ones.
#[test]
fn every_word_of_the_word_list_is_used() {
    let words = root().join("src/class/words");
    let all = files(&root().join("src"));
    let read: String = (all.iter())
        .filter(|file| file.extension().is_some_and(|ending| ending == "rs") && !file.starts_with(&words))
        .map(|file| fs::read_to_string(file).unwrap())
        .collect();
    let mut unread = Vec::new();
    let mut fields = 0;
    for file in files(&words) {
        let text = fs::read_to_string(&file).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in text.lines() {
            let Some((field, _)) = line.trim().strip_prefix("pub ").and_then(|rest| rest.split_once(':')) else {
                continue;
            };
            if !field.chars().all(|letter| letter.is_alphanumeric() || letter == '_') {
                continue;
            }
            fields += 1;
            let (member, own) = (format!(".{field}"), format!("self.{field}"));
            let ends = |rest: &str| !rest.starts_with(|letter: char| letter.is_alphanumeric() || letter == '_');
            let named = |text: &str, word: &str| text.match_indices(word).any(|(at, _)| ends(&text[at + word.len()..]));
            if !named(&read, &member) && !named(text, &own) {
                unread.push(format!("{}: {field}", file.display()));
            }
        }
    }
    assert!(fields > 300, "only {fields} fields were found");
    assert!(unread.is_empty(), "nobody reads:\n{}", unread.join("\n"));
}
