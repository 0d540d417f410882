//! The log: what was planned and what was done, read back with the real program.

use std::process::{Command, Stdio};

const SESSION: &str = r#"(title: "Quay", blocks: [
    (name: "Raise", kind: warm_up, work: "15s", stations: ["march-tall"]),
    (name: "Hinge", work: "20s", rest: "10s", rounds: 2, stations: ["bell-deadlift", (move: "split-squat", sides: left_then_right)]),
])"#;

struct Home(tempfile::TempDir);

impl Home {
    fn new() -> Home {
        let home = tempfile::tempdir().unwrap();
        std::fs::write(home.path().join("class.ron"), SESSION).unwrap();
        Home(home)
    }

    fn says(&self, arguments: &[&str]) -> (String, Option<i32>) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_forecall"));
        command.args(arguments).env_clear().env("HOME", self.0.path()).env("TZ", "UTC");
        let output = command.current_dir(self.0.path()).stdin(Stdio::null()).output().unwrap();
        let text = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
        (text, output.status.code())
    }

    fn lead(&self, options: &[&str]) {
        let arguments = [&["lead", "class.ron", "--no-sound", "--speed", "500"], options].concat();
        assert_eq!(self.says(&arguments).1, Some(0));
    }
}

#[test]
fn a_class_led_to_its_end_is_logged_as_done_as_planned() {
    let home = Home::new();
    assert_eq!(home.says(&["log"]), ("No class has been led yet.\n".into(), Some(0)));
    assert_eq!(home.says(&["log", "last"]).1, Some(1));
    home.lead(&[]);
    let (list, code) = home.says(&["log"]);
    assert_eq!(code, Some(0));
    assert!(list.contains("Quay  2:05 of 2:05  finished"), "{list}");
    let (class, _) = home.says(&["log", "last"]);
    for line in ["A Raise", "B Hinge", "planned   0:15  done   0:15", "planned   0:40  done   0:40"] {
        assert!(class.contains(line), "{line}\n{class}");
    }
    let (csv, _) = home.says(&["log", "last", "--csv"]);
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 3);
    assert!(rows.iter().all(|row| row[2] == row[3]), "{csv}");
    let (json, _) = home.says(&["log", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json[0]["done_ms"], 125_000);
    // The class was done as planned, so its volume is the planned one too.
    let (planned, _) = home.says(&["show", "--volume", "--json", "class.ron"]);
    let planned: serde_json::Value = serde_json::from_str(&planned).unwrap();
    assert_eq!(json[0]["volume"], planned["volume"]);
    let (told, _) = home.says(&["log", "last", "--volume"]);
    assert!(told.contains("Under load") && told.contains("hamstrings"), "{told}");
}

/// A class that starts in the middle: the stations before that were not done.
#[test]
fn a_class_begun_in_the_middle_counts_from_there() {
    let home = Home::new();
    home.lead(&["--from", "B"]);
    let (csv, _) = home.says(&["log", "last", "--csv"]);
    assert!(csv.contains("Raise,Tall march,15.000,0.000"), "{csv}");
    assert!(csv.contains("Hinge,Kettlebell deadlift,40.000,40.000"), "{csv}");
}

#[test]
fn notes_added_later_change_nothing_else() {
    let home = Home::new();
    home.lead(&[]);
    let before = home.says(&["log", "last"]).0;
    assert_eq!(home.says(&["log", "last", "--note", "two bells short"]).1, Some(0));
    assert_eq!(home.says(&["log", "last", "--note", "bell\u{7}"]).1, Some(2));
    assert_eq!(home.says(&["log", "last", "--note", "  "]).1, Some(2));
    assert_eq!(home.says(&["log", "last"]).0, before + "note: two bells short\n");
}

#[test]
fn an_unreadable_journal_is_one_line_of_the_list() {
    let home = Home::new();
    home.lead(&[]);
    let folder = home.0.path().join(".local/share/forecall/journal");
    std::fs::write(folder.join("2020-01-10-1810.jsonl"), "garbage\n").unwrap();
    let (list, code) = home.says(&["log"]);
    assert_eq!(code, Some(0));
    assert!(list.starts_with("2020-01-10-1810  cannot be read: it is not a class journal"), "{list}");
    assert!(list.contains("finished"));
}

