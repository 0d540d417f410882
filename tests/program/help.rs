//! The help of every command.

use std::process::Command;

fn help(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(arguments)
        .env_clear()
        .env("COLUMNS", "100")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap()
}

/// The commands, as the first help page lists them.
fn commands() -> Vec<String> {
    let page = help(&["--help"]);
    let list = page.lines().skip_while(|line| *line != "Commands:").skip(1);
    list.take_while(|line| !line.is_empty())
        // The rest of a long line is indented further.
        .filter(|line| !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .map(String::from)
        .collect()
}

#[test]
fn every_command_explains_itself() {
    let commands = commands();
    assert!(commands.len() >= 8, "{commands:?}");
    let mut pages = help(&["--help"]);
    for command in &commands {
        pages += &format!("\n---- {command}\n{}", help(&[command, "--help"]));
    }
    // The option of debug builds is hidden.
    assert!(!pages.contains("--fail"));
    insta::assert_snapshot!("help", pages);
}

#[test]
fn an_unknown_command_is_refused_with_the_nearest_one() {
    let said = help(&["chek"]);
    assert!(said.contains("check"), "{said}");
}

#[test]
fn a_missing_file_is_refused_with_the_nearest_one() {
    let sessions = concat!(env!("CARGO_MANIFEST_DIR"), "/sessions");
    for (wrong, right) in [
        ("frost-and-oras.ron", Some("frost-and-oars.ron")),
        ("first-look", Some("first-look.ron")),
        ("something-else.ron", None),
    ] {
        let said = help(&["check", &format!("{sessions}/{wrong}")]);
        let hint = right.map_or_else(String::new, |right| format!("; did you mean {sessions}/{right}?"));
        assert_eq!(said, format!("cannot read {sessions}/{wrong}: there is no such file{hint}\n"));
    }
}
