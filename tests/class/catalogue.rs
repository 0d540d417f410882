//! The catalogue: the built-in movements, and files of a coach's own.

use std::collections::{BTreeMap, BTreeSet};

use class::movement::{Catalogue, CatalogueSource, CautionAlternative, Movement, Pattern, Position, Region};
use class::time::FirstPhase;

fn built_in() -> impl Iterator<Item = &'static Movement> {
    Catalogue::built_in().iter().map(AsRef::as_ref)
}

fn minds(movement: &Movement, region: Region) -> bool {
    movement.cautions.iter().any(|caution| caution.region == region)
}

/// The ids of the movements for which a condition does not hold.
fn except(holds: impl Fn(&Movement) -> bool) -> Vec<&'static str> {
    built_in().filter(|movement| !holds(movement)).map(|movement| movement.id.as_str()).collect()
}

#[test]
fn the_built_in_movements_are_without_fault() {
    let read = Catalogue::with(&[]);
    let faults: Vec<String> = read.err().unwrap_or_default().iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert_eq!(Catalogue::built_in().len(), Catalogue::built_in().iter().len());
}

#[test]
fn every_pattern_position_and_kind_of_kit_has_a_choice() {
    assert!(built_in().count() >= 150);
    for &pattern in Pattern::ALL {
        assert!(built_in().filter(|movement| movement.pattern == pattern).count() >= 7, "{pattern}");
    }
    for &position in Position::ALL {
        assert!(built_in().filter(|movement| movement.position == position).count() >= 4, "{position}");
    }
    let mut kit: BTreeMap<&str, usize> = BTreeMap::new();
    for movement in built_in() {
        for need in &movement.kit {
            *kit.entry(&need.item.0).or_default() += 1;
        }
    }
    // The whole list, so that a misspelt item is found.
    assert_eq!(kit.keys().copied().collect::<Vec<_>>(), ["band", "box", "chair", "dumbbell", "kettlebell", "mat"]);
    assert!(kit.values().all(|&movements| movements >= 9), "{kit:?}");
    assert!(built_in().filter(|movement| movement.kit.is_empty()).count() >= 30);
    assert!(built_in().filter(|movement| !movement.loaded).count() >= 30, "to warm up and to cool down");
}

#[test]
fn every_movement_is_complete() {
    assert_eq!(except(|movement| movement.easier.is_some() && movement.harder.is_some()), [""; 0]);
    assert_eq!(except(|movement| movement.faults.len() >= 2), [""; 0]);
    assert_eq!(except(|movement| movement.setup.ends_with('.')), [""; 0]);
}

#[test]
fn no_two_movements_share_a_name() {
    let mut names = BTreeSet::new();
    let mut shorts = BTreeSet::new();
    for movement in built_in() {
        let own: BTreeSet<String> = [&movement.id, &movement.name]
            .into_iter()
            .chain(&movement.also)
            .map(|name| name.to_lowercase().replace('-', " "))
            .collect();
        for name in own {
            assert!(names.insert(name.clone()), "{name} is used twice, in {}", movement.id);
        }
        assert!(shorts.insert(&movement.short), "{} is used twice, in {}", movement.short, movement.id);
    }
}

/// Common practice, no source: people must know in advance when they lie, kneel or put weight on their hands.
#[test]
fn positions_have_their_usual_cautions() {
    use Region::{Knee, Pregnancy, Supine};
    let lies = |position| move |movement: &Movement| movement.position == position;
    assert_eq!(except(|m| !lies(Position::Supine)(m) || minds(m, Supine) && minds(m, Pregnancy)), [""; 0]);
    assert_eq!(except(|m| !lies(Position::Prone)(m) || minds(m, Pregnancy)), [""; 0]);
    let kneels = |m: &Movement| matches!(m.position, Position::Kneeling | Position::HalfKneeling | Position::Quadruped);
    assert_eq!(except(|m| !kneels(m) || minds(m, Knee)), [""; 0]);
    // A movement with jumps has a caution for everything that takes the landing.
    let lands = |m: &Movement| {
        m.position != Position::Standing || [Knee, Region::Ankle, Pregnancy].iter().all(|&r| minds(m, r))
    };
    assert_eq!(except(|m| !minds(m, Region::Impact) || lands(m)), [""; 0]);
}

