//! The settings, the shell completions and the manual pages.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

/// Runs the program in a home folder of its own.
fn forecall(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(arguments)
        .env_clear()
        .env("HOME", home)
        .env("PATH", std::env::var_os("PATH").unwrap_or_default())
        .env("COLUMNS", "100")
        .output()
        .unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// A home folder with these settings.
fn home(config: &str) -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    let made = forecall(home.path(), &["config", "--write"]);
    assert!(made.status.success(), "{}", said(&made));
    fs::write(file(home.path()), config).unwrap();
    home
}

/// The path of the settings file, as the program prints it.
fn file(home: &Path) -> String {
    let shown = forecall(home, &["config"]);
    let shown = String::from_utf8(shown.stdout).unwrap();
    shown.lines().next().unwrap().split(" (does not exist").next().unwrap().to_owned()
}

const CLASS: &str = "sessions/frost-and-oars.ron";

#[test]
fn the_settings_file_is_created_once_and_never_overwritten() {
    let home = home("(voice: \"none\")");
    let again = forecall(home.path(), &["config", "--write"]);
    assert_eq!(again.status.code(), Some(2), "{}", said(&again));
    assert_eq!(fs::read_to_string(file(home.path())).unwrap(), "(voice: \"none\")");
}

#[test]
fn settings_apply_unless_the_command_line_overrides_them() {
    let home = home("(voice: \"command:no-such-program\")");
    let captions = ["export", CLASS, "--as", "vtt", "-o", "-"];
    let set = forecall(home.path(), &captions);
    assert!(String::from_utf8_lossy(&set.stderr).contains("no-such-program"), "{}", said(&set));
    let asked = forecall(home.path(), &[&captions[..], &["--voice", "none"]].concat());
    assert!(!String::from_utf8_lossy(&asked.stderr).contains("no-such-program"));
    let shown = said(&forecall(home.path(), &["config"]));
    let line = |name: &str| shown.lines().find(|line| line.starts_with(name)).unwrap().to_owned();
    assert!(line("voice").ends_with("set") && line("voice").contains("no-such-program"), "{shown}");
    assert!(line("group_factor").ends_with("built in"), "{shown}");
}

#[test]
fn a_wrong_setting_stops_a_class_but_not_the_help() {
    let home = home("(\n    voise: \"own\",\n)");
    for command in [&["check", CLASS][..], &["show", CLASS], &["config"]] {
        let stopped = forecall(home.path(), command);
        assert_eq!(stopped.status.code(), Some(1), "{command:?}");
        let said = said(&stopped);
        assert!(said.contains("config.ron:2:") && said.contains("did you mean voice?"), "{said}");
    }
    for command in [&["--help"][..], &["lead", "--help"], &["config", "--help"], &["man"], &["completions", "bash"]] {
        assert!(forecall(home.path(), command).status.success(), "{command:?}");
    }
}

/// The commands, as the first help page lists them.
fn commands(home: &Path) -> Vec<String> {
    let page = said(&forecall(home, &["--help"]));
    let list = page.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    // The rest of a long line is indented further.
    let list = list.filter(|line| !line.starts_with("   "));
    list.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help").map(String::from).collect()
}

#[test]
fn every_command_has_its_manual_page_and_is_completed() {
    let home = tempfile::tempdir().unwrap();
    let pages = home.path().join("man");
    let written = forecall(home.path(), &["man", "-o", pages.to_str().unwrap()]);
    assert!(written.status.success(), "{}", said(&written));
    let first = fs::read_to_string(pages.join("forecall.1")).unwrap();
    assert!(first.contains(".SH SETTINGS") && first.contains("recovery_nights"), "{first}");
    let commands = commands(home.path());
    assert!(commands.len() > 10, "{commands:?}");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let completions = said(&forecall(home.path(), &["completions", shell]));
        for command in &commands {
            assert!(completions.contains(command.as_str()), "{shell} does not know {command}");
        }
    }
    for command in &commands {
        let page = fs::read_to_string(pages.join(format!("forecall-{command}.1"))).unwrap();
        assert!(page.contains(".SH NAME") && page.contains(".SH SYNOPSIS"), "{command}");
    }
}

#[test]
fn colour_is_used_when_it_is_requested() {
    let home = tempfile::tempdir().unwrap();
    let faulty = home.path().join("faulty.ron");
    fs::write(&faulty, "(title: 3)").unwrap();
    let coloured = |arguments: &[&str]| {
        let check = [&["check", faulty.to_str().unwrap()], arguments].concat();
        said(&forecall(home.path(), &check)).contains('\u{1b}')
    };
    assert!(coloured(&["--color", "always"]));
    assert!(!coloured(&["--color", "never"]));
    assert!(!coloured(&[]), "the output is no terminal");
}
