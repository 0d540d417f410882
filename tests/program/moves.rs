//! `forecall moves` through the real binary, in an empty home.

use std::path::Path;
use std::process::{Command, Output};

fn moves(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_forecall"))
        .arg("moves")
        .args(arguments)
        .current_dir(home)
        .env_clear()
        .env("HOME", home)
        .env("XDG_CONFIG_HOME", home.join("config"))
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn printed(arguments: &[&str]) -> String {
    let home = tempfile::tempdir().unwrap();
    let output = moves(home.path(), arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stderr), "");
    text(&output.stdout)
}

#[test]
fn words_find_movements() {
    insta::assert_snapshot!("words", printed(&["spilt", "sqaut"]));
    insta::assert_snapshot!("minded", printed(&["--pattern", "push", "--kit", "mat", "--look-after", "wrist,supine"]));
}

#[test]
fn an_id_shows_one_movement_in_full() {
    insta::assert_snapshot!("whole", printed(&["split-squat"]));
    // A name or an alternative name works as well.
    assert!(printed(&["static", "lunge"]).starts_with("Split squat  (split-squat)"));
}

#[test]
fn no_line_is_wider_than_a_narrow_terminal() {
    for arguments in [&[][..], &["--look-after", "knee"], &["get-up"], &["windmill"]] {
        let printed = printed(arguments);
        let wide = printed.lines().find(|line| line.chars().count() > 80);
        assert_eq!(wide, None);
    }
}

#[test]
fn json_has_everything_and_a_version() {
    let found: serde_json::Value = serde_json::from_str(&printed(&["--json", "--look-after", "knee"])).unwrap();
    assert_eq!(found["version"], 1);
    let movements = found["movements"].as_array().unwrap();
    assert_eq!(movements.len(), class::movement::Catalogue::built_in().len());
    let squat = movements.iter().find(|movement| movement["id"] == "split-squat").unwrap();
    assert_eq!(squat["sides"], "left_then_right");
    assert_eq!(squat["suits"], "with_care");
    assert_eq!(squat["tempo"]["counts"], serde_json::json!([2, 0, 1, 0]));
    assert_eq!(
        squat["cautions"][0],
        serde_json::json!({"region": "knee", "instead": "movement", "what": "glute-bridge"})
    );
    let none: serde_json::Value = serde_json::from_str(&printed(&["--json", "xylophone"])).unwrap();
    assert_eq!(none["movements"], serde_json::json!([]));
}

#[test]
fn an_unknown_movement_or_word_has_its_exit_code() {
    let home = tempfile::tempdir().unwrap();
    for (arguments, code, reason) in [
        (&["xylophone"][..], 1, "no movement fits"),
        (&["squat", "--position", "prone"], 1, "there is `squat`, but not with these options"),
        (&["--pattern", "pusg"], 2, "'push'"),
        (&["--look-after", "elbow"], 2, "wrist"),
        (&["--movements", "nowhere.ron"], 2, "cannot read nowhere.ron"),
    ] {
        let output = moves(home.path(), arguments);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}");
        assert!(text(&output.stderr).contains(reason), "{arguments:?}: {}", text(&output.stderr));
        assert_eq!(text(&output.stdout), "", "{arguments:?}");
    }
}

fn oar_press(name: &str) -> String {
    format!(
        "[\n  (id: \"oar-press\", name: \"{name}\", pattern: push, position: seated, prime: [shoulders],\n   \
         setup: \"Sit tall.\", prompts: [\"press\", \"return\"]),\n]\n"
    )
}

#[test]
fn the_coach_s_own_movements_are_found_and_a_given_file_comes_first() {
    let home = tempfile::tempdir().unwrap();
    let config = home.path().join("config/forecall");
    std::fs::create_dir_all(&config).unwrap();
    std::fs::write(config.join("movements.ron"), oar_press("Oar press")).unwrap();
    std::fs::write(home.path().join("more.ron"), oar_press("Oar push")).unwrap();
    assert!(text(&moves(home.path(), &["oar-press"]).stdout).starts_with("Oar press  (oar-press)"));
    let given = moves(home.path(), &["oar-press", "--movements", "more.ron"]);
    assert!(text(&given.stdout).starts_with("Oar push  (oar-press)"));
}

#[test]
fn all_faults_of_all_files_are_reported_with_their_lines() {
    let home = tempfile::tempdir().unwrap();
    let first = oar_press("Oar press").replace("oar-press", "Oar Press").replace("\"return\"", "\"\"");
    let second = oar_press("Oar press").replace("prompts", "promts");
    std::fs::write(home.path().join("first.ron"), first).unwrap();
    std::fs::write(home.path().join("second.ron"), second).unwrap();
    let output = moves(home.path(), &["--movements", "first.ron", "--movements", "second.ron"]);
    assert_eq!(output.status.code(), Some(1));
    insta::assert_snapshot!("faults", text(&output.stderr));
}
