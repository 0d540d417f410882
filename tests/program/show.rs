//! The demo sessions as `forecall show` prints them.

use std::process::Command;

use class::movement::Catalogue;
use class::schedule::ChangeoverCosts;
use cli::session::open;

const DEMOS: [&str; 4] = ["first-look", "frost-and-oars", "lunch-at-the-landing", "six-boats"];

fn forecall(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_clear()
        .env("HOME", "/nonexistent")
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_demo_sessions_read_well() {
    for demo in DEMOS {
        insta::assert_snapshot!(demo, forecall(&["show", &format!("sessions/{demo}.ron")]));
    }
}

/// Start, length, rank, audience and text of each cue, and why a cue is unspoken.
#[test]
fn all_cues_of_a_class_are_shown() {
    let cues = |arguments: &[&str]| forecall(&[&["show", "--cues"], arguments].concat());
    insta::assert_snapshot!("cues-frost-and-oars", cues(&["sessions/frost-and-oars.ron"]));
    insta::assert_snapshot!("cues-six-boats-full", cues(&["--level", "full", "sessions/six-boats.ron"]));
    insta::assert_snapshot!("cues-lunch-ear", cues(&["--ear-lead", "5s", "sessions/lunch-at-the-landing.ron"]));
    let shown: serde_json::Value =
        serde_json::from_str(&cues(&["--level", "full", "--json", "sessions/first-look.ron"])).unwrap();
    insta::assert_json_snapshot!("cues-first-look-json", shown);
}

/// tests/class/volume.rs checks the figures; here the text is checked.
#[test]
fn the_volume_of_a_class_reads_well() {
    insta::assert_snapshot!("volume-frost-and-oars", forecall(&["show", "--volume", "sessions/frost-and-oars.ron"]));
    let shown: serde_json::Value =
        serde_json::from_str(&forecall(&["show", "--volume", "--json", "sessions/first-look.ron"])).unwrap();
    insta::assert_json_snapshot!("volume-first-look-json", shown);
}

#[test]
fn the_demo_sessions_have_no_finding() {
    for demo in DEMOS {
        // Advice is tested in tests/program/advice.rs.
        let file = format!("{}/sessions/{demo}.ron", env!("CARGO_MANIFEST_DIR"));
        let checked = open(file.as_ref(), Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED).unwrap();
        assert!(checked.report.faults.is_empty(), "{:?}", checked.report);
    }
}

#[test]
fn the_first_look_takes_ninety_seconds() {
    let shown: serde_json::Value =
        serde_json::from_str(&forecall(&["show", "--json", "sessions/first-look.ron"])).unwrap();
    assert_eq!(shown["version"], 1);
    assert_eq!(shown["total_ms"], 90_000);
    let spans = shown["spans"].as_array().unwrap();
    assert_eq!(spans.last().unwrap()["end_ms"], shown["total_ms"]);
    insta::assert_json_snapshot!("first-look-json", shown);
}