/// Four minutes of deadlifts today: `check` warns about the same muscles on the same day, but never refuses the class.
/// A class that was only run through fast does not count.
#[test]
fn check_warns_about_muscles_loaded_today() {
    let home = Home::new();
    let loaded =
        r#"(title: "Pulls", blocks: [(name: "A", work: "60s", rest: "10s", rounds: 4, stations: ["bell-deadlift"])])"#;
    std::fs::write(home.0.path().join("class.ron"), loaded).unwrap();
    home.lead(&[]);
    assert!(!home.says(&["check", "class.ron"]).0.contains("not_recovered"));
    let folder = home.0.path().join(".local/share/forecall/journal");
    let journal = std::fs::read_dir(folder).unwrap().next().unwrap().unwrap().path();
    let text = std::fs::read_to_string(&journal).unwrap();
    std::fs::write(&journal, text.replacen("\"speed\":500", "\"speed\":1", 1)).unwrap();
    let (said, code) = home.says(&["check", "class.ron"]);
    assert!(said.contains("not_recovered") && said.contains("\"Pulls\""), "{said}");
    assert_eq!(code, Some(0), "a warning, never a refusal");
}

#[test]
fn a_led_class_is_exported_as_a_session_file() {
    let home = Home::new();
    home.lead(&["--from", "B"]);
    let (text, code) = home.says(&["log", "last", "--as-session"]);
    assert_eq!(code, Some(0), "{text}");
    assert!(text.starts_with("// As led on ") && !text.contains("Raise"), "{text}");
    // The block that was done completely has the coach's own text.
    assert!(text.contains(SESSION.lines().nth(2).unwrap().trim()), "{text}");
    let arguments = ["log", "last", "--as-session", "--output", "done.ron"];
    assert_eq!(home.says(&arguments).1, Some(0));
    assert_eq!(std::fs::read_to_string(home.0.path().join("done.ron")).unwrap(), text);
    assert_eq!(home.says(&["check", "done.ron"]).1, Some(0));
    assert!(home.says(&["show", "done.ron"]).0.contains("1:50"));
    // No file is overwritten, and only a session can be written to a file.
    assert_ne!(home.says(&arguments).1, Some(0));
    assert_ne!(home.says(&["log", "last", "--output", "other.ron"]).1, Some(0));
}

#[test]
fn a_led_class_is_exported_as_it_was_led() {
    let home = Home::new();
    home.lead(&[]);
    let (planned, _) = home.says(&["export", "class.ron", "--as", "csv"]);
    assert_eq!(home.says(&["export", "--done", "last", "--as", "csv"]), (planned, Some(0)));
    let (planned, _) = home.says(&["export", "class.ron", "--as", "chapters"]);
    assert_eq!(home.says(&["export", "--done", "last", "--as", "chapters"]), (planned, Some(0)));
    assert!(home.says(&["export", "--done", "last", "--as", "ics"]).0.contains("DURATION:PT2M5S"));
    // Nobody films a class that runs 500 times as fast.
    let (said, code) = home.says(&["export", "--done", "last", "--as", "vtt", "--camera-time", "0:10"]);
    assert!(said.contains("500 times as fast") && code == Some(2), "{said}");
    // If a class starts at a station, the times count from there.
    home.lead(&["--from", "B.2"]);
    let (csv, _) = home.says(&["export", "--done", "last", "--as", "csv"]);
    assert!(csv.lines().nth(1).unwrap().starts_with("0:00,20,B,Hinge,1,2,Split squat"), "{csv}");
    for wrong in [&["--done", "nobody", "--as", "csv"][..], &["--as", "csv", "--keep-holds", "class.ron"]] {
        assert_ne!(home.says(&[&["export"], wrong].concat()).1, Some(0), "{wrong:?}");
    }
}
