//! The rules of advice at their boundaries: one class that a rule speaks of, and one that it leaves alone.

use std::path::Path;
use std::process::Command;

use forecall::check::advice::{RULES, Stop, advise, fewest_changes};
use forecall::cli::session::open_advised;
use forecall::movement::{Catalogue, Item, KitNeed, Muscle};
use forecall::schedule::{Costs, compile};
use forecall::session::fault::{Code, Severity};
use forecall::session::read;
use proptest::prelude::*;

/// The codes of advice on a class of these fields and blocks.
fn advice(text: &str) -> Vec<Code> {
    let text = format!("(title: \"Boat bay\", {text})");
    let reading = read(&text, Catalogue::built_in());
    let session = reading.session.unwrap_or_else(|| panic!("{:?}", reading.faults));
    advise(&compile(session.into())).iter().map(|fault| fault.code).collect()
}

fn told(code: Code, text: &str) -> bool {
    advice(text).contains(&code)
}

fn block(fields: &str, stations: &str) -> String {
    format!("(name: \"B{}\", {fields}, stations: [{stations}])", stations.len())
}

#[test]
fn a_booked_class_begins_and_ends_easily() {
    // Common practice; ACSM's Guidelines have both, from memory.
    let main = block("work: \"40s\"", "\"squat\"");
    let warm = block("kind: warm_up, work: \"41s\"", "\"march-tall\"");
    let cool = block("kind: cool_down, work: \"42s\"", "\"childs-pose\"");
    let both = format!("slot: \"10m\", blocks: [{warm}, {main}, {cool}]");
    assert!(!told(Code::NoWarmUp, &both) && !told(Code::NoCoolDown, &both));
    let neither = format!("blocks: [{main}]");
    assert!(!told(Code::NoWarmUp, &neither), "part of a class");
    let slotted = format!("slot: \"10m\", {neither}");
    assert!(told(Code::NoWarmUp, &slotted) && told(Code::NoCoolDown, &slotted));
    assert!(!told(Code::NoWarmUp, &format!("slot: \"10m\", blocks: [{cool}]")), "nothing but easy work");
}

#[test]
fn a_fifth_of_a_span_may_go_into_getting_ready() {
    // Our estimates: taking up kit 4 s of the span, and a fifth of it: 20 s is the boundary.
    let class = |work: &str| {
        format!(
            "blocks: [(name: \"B\", stations: [(move: \"squat\", work: \"30s\"), (move: \"bell-deadlift\", work: \"{work}\")])]"
        )
    };
    assert!(!told(Code::MuchSettle, &class("20s")));
    assert!(told(Code::MuchSettle, &class("19s")));
}

#[test]
fn push_and_pull_are_within_two_to_three() {
    // Common practice, no source. With `added` no settle is taken off the work.
    let class = |push: u32, pull: u32| {
        format!(
            "blocks: [(name: \"B\", transitions: added, stations: [(move: \"push-up\", work: \"{push}s\"), (move: \"row-band-standing\", work: \"{pull}s\")])]"
        )
    };
    assert!(!told(Code::PushAgainstPull, &class(80, 120)));
    assert!(told(Code::PushAgainstPull, &class(79, 120)));
    assert!(!told(Code::PushAgainstPull, &class(120, 80)));
    assert!(told(Code::PushAgainstPull, &class(120, 79)));
    assert!(!told(Code::PushAgainstPull, &class(30, 80)), "too little to balance");
}

#[test]
fn holds_end_after_two_minutes() {
    // Our estimate. The first station of a class needs no settle.
    let class = |work: u32| format!("blocks: [(name: \"B\", work: \"{work}s\", stations: [\"plank\"])]");
    assert!(!told(Code::LongHold, &class(120)));
    assert!(told(Code::LongHold, &class(121)));
    let rested =
        "blocks: [(name: \"B\", work: \"61s\", rest: \"5s\", rounds: 3, round_rest: \"5s\", stations: [\"plank\"])]";
    assert!(!told(Code::LongHold, rested));
    assert!(told(Code::LongHold, &rested.replace("\"5s\"", "\"0s\"")));
}

#[test]
fn people_drink_every_quarter_of_an_hour() {
    // Common practice, no source; the 30 s are our estimate.
    let class = |rest: u32, work: u32| {
        format!(
            "blocks: [(name: \"A\", work: \"{work}s\", rest_after: \"{rest}s\", stations: [\"squat\"]), (name: \"B\", work: \"60s\", stations: [\"squat\"])]"
        )
    };
    assert!(!told(Code::NoPause, &class(30, 900)));
    assert!(told(Code::NoPause, &class(30, 901)));
    assert!(told(Code::NoPause, &class(29, 900)));
}

#[test]
fn twice_up_from_the_floor_is_enough() {
    // Common practice, no source.
    let class = |ups: usize| {
        let stations = ["\"squat\", \"dead-bug\""].repeat(ups).join(", ");
        format!("blocks: [(name: \"B\", work: \"40s\", stations: [{stations}, \"squat\"])]")
    };
    assert!(!told(Code::ManyUps, &class(2)));
    assert!(told(Code::ManyUps, &class(3)));
}

