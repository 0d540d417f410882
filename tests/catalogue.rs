//! The catalogue: the built-in movements, and files of a coach's own.

use forecall::movement::{BUILT_IN, Catalogue, Source};

#[test]
fn the_built_in_movements_are_without_fault() {
    let read = Catalogue::with(&[]);
    let faults: Vec<String> = read.err().unwrap_or_default().iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(!Catalogue::built_in().is_empty());
}

#[test]
fn the_coach_s_own_file_overrides_and_extends() {
    let own = r#"[
        (id: "squat", name: "Our squat", pattern: squat, position: standing, prime: [glutes], setup: "Stand.",
         prompts: ["down", "up"]),
        (id: "oar-press", name: "Oar press", pattern: push, position: seated, kit: [(item: "oar", count: 2)],
         prime: [shoulders], setup: "Sit.", prompts: ["press", "return"], tempo: "2-0-2-0", starts: lift,
         easier: (what: "no oar", movement: "push-up-incline")),
    ]"#;
    let catalogue = Catalogue::with(&[Source { name: "own.ron", text: own }]).expect("no fault");
    assert_eq!(catalogue.len(), Catalogue::built_in().len() + 1);
    assert_eq!(catalogue.get("squat").map(|movement| movement.name.as_str()), Some("Our squat"));
    let press = catalogue.get("oar-press").expect("added");
    assert_eq!((press.short.as_str(), press.kit[0].count), ("OAR PRESS", 2));
    assert_eq!(BUILT_IN.matches("id: \"squat\"").count(), 1);
}