/// Common practice, no source: an alternative does not load the region that it is meant to look after.
#[test]
fn alternatives_do_not_load_the_region_to_look_after() {
    for movement in built_in() {
        for caution in &movement.cautions {
            let CautionAlternative::Movement { id, name } = &caution.instead else { continue };
            let other = Catalogue::built_in().get(id).expect("a movement of the catalogue");
            assert_eq!(*name, other.name);
            let fits = match caution.region {
                Region::Supine => other.position != Position::Supine,
                Region::Pregnancy => !matches!(other.position, Position::Supine | Position::Prone),
                Region::Knee => !matches!(other.position, Position::Kneeling | Position::HalfKneeling),
                Region::Balance => !matches!(other.id.as_str(), "balance-tall" | "leg-swings"),
                _ => true,
            };
            assert!(fits && !minds(other, caution.region), "{id} for {} in {}", caution.region, movement.id);
        }
    }
}

/// Common practice, no source: a movement that lifts from the floor or pulls begins with the lift. A movement that
/// lowers under load begins with the lowering.
#[test]
fn repetitions_begin_where_the_movement_begins() {
    let starts =
        |id: &str| Catalogue::built_in().get(id).and_then(|movement| movement.guide.as_ref()).map(|g| g.starts);
    for id in ["bell-deadlift", "row-bent-over", "band-pull-apart", "glute-bridge", "step-up", "sit-to-stand", "curl"] {
        assert_eq!(starts(id), Some(FirstPhase::Lift), "{id}");
    }
    for id in ["squat", "push-up", "split-squat", "lunge-reverse", "deadlift-romanian", "box-dip", "dead-bug"] {
        assert_eq!(starts(id), Some(FirstPhase::Lower), "{id}");
    }
    // Holds, carries and throws have no counted repetitions.
    for id in ["plank", "side-plank", "wall-sit", "suitcase-carry", "farmer-carry", "bell-swing", "calf-stretch"] {
        assert_eq!(starts(id), None, "{id}");
    }
}

const WHOLE: &str = r#"(id: "oar-press", name: "Oar press", pattern: push, position: seated, kit: [(item: "oar", count: 2)],
    prime: [shoulders], setup: "Sit tall.", prompts: ["press", "return"], tempo: "2-0-2-0", starts: lift,
    easier: (what: "no oar", movement: "push-up-incline"), cautions: [(wrist, leave_out)])"#;

fn own(text: &str) -> Result<Catalogue, Vec<String>> {
    let text = format!("[{text}]");
    Catalogue::with(&[CatalogueSource { name: "own.ron", text: &text }])
        .map_err(|faults| faults.iter().map(ToString::to_string).collect())
}

#[test]
fn a_file_of_the_coach_s_own_adds_movements() {
    let catalogue = own(WHOLE).expect("no fault");
    assert_eq!(catalogue.len(), Catalogue::built_in().len() + 1);
    let press = catalogue.get("oar-press").expect("added");
    assert_eq!((press.short.as_str(), press.kit[0].count, press.loaded), ("OAR PRESS", 2, true));
    assert_eq!(press.cautions[0].instead, CautionAlternative::LeaveOut);
    assert_eq!(press.guide.as_ref().map(|guide| guide.lower.as_str()), Some("lower"));
}

#[test]
fn a_later_file_replaces_a_movement_as_a_whole() {
    let mine = |name: &str| {
        format!(
            r#"[(id: "squat", name: "{name}", pattern: squat, position: standing, prime: [glutes], setup: "Stand.",
            prompts: ["down", "up"])]"#
        )
    };
    let (first, second) = (mine("First squat"), mine("Second squat"));
    let sources = [CatalogueSource { name: "a.ron", text: &first }, CatalogueSource { name: "b.ron", text: &second }];
    let catalogue = Catalogue::with(&sources).expect("no fault");
    assert_eq!(catalogue.len(), Catalogue::built_in().len());
    let squat = catalogue.get("squat").expect("still there");
    assert_eq!((squat.name.as_str(), squat.cautions.len()), ("Second squat", 0));
}