#[test]
fn a_station_has_an_easier_and_a_harder_tier() {
    // Common practice, no source.
    let own = |tiers: &str| {
        format!(
            "blocks: [(name: \"B\", work: \"40s\", stations: [(name: \"Oar lift\", pattern: hinge, prime: [hamstrings]{tiers})])]"
        )
    };
    let bare = own("");
    assert!(told(Code::NoEasier, &bare) && told(Code::NoHarder, &bare), "{:?}", advice(&bare));
    let both = own(", easier: \"half way\", harder: \"slower\"");
    assert!(!told(Code::NoEasier, &both) && !told(Code::NoHarder, &both));
}

#[test]
fn another_order_is_told_where_it_needs_fewer_changes_of_kit() {
    let class = |stations: &str| format!("blocks: [(name: \"B\", work: \"40s\", stations: [{stations}])]");
    let mixed = r#""bell-deadlift", "row-band-standing", (move: "squat", kit: ["kettlebell"]), (move: "push-up", kit: ["band"])"#;
    let sorted = r#""bell-deadlift", (move: "squat", kit: ["kettlebell"]), (move: "push-up", kit: ["band"]), "row-band-standing""#;
    assert!(told(Code::KitOrder, &class(mixed)));
    assert!(!told(Code::KitOrder, &class(sorted)));
}

/// Every order of so many, tried one by one.
fn orders(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![vec![]];
    }
    let shorter = orders(count - 1);
    shorter.iter().flat_map(|order| (0..count).map(|at| [&order[..at], &[count - 1], &order[at..]].concat())).collect()
}

/// What an order costs; None where it is not allowed.
fn cost(stops: &[Stop], order: &[usize], again: bool) -> Option<usize> {
    let count = stops.len();
    let mut pairs: Vec<(usize, usize)> = order.windows(2).map(|pair| (pair[0], pair[1])).collect();
    let were =
        |a: usize, b: usize| a + 1 == b || b + 1 == a || (again && [(0, count - 1), (count - 1, 0)].contains(&(a, b)));
    // Two of one movement stay together, in their order, whatever the way back is.
    for at in 1..count {
        if stops[at - 1].movement == stops[at].movement && !pairs.contains(&(at - 1, at)) {
            return None;
        }
    }
    if again && count > 1 {
        pairs.push((order[count - 1], order[0]));
    }
    let clash =
        |&(a, b): &(usize, usize)| !were(a, b) && stops[a].prime.iter().any(|muscle| stops[b].prime.contains(muscle));
    if pairs.iter().any(clash) {
        return None;
    }
    Some(pairs.iter().filter(|&&(a, b)| stops[a].kit != stops[b].kit).count())
}

prop_compose! {
    fn stop()(movement in 0..5u8, kit in 0..3u8, muscle in 0..4usize) -> Stop {
        let kit = ["kettlebell", "band"].get(usize::from(kit)).map(|item| KitNeed { item: Item((*item).into()), load: None, count: 1 });
        Stop { movement: movement.to_string(), kit: kit.into_iter().collect(), prime: vec![Muscle::ALL[muscle]] }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn the_order_is_the_best_of_all_orders(stops in prop::collection::vec(stop(), 1..7), again: bool) {
        let (order, fewest) = fewest_changes(&stops, again).unwrap();
        prop_assert_eq!(cost(&stops, &order, again), Some(fewest));
        let best = orders(stops.len()).iter().filter_map(|order| cost(&stops, order, again)).min();
        prop_assert_eq!(best, Some(fewest));
    }
}

#[test]
fn twelve_stations_are_looked_through_and_thirteen_are_not() {
    let stop = |at: usize| Stop { movement: at.to_string(), kit: vec![], prime: vec![] };
    assert_eq!(fewest_changes(&(0..12).map(stop).collect::<Vec<_>>(), true), Some(((0..12).collect(), 0)));
    assert_eq!(fewest_changes(&(0..13).map(stop).collect::<Vec<_>>(), true), None);
}

/// What is said of each demo session, so that a coach would thank for every line.
#[test]
fn the_demos_have_no_false_alarm() {
    let mut said = String::new();
    for name in ["first-look", "frost-and-oars", "lunch-at-the-landing", "six-boats"] {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions").join(name).with_extension("ron");
        let checked = open_advised(&file, Catalogue::built_in(), &[], &Costs::ESTIMATED, &advise).unwrap();
        for placed in checked.report.faults {
            let fault = placed.fault;
            said += &format!(
                "{name}: {} {}: {} ({})\n",
                fault.severity,
                fault.code,
                fault.message,
                fault.help.unwrap_or_default()
            );
        }
    }
    insta::assert_snapshot!("demos", said);
}

#[test]
fn every_rule_explains_itself_and_strict_lets_warnings_fail() {
    let run = |args: &[&str]| Command::new(env!("CARGO_BIN_EXE_forecall")).args(args).output().unwrap();
    for rule in RULES {
        let output = run(&["check", "--explain", &rule.code.to_string()]);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(output.status.success() && said.contains(rule.explain) && said.contains(rule.source), "{said}");
        assert_ne!(rule.severity, Severity::Fault);
    }
    let wrong = run(&["check", "--explain", "push_against_pul"]);
    assert_eq!(wrong.status.code(), Some(1));
    assert!(String::from_utf8(wrong.stderr).unwrap().contains("push_against_pull"));

    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("holds.ron");
    let text = "(title: \"Holds\", blocks: [(name: \"B\", work: \"130s\", stations: [\"plank\"])])";
    std::fs::write(&file, text).unwrap();
    let file = file.to_str().unwrap();
    assert_eq!(run(&["check", file]).status.code(), Some(0));
    assert_eq!(run(&["check", "--strict", file]).status.code(), Some(1));
}