/// One change to [`WHOLE`] that makes it wrong, and the fault that is reported.
const WRONG: &[(&str, &str, &str)] = &[
    ("\"oar-press\"", "\"Oar press\"", "own.ron: [0].id: `Oar press` is not an id"),
    ("\"oar-press\"", "\"oar--press\"", "[0].id: `oar--press` is not an id"),
    ("\"Oar press\"", "\"\"", "[0].name: this text is empty"),
    ("\"Oar press\"", "\"A press with two long oars\"", "[0].short: 26 characters, at most 14 fit"),
    ("\"Sit tall.\"", "\"Sit\\ntall.\"", "[0].setup: this text has a line break"),
    ("[\"press\", \"return\"]", "[\"press\"]", "[0].prompts: 1 prompt; give 2 to 5"),
    (
        "\"return\"",
        "\"return it as slowly as ever you can, and slower\"",
        "[0].prompts[1]: 47 characters, at most 40 fit",
    ),
    ("[shoulders]", "[]", "[0].prime: no muscle"),
    ("[shoulders]", "[shoulders], helping: [shoulders]", "[0].helping[0]: shoulders is already a prime mover"),
    ("2)]", "0)]", "[0].kit[0]: count 0 is out of range; write 1 to 10"),
    ("2-0-2-0", "2-0-2", "[0].tempo: a tempo is four counts"),
    ("2-0-2-0", "0-0-0-0", "[0].tempo: a tempo needs at least one count"),
    ("pattern: push", "pattern: carry", "[0].tempo: a carry has no repetitions"),
    ("tempo: \"2-0-2-0\", ", "", "[0].starts: `starts` needs a tempo"),
    (
        "push-up-incline",
        "push-up-inclien",
        "[0].easier: there is no movement `push-up-inclien`; did you mean `push-up-incline`?",
    ),
    ("push-up-incline", "oar-press", "[0].easier: this is the movement itself; name a different movement"),
    ("leave_out)", "movement(\"nowhere-near-it\"))", "[0].cautions[0]: there is no movement `nowhere-near-it`"),
    (
        "leave_out)",
        "movement(\"plank-shoulder-tap\"))",
        "`plank-shoulder-tap` is the alternative to `oar-press` for wrist",
    ),
    ("(wrist, leave_out)", "(wrist, leave_out), (wrist, leave_out)", "[0].cautions[1]: wrist is listed twice"),
];

#[test]
fn each_fault_is_reported_at_its_own_value() {
    for (right, wrong, said) in WRONG {
        assert!(WHOLE.contains(right), "{right}");
        let faults = own(&WHOLE.replacen(right, wrong, 1)).expect_err(said);
        assert!(faults.iter().any(|fault| fault.contains(said)), "{said}\nbut: {}", faults.join("\n"));
    }
}

#[test]
fn all_faults_are_reported_in_one_run() {
    let one = WHOLE.replacen("\"Sit tall.\"", "\"\"", 1).replacen("2-0-2-0", "quick", 1);
    let faults = own(&format!("{one}, {WHOLE}")).expect_err("three faults");
    assert_eq!(faults.len(), 3, "{}", faults.join("\n"));
    assert!(faults[2].contains("[1].id: the id `oar-press` is used twice; the first is [0]"), "{}", faults[2]);
}

#[test]
fn a_text_that_is_not_a_list_of_movements_is_refused_with_the_place() {
    let read = |text: &str| Catalogue::with(&[CatalogueSource { name: "own.ron", text }]).expect_err("a fault");
    let faults = read("[\n  (id: \"a\", nam: \"b\")\n]");
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].at.map(|(line, _)| line), Some(2), "{faults:?}");
    // Depth is limited: a huge number of nested brackets is an ordinary fault.
    assert_eq!(read(&"(".repeat(1 << 20)).len(), 1);
    assert_eq!(read(&" ".repeat(class::movement::LARGEST_FILE + 1))[0].message, "the file is larger than 4 MB");
    let many = format!("[{}]", format!("{WHOLE},").repeat(5_001));
    assert_eq!(read(&many)[0].message, "the file has more than 5000 movements");
}

#[test]
fn a_misspelt_name_has_a_nearest_movement() {
    let nearest = |name| Catalogue::built_in().nearest(name).map(|movement| movement.id.as_str());
    assert_eq!(nearest("spilt-squat"), Some("split-squat"));
    assert_eq!(nearest("Goblt Squat"), Some("squat-goblet"));
    assert_eq!(nearest("press upp"), Some("push-up"));
    assert_eq!(nearest("trampolining"), None);
    assert_eq!(nearest(""), None);
    assert_eq!(nearest(&"x".repeat(100_000)), None);
}
