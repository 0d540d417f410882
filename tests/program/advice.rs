//! The rules of advice at their limits: one class that a rule finds, and one that it does not.

use std::collections::HashSet;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use class::check::advice::{RULES, StationProfile, advise, advise_after, advise_screen, fewest_changes};
use class::check::past::work_until;
use class::check::sight::ViewingConditions;
use class::check::{ABOUT, PastClass, PastClasses, check};
use class::movement::{Catalogue, KitItem, Muscle, NeededKit};
use class::schedule::{ChangeoverCosts, compile};
use class::session::fault::{FaultCode, Severity};
use class::session::read;
use cli::session::open_with_advice;
use proptest::prelude::*;

/// The codes of advice on a class of these fields and blocks.
fn advice(text: &str) -> Vec<FaultCode> {
    let text = format!("(title: \"Boat bay\", {text})");
    let reading = read(&text, Catalogue::built_in());
    let session = reading.session.unwrap_or_else(|| panic!("{:?}", reading.faults));
    advise(&compile(session.into())).iter().map(|fault| fault.code).collect()
}

fn told(code: FaultCode, text: &str) -> bool {
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
    assert!(!told(FaultCode::NoWarmUp, &both) && !told(FaultCode::NoCoolDown, &both));
    let neither = format!("blocks: [{main}]");
    assert!(!told(FaultCode::NoWarmUp, &neither), "part of a class");
    let slotted = format!("slot: \"10m\", {neither}");
    assert!(told(FaultCode::NoWarmUp, &slotted) && told(FaultCode::NoCoolDown, &slotted));
    assert!(!told(FaultCode::NoWarmUp, &format!("slot: \"10m\", blocks: [{cool}]")), "only easy work");
}

#[test]
fn easy_work_at_the_wrong_end_is_no_warm_up() {
    let main = block("work: \"40s\"", "\"squat\"");
    let warm = block("kind: warm_up, work: \"41s\"", "\"march-tall\"");
    let cool = block("kind: cool_down, work: \"42s\"", "\"childs-pose\"");
    let other = block("work: \"43s\"", "\"push-up\"");
    let class = |blocks: [&str; 4]| format!("slot: \"10m\", blocks: [{}]", blocks.join(", "));
    let right = class([&warm, &main, &other, &cool]);
    assert!(!told(FaultCode::NoWarmUp, &right) && !told(FaultCode::NoCoolDown, &right));
    assert!(told(FaultCode::NoWarmUp, &class([&main, &warm, &other, &cool])));
    assert!(told(FaultCode::NoCoolDown, &class([&warm, &main, &cool, &other])));
}

/// The codes and severities of the findings that are not advice.
fn checked(text: &str) -> Vec<(FaultCode, Severity)> {
    let text = format!("(title: \"Boat bay\", {text})");
    let reading = read(&text, Catalogue::built_in());
    let session = reading.session.unwrap_or_else(|| panic!("{:?}", reading.faults));
    check(&compile(session.into())).iter().map(|fault| (fault.code, fault.severity)).collect()
}

#[test]
fn a_class_fits_its_slot_to_the_second() {
    // 12 stations of 30 s with 10 s between take 12 x 30 + 11 x 10 = 470 s: Klika & Jordan 2013, ACSM's Health &
    // Fitness Journal 17(3):8. That more than twice the slot is a typing mistake is our estimate.
    let stations = ["\"squat\""; 12].join(", ");
    let class = |slot: u32| {
        format!(
            "slot: \"{slot}s\", blocks: [(name: \"B\", work: \"30s\", transitions: \"10s\", stations: [{stations}])]"
        )
    };
    assert_eq!(checked(&class(470)), []);
    assert_eq!(checked(&class(469)), [(FaultCode::SlotExceeded, Severity::Warning)]);
    assert_eq!(checked(&class(235)), [(FaultCode::SlotExceeded, Severity::Warning)]);
    assert_eq!(checked(&class(234)), [(FaultCode::SlotExceeded, Severity::Fault)]);
}

#[test]
fn a_repetition_fits_into_the_time_after_settle() {
    // A repetition at tempo 3-1-2-0 (lower, pause, lift, pause) takes 6 s. Picking up a bell takes 4 s by our estimate.
    let class = |work: u32| {
        format!(
            "blocks: [(name: \"B\", stations: [(move: \"squat\", work: \"30s\"), (move: \"bell-deadlift\", tempo: \"3-1-2-0\", work: \"{work}s\")])]"
        )
    };
    assert_eq!(checked(&class(10)), []);
    assert_eq!(checked(&class(9)), [(FaultCode::TempoTooLong, Severity::Warning)]);
}

#[test]
fn there_is_kit_for_everybody_who_uses_it_at_once() {
    let class = |shared: u32, fields: &str| {
        format!(
            "people: 4, kit: [(item: \"kettlebell\", shared: {shared})], blocks: [(name: \"B\", {fields} work: \"40s\", stations: [\"bell-deadlift\", \"march-tall\"])]"
        )
    };
    assert_eq!(checked(&class(4, "")), []);
    assert_eq!(checked(&class(3, "")), [(FaultCode::KitMissing, Severity::Warning)]);
    assert_eq!(checked(&class(2, "format: rotation,")), [], "a group of two at a time");
    assert_eq!(checked(&class(1, "format: rotation,")), [(FaultCode::KitMissing, Severity::Warning)]);
}

#[test]
fn a_fifth_of_a_span_may_go_into_getting_ready() {
    // Our estimates: picking up kit takes 4 s, and at most a fifth of the span is allowed, so 20 s is the limit.
    let class = |work: &str| {
        format!(
            "blocks: [(name: \"B\", stations: [(move: \"squat\", work: \"30s\"), (move: \"bell-deadlift\", work: \"{work}\")])]"
        )
    };
    assert!(!told(FaultCode::MuchSettle, &class("20s")));
    assert!(told(FaultCode::MuchSettle, &class("19s")));
}

#[test]
fn push_and_pull_are_within_two_to_three() {
    // Common practice, no source. With `transitions: added`, settle takes nothing from the work.
    let class = |push: u32, pull: u32| {
        format!(
            "blocks: [(name: \"B\", transitions: added, stations: [(move: \"push-up\", work: \"{push}s\"), (move: \"row-band-standing\", work: \"{pull}s\")])]"
        )
    };
    assert!(!told(FaultCode::PushAgainstPull, &class(80, 120)));
    assert!(told(FaultCode::PushAgainstPull, &class(79, 120)));
    assert!(!told(FaultCode::PushAgainstPull, &class(120, 80)));
    assert!(told(FaultCode::PushAgainstPull, &class(120, 79)));
    assert!(!told(FaultCode::PushAgainstPull, &class(30, 80)), "too little to balance");
}

#[test]
fn holds_end_after_two_minutes() {
    // Our estimate. The first station of a class needs no settle.
    let class = |work: u32| format!("blocks: [(name: \"B\", work: \"{work}s\", stations: [\"plank\"])]");
    assert!(!told(FaultCode::LongHold, &class(120)));
    assert!(told(FaultCode::LongHold, &class(121)));
    let rested =
        "blocks: [(name: \"B\", work: \"61s\", rest: \"5s\", rounds: 3, round_rest: \"5s\", stations: [\"plank\"])]";
    assert!(!told(FaultCode::LongHold, rested));
    assert!(told(FaultCode::LongHold, &rested.replace("\"5s\"", "\"0s\"")));
    assert!(told(FaultCode::LongHold, &class(121).replace("plank", "wall-sit")));
    for moving in ["mountain-climber", "bell-swing", "farmer-carry"] {
        assert!(!told(FaultCode::LongHold, &class(121).replace("plank", moving)), "{moving} is not a hold");
    }
}

#[test]
fn people_drink_every_quarter_of_an_hour() {
    // Common practice, no source; the 30 s are our estimate.
    let class = |rest: u32, work: u32| {
        format!(
            "blocks: [(name: \"A\", work: \"{work}s\", rest_after: \"{rest}s\", stations: [\"squat\"]), (name: \"B\", work: \"60s\", stations: [\"squat\"])]"
        )
    };
    assert!(!told(FaultCode::NoPause, &class(30, 900)));
    assert!(told(FaultCode::NoPause, &class(30, 901)));
    assert!(told(FaultCode::NoPause, &class(29, 900)));
}

#[test]
fn twice_up_from_the_floor_is_enough() {
    // Common practice, no source.
    let class = |ups: usize| {
        let stations = ["\"squat\", \"dead-bug\""].repeat(ups).join(", ");
        format!("blocks: [(name: \"B\", work: \"40s\", stations: [{stations}, \"squat\"])]")
    };
    assert!(!told(FaultCode::ManyUps, &class(2)));
    assert!(told(FaultCode::ManyUps, &class(3)));
    let lying = block("kind: warm_up, work: \"40s\"", "\"dead-bug\"");
    let behind = class(2).replace("blocks: [", &format!("blocks: [{lying}, "));
    assert!(!told(FaultCode::ManyUps, &behind), "getting up after the block before does not count");
    // Sitting up on the mat is not getting up from the floor.
    let sits = r#""dead-bug", "russian-twist""#;
    let sits = format!("blocks: [(name: \"B\", work: \"40s\", stations: [{}])]", [sits; 4].join(", "));
    assert!(!told(FaultCode::ManyUps, &sits));
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
    assert!(told(FaultCode::NoEasier, &bare) && told(FaultCode::NoHarder, &bare), "{:?}", advice(&bare));
    let both = own(", easier: \"half way\", harder: \"slower\"");
    assert!(!told(FaultCode::NoEasier, &both) && !told(FaultCode::NoHarder, &both));
}

#[test]
fn another_order_with_fewer_kit_changes_is_suggested() {
    let class = |stations: &str| format!("blocks: [(name: \"B\", work: \"40s\", stations: [{stations}])]");
    // If the rests cover the changes anyway, the rule needs two changes fewer.
    let rested = |stations: &str| class(stations).replace("work:", "rest: \"20s\", rounds: 2, work:");
    let mixed = r#""bell-deadlift", "row-band-standing", (move: "squat", kit: ["kettlebell"]), (move: "push-up", kit: ["band"])"#;
    let sorted = r#""bell-deadlift", (move: "squat", kit: ["kettlebell"]), (move: "push-up", kit: ["band"]), "row-band-standing""#;
    assert!(told(FaultCode::KitOrder, &class(mixed)));
    assert!(!told(FaultCode::KitOrder, &class(sorted)));
    assert!(
        !told(FaultCode::KitOrder, &rested(mixed)),
        "the hinge and the squat share a prime mover, so no better order is allowed"
    );
    let free = r#""bell-deadlift", "row-band-standing", (move: "curl", kit: ["kettlebell"]), (move: "push-up", kit: ["band"])"#;
    assert!(told(FaultCode::KitOrder, &rested(free)), "four changes a round, and two are enough");
    let furnished = r#""squat-box", "push-up", (move: "curl", kit: ["box"]), "dead-bug""#;
    assert!(!told(FaultCode::KitOrder, &class(furnished)), "nobody takes up a box or a mat");
    let once = r#""bell-deadlift", "row-band-standing", (move: "curl", kit: ["kettlebell"])"#;
    assert!(told(FaultCode::KitOrder, &class(once)));
    assert!(
        !told(FaultCode::KitOrder, &class(once).replace("work:", "rest: \"20s\", work:")),
        "one fewer, and the rests cover it"
    );
}

/// Every order of `count` things.
fn orders(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![vec![]];
    }
    let shorter = orders(count - 1);
    shorter.iter().flat_map(|order| (0..count).map(|at| [&order[..at], &[count - 1], &order[at..]].concat())).collect()
}

/// The number of kit changes in an order. None when the order is not allowed.
fn cost(stops: &[StationProfile], order: &[usize], again: bool) -> Option<usize> {
    let count = stops.len();
    let mut pairs: Vec<(usize, usize)> = order.windows(2).map(|pair| (pair[0], pair[1])).collect();
    let were =
        |a: usize, b: usize| a + 1 == b || b + 1 == a || (again && [(0, count - 1), (count - 1, 0)].contains(&(a, b)));
    // Two stations of one movement stay together and in order; the way back does not count.
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
    fn stop()(movement in 0..5u8, kit in 0..3u8, muscle in 0..4usize) -> StationProfile {
        let kit = ["kettlebell", "band"].get(usize::from(kit)).map(|item| NeededKit { item: KitItem((*item).into()), load: None, count: 1 });
        StationProfile { movement: movement.to_string(), kit: kit.into_iter().collect(), prime: vec![Muscle::ALL[muscle]] }
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
    let stop = |at: usize| StationProfile { movement: at.to_string(), kit: vec![], prime: vec![] };
    assert_eq!(fewest_changes(&(0..12).map(stop).collect::<Vec<_>>(), true), Some(((0..12).collect(), 0)));
    assert_eq!(fewest_changes(&(0..13).map(stop).collect::<Vec<_>>(), true), None);
}

#[test]
fn the_given_time_is_enough_for_the_change() {
    // Our estimates: from standing to the floor takes 6 s.
    let class =
        |fields: &str| format!("blocks: [(name: \"B\", work: \"40s\", {fields} stations: [\"squat\", \"cat-cow\"])]");
    let kit = "kit: [(item: \"mat\", each: 1)], ";
    let told = |fields: &str| told(FaultCode::TightTransition, &format!("{kit}{}", class(fields)));
    let needs = {
        let reading = read(&format!("(title: \"T\", {})", class("transitions: added,")), Catalogue::built_in());
        let schedule = compile(reading.session.unwrap().into());
        schedule.spans.iter().map(|span| span.change.needs).max().unwrap()
    };
    let seconds = needs.countdown_seconds();
    assert!(seconds >= 6);
    assert!(!told(&format!("transitions: \"{seconds}s\",")));
    assert!(told(&format!("transitions: \"{}s\",", seconds - 1)));
    assert!(!told(&format!("transitions: \"1s\", rest: \"{seconds}s\",")), "the rest covers it");
    assert!(!told("") && !told("transitions: added,"), "the program gives the time");
}

#[test]
fn a_call_that_is_set_is_made() {
    let class = |calls: &str, work: u32| {
        format!("calls: [{calls}], blocks: [(name: \"B\", work: \"{work}s\", stations: [\"squat\"])]")
    };
    // Our estimate: no call in the first 5 s.
    assert!(told(FaultCode::CallNeverMade, &class("thirty", 34)));
    assert!(!told(FaultCode::CallNeverMade, &class("thirty", 35)));
    assert!(!told(FaultCode::CallNeverMade, &class("halfway, ten, pips", 8)), "the default calls");
    assert!(!told(FaultCode::CallNeverMade, &format!("level: tones, {}", class("thirty", 30))));
    let longer = "calls: [thirty], blocks: [(name: \"A\", work: \"20s\", stations: [\"squat\"]), (name: \"B\", work: \"45s\", stations: [\"squat\"])]";
    assert!(!told(FaultCode::CallNeverMade, longer), "it is enough that one of the blocks makes the call");
}

#[test]
fn there_is_time_to_say_what_comes_next() {
    let class = |name: &str, work: u32| {
        format!(
            "blocks: [(name: \"B\", work: \"{work}s\", format: sets, rounds: 1, stations: [\"squat\", (name: \"{name}\")])]"
        )
    };
    let long = "Very slow half-kneeling press over the left shoulder and back down";
    assert!(told(FaultCode::CueTooLong, &class(long, 4)));
    assert!(!told(FaultCode::CueTooLong, &class(long, 45)));
    assert!(!told(FaultCode::CueTooLong, &class("Oar lift", 20)));
}

#[test]
fn a_wait_for_the_coach_has_time_in_the_slot() {
    // Our estimate: 15 s for each wait.
    let class = |slot: u32, briefing: &str| {
        format!(
            "slot: \"{slot}s\", blocks: [(name: \"A\", start: on_key, work: \"60s\", stations: [\"squat\"]), (name: \"B\", start: on_key, {briefing} work: \"60s\", stations: [\"squat\"])]"
        )
    };
    assert!(!told(FaultCode::NoTimeToWait, &class(135, "")));
    assert!(told(FaultCode::NoTimeToWait, &class(134, "")));
    assert!(!told(FaultCode::NoTimeToWait, &class(140, "briefing: \"10s\",")));
    assert!(!told(FaultCode::NoTimeToWait, &class(119, "")), "another rule reports a class over its slot");
}

#[test]
fn a_warm_up_raises_then_mobilises_then_potentiates() {
    // Jeffreys 2007: raise, activate and mobilise, potentiate.
    let class =
        |stations: &str| format!("blocks: [(name: \"W\", kind: warm_up, work: \"40s\", stations: [{stations}])]");
    assert!(!told(FaultCode::WarmUpOrder, &class("\"march-tall\", \"cat-cow\", \"bell-swing\"")));
    assert!(told(FaultCode::WarmUpOrder, &class("\"cat-cow\", \"march-tall\"")));
    assert!(told(FaultCode::WarmUpOrder, &class("\"march-tall\", \"bell-swing\", \"cat-cow\"")));
    assert!(!told(FaultCode::WarmUpOrder, &class("\"march-tall\", \"cat-cow\", \"march-tall\"")), "back and forth");
    assert!(!told(FaultCode::WarmUpOrder, &class("\"cat-cow\", \"arm-sweeps\"")), "nothing that raises");
}

#[test]
fn loaded_muscles_are_warmed_up_before() {
    // Common practice, no source. The limit of 1 min is our estimate.
    let class = |warm: &str, main: &str, work: u32| {
        format!(
            "blocks: [(name: \"W\", kind: warm_up, work: \"40s\", stations: [{warm}]), (name: \"M\", work: \"{work}s\", transitions: added, stations: [{main}])]"
        )
    };
    assert!(told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", "\"squat\"", 60)));
    assert!(!told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", "\"squat\"", 59)));
    assert!(!told(FaultCode::ColdMuscle, &class("\"march-tall\"", "\"squat\"", 60)));
    assert!(told(FaultCode::ColdMuscle, &class("\"ankle-rocks\"", "\"squat\"", 60)), "the ankles are not the legs");
    assert!(
        told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", "\"push-up\"", 60)),
        "the wrists are not the shoulders"
    );
    assert!(!told(FaultCode::ColdMuscle, &class("\"arm-sweeps\"", "\"push-up\"", 60)));
    assert!(
        !told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", "\"curl\"", 90)),
        "nobody warms up the arms alone"
    );
    // 59 s of one muscle and 59 s of another are less than 1 min of each.
    let parted = "(move: \"wall-sit\", work: \"59s\"), (move: \"push-up\", work: \"59s\")";
    assert!(!told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", parted, 60)));
    // An unloaded station in a main block counts for the work after it.
    let among = "\"march-tall\", \"squat\"";
    assert!(!told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", among, 60)));
    assert!(told(FaultCode::ColdMuscle, &class("\"wrist-circles\"", "\"squat\", \"march-tall\"", 60)));
    let unwarmed = "blocks: [(name: \"M\", work: \"90s\", stations: [\"squat\"])]";
    assert!(!told(FaultCode::ColdMuscle, unwarmed), "another rule reports a missing warm-up");
}

#[test]
fn a_grip_lasts_at_most_three_minutes() {
    // Our estimate. Two stations share pattern and kit. Two others make sure that the block has no theme.
    let class = |work: u32, fields: &str| {
        let others = "(move: \"squat\", work: \"20s\"), (move: \"plank\", work: \"20s\")";
        format!(
            "blocks: [(name: \"B\", work: \"{work}s\", transitions: added, {fields} stations: [\"bell-deadlift\", \"bell-swing\", {others}])]"
        )
    };
    assert!(!told(FaultCode::SameGrip, &class(90, "")));
    assert!(told(FaultCode::SameGrip, &class(91, "")));
    assert!(!told(FaultCode::SameGrip, &class(91, "rest: \"10s\",")));
    assert!(told(FaultCode::SameGrip, &class(91, "rest: \"9s\",")));
    assert!(!told(FaultCode::SameGrip, &class(91, "focus: [hamstrings],")), "intended");
    let theme = "blocks: [(name: \"B\", work: \"91s\", stations: [\"bell-deadlift\", \"bell-swing\"])]";
    assert!(!told(FaultCode::SameGrip, theme), "a block of one pattern is intended");
}

#[test]
fn skill_comes_before_people_are_tired() {
    // Common practice, no source. The 10 min are our estimate.
    let class = |before: u32, after: u32| {
        format!(
            "blocks: [(name: \"B\", transitions: added, stations: [(move: \"squat\", work: \"{before}s\"), (move: \"windmill\", work: \"60s\"), (move: \"squat\", work: \"{after}s\")])]"
        )
    };
    assert!(told(FaultCode::LateSkill, &class(700, 60)));
    assert!(!told(FaultCode::LateSkill, &class(400, 400)));
    assert!(!told(FaultCode::LateSkill, &class(300, 60)), "a short class");
}

#[test]
fn strength_work_has_long_enough_rests() {
    // ACSM position stand 2009, Med Sci Sports Exerc 41:687: 2 to 3 min after core lifts, 1 to 2 min after others.
    let class = |id: &str, rest: u32, aim: &str| {
        format!(
            "blocks: [(name: \"B\", format: sets, rounds: 3, {aim} work: \"30s\", round_rest: \"{rest}s\", stations: [\"{id}\"])]"
        )
    };
    let aim = "aim: strength,";
    assert!(!told(FaultCode::ShortRest, &class("bell-deadlift", 180, aim)));
    assert!(!told(FaultCode::ShortRest, &class("bell-deadlift", 120, aim)));
    assert!(told(FaultCode::ShortRest, &class("bell-deadlift", 119, aim)));
    assert!(!told(FaultCode::ShortRest, &class("curl", 60, aim)));
    assert!(told(FaultCode::ShortRest, &class("curl", 59, aim)));
    for other in ["", "aim: conditioning,"] {
        assert!(!told(FaultCode::ShortRest, &class("bell-deadlift", 10, other)), "{other}");
    }
    let between = "blocks: [(name: \"B\", rounds: 3, aim: strength, work: \"30s\", rest: \"45s\", round_rest: \"45s\", stations: [\"squat-goblet\", \"row-bent-over\"])]";
    let apart = |rest: u32| {
        let one = |name: &str| {
            format!(
                "(name: \"{name}\", aim: strength, work: \"30s\", rest_after: \"{rest}s\", stations: [\"bell-deadlift\"])"
            )
        };
        format!("blocks: [{}, {}]", one("A"), one("B"))
    };
    assert!(told(FaultCode::ShortRest, &apart(119)), "from block to block too");
    assert!(!told(FaultCode::ShortRest, &apart(120)));
    assert!(!told(FaultCode::ShortRest, between), "work for other muscles is rest: 45 + 30 + 45 s");
}

#[test]
fn three_stations_in_a_row_that_are_hard_on_a_region_are_reported() {
    // Common practice, no source.
    let class = |mind: &str, stations: &str| {
        format!("look_after: [{mind}], blocks: [(name: \"B\", work: \"40s\", stations: [{stations}])]")
    };
    let lying = "\"dead-bug\", \"glute-bridge\", \"crunch\"";
    assert!(told(FaultCode::LookAfterRun, &class("supine", lying)));
    assert!(!told(FaultCode::LookAfterRun, &class("", lying)));
    assert!(!told(
        FaultCode::LookAfterRun,
        &class("supine", "\"dead-bug\", \"glute-bridge\", \"bird-dog\", \"crunch\"")
    ));
}

#[test]
fn people_have_enough_floor() {
    // IHRSA 2010: 25 to 45 square feet for each person. For 30 people, 45 each make 125.4 square metres, 25 each make
    // 69.7.
    let of = |floor: u32| {
        let text = format!(
            "(title: \"T\", people: 30, floor: {floor}, blocks: [(name: \"B\", work: \"40s\", stations: [\"squat\"])])"
        );
        let session = read(&text, Catalogue::built_in()).session.unwrap();
        let found = advise(&compile(session.into()));
        found.into_iter().find(|fault| fault.code == FaultCode::LittleSpace).map(|fault| fault.severity)
    };
    assert_eq!(of(126), None);
    assert_eq!(of(125), Some(Severity::Info));
    assert_eq!(of(70), Some(Severity::Info));
    assert_eq!(of(69), Some(Severity::Warning));
    let unknown = "floor: 10, blocks: [(name: \"B\", work: \"40s\", stations: [\"squat\"])]";
    assert!(!told(FaultCode::LittleSpace, unknown), "the number of people is not known");
}

#[test]
fn the_back_row_can_read_it() {
    // ISO 9241-3: at least 16 minutes of arc, 20 to 22 preferred. At 4 m these are capitals of 18.62, 23.27 and 25.60
    // mm by the formula of NUREG-0700. On this screen, of 1000 rows and 1000 mm, each row is 1 mm high.
    let of = |names: f64| {
        let sight = ViewingConditions { distance: 4_000, height: 1_000, rows: 1_000, digits: 40.0, names };
        let found = advise_screen(&sight);
        assert!(found.iter().all(|fault| fault.code == FaultCode::SmallLettering));
        found.first().map(|fault| (fault.severity, fault.message.clone()))
    };
    let severity = |names: f64| of(names).map(|(severity, _)| severity);
    assert_eq!(severity(18.61), Some(Severity::Warning));
    assert_eq!(severity(18.62), Some(Severity::Info));
    assert_eq!(severity(23.27), Some(Severity::Info));
    assert_eq!((severity(23.28), severity(25.60)), (None, None));
    let (_, said) = of(18.61).unwrap();
    assert_eq!(
        said, "from 4 m, names are 15 minutes of arc high (at least 16, better 20)",
        "never rounded up to enough"
    );
    let digits = ViewingConditions { distance: 4_000, height: 1_000, rows: 1_000, digits: 18.0, names: 40.0 };
    assert!(advise_screen(&digits)[0].message.contains("the digits"));
}

#[test]
fn check_uses_the_distance_of_the_settings() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("forecall");
    std::fs::create_dir(&folder).unwrap();
    let said = |config: &str| {
        std::fs::write(folder.join("config.ron"), config).unwrap();
        let output = Command::new(env!("CARGO_BIN_EXE_forecall"))
            .args(["check", "sessions/first-look.ron"])
            .env("HOME", home.path())
            .env("XDG_CONFIG_HOME", home.path())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap()
    };
    // Names are 25.4 mm high on the smallest screen: 21.8 minutes of arc at 4 m, 14.5 at 6 m.
    assert!(!said("(distance: 4.0)").contains("small_lettering"));
    assert!(said("(distance: 6.0)").contains("small_lettering"), "{}", said("(distance: 6.0)"));
    assert!(!said("(distance: 6.0, screen_height: 400)").contains("small_lettering"));
    assert!(!said("()").contains("small_lettering"));
}

/// The codes of the findings on a class that depend on the class before it.
fn after(before: &str, now: &str) -> Vec<FaultCode> {
    let class = |text: &str| {
        let reading = read(&format!("(title: \"Boat bay\", {text})"), Catalogue::built_in());
        compile(reading.session.unwrap_or_else(|| panic!("{:?}", reading.faults)).into())
    };
    let (then, now) = (class(before), class(now));
    let led = PastClass {
        title: then.session.title.clone(),
        day: jiff::civil::date(2026, 1, 12),
        work: work_until(&then, then.total()),
        session: then.session.clone(),
    };
    let past = PastClasses { today: jiff::civil::date(2026, 1, 14), nights: 2, classes: vec![led] };
    advise_after(&now, &past).iter().map(|fault| fault.code).filter(|code| code.is_of_elsewhere()).collect()
}

#[test]
fn no_muscle_is_loaded_much_longer_than_in_the_last_class() {
    // Our estimate: more than half as long again, and at least 3 min longer.
    let class = |seconds: u32| format!("blocks: [(name: \"B\", work: \"{seconds}s\", stations: [\"squat\"])]");
    let told = |before, now| after(&class(before), &class(now)).contains(&FaultCode::MuchMore);
    assert!(!told(400, 600) && told(400, 601));
    assert!(!told(200, 379) && told(200, 380));
    assert!(!told(170, 900), "a muscle that was hardly loaded before is not compared");
    // The same for jumps: more than twice as long, and at least 2 min longer.
    let jumps = |seconds: u32| format!("blocks: [(name: \"B\", work: \"{seconds}s\", stations: [\"squat-jump\"])]");
    let told = |before, now| after(&jumps(before), &jumps(now)).contains(&FaultCode::ImpactJump);
    assert!(!told(130, 260) && told(130, 261));
    assert!(!told(60, 179) && told(60, 180));
}

#[test]
fn one_thing_is_made_harder_at_a_time() {
    // Common practice, no source.
    let class = |fields: &str, stations: &str| format!("blocks: [(name: \"B\", {fields}, stations: [{stations}])]");
    let plain = class("work: \"40s\", rest: \"20s\", rounds: 2", "\"bell-deadlift\", \"squat\"");
    let told = |fields: &str, stations: &str| after(&plain, &class(fields, stations)).contains(&FaultCode::TwoAdvanced);
    let same = "\"bell-deadlift\", \"squat\"";
    assert!(!told("work: \"40s\", rest: \"20s\", rounds: 2", same));
    assert!(!told("work: \"45s\", rest: \"20s\", rounds: 2", same));
    assert!(told("work: \"45s\", rest: \"15s\", rounds: 2", same));
    assert!(told(
        "work: \"40s\", rest: \"20s\", rounds: 3",
        "\"bell-deadlift\", (move: \"squat\", tempo: \"4-1-2-0\")"
    ));
    // In the catalogue, the staggered deadlift is the harder option.
    assert!(told("work: \"40s\", rest: \"20s\", rounds: 3", "\"deadlift-staggered\", \"squat\""));
    assert!(!told("work: \"45s\", rest: \"30s\", rounds: 2", same), "longer work, longer rest");
    // A shorter EMOM minute leaves less rest, and a longer AMRAP is longer work.
    let every = |every: u32, rounds: u32| {
        class(&format!("format: emom(every: \"{every}s\"), work: \"30s\", rounds: {rounds}"), same)
    };
    let two = |before: &str, now: &str| after(before, now).contains(&FaultCode::TwoAdvanced);
    assert!(two(&every(60, 4), &every(50, 5)) && !two(&every(60, 4), &every(50, 4)));
    let time = |minutes: u32, rounds: u32| {
        let stations = "(move: \"bell-deadlift\", reps: 8), (move: \"squat\", reps: 8)";
        class(&format!("format: amrap(time: \"{minutes}m\"), rounds: {rounds}"), stations)
    };
    assert!(two(&time(6, 1), &time(8, 2)) && !two(&time(6, 1), &time(8, 1)));
}

#[test]
fn allowed_advice_is_not_reported_and_an_allowance_of_nothing_is() {
    let run = |args: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_forecall")).args(args).env("HOME", "/nonexistent").output().unwrap()
    };
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("holds.ron");
    let check = |allow_class: &str, allow_block: &str, options: &[&str]| {
        let text = format!(
            "(title: \"Holds\", {allow_class} blocks: [(name: \"A\", work: \"130s\", rest_after: \"60s\", {allow_block} stations: [\"plank\"]), (name: \"B\", work: \"130s\", stations: [\"plank\"])])"
        );
        std::fs::write(&file, text).unwrap();
        let output = run(&[&["check"], options, &[file.to_str().unwrap()]].concat());
        (String::from_utf8(output.stdout).unwrap(), output.status.code())
    };
    let allow = "allow: [(rule: \"long_hold\", why: \"a test of holds\")],";
    let (told, _) = check("", "", &[]);
    assert!(told.contains("Block A, A") && told.contains("Block B, B") && told.contains("2 warnings"), "{told}");
    let (told, code) = check("", allow, &["--strict"]);
    assert!(told.contains("1 warning, 1 allowed") && !told.contains("Block A") && code == Some(1), "{told}");
    let (told, code) = check(allow, "", &["--strict"]);
    assert!(told.contains("no faults, 2 allowed") && code == Some(0), "{told}");
    let (told, _) = check(allow, "", &["--json"]);
    let json: serde_json::Value = serde_json::from_str(&told).unwrap();
    let faults = json["files"][0]["faults"].as_array().unwrap();
    assert!(faults.iter().all(|fault| fault["allowed"] == "a test of holds"), "{told}");
    assert_eq!((&faults[0]["block"], &faults[1]["block"]), (&"A".into(), &"B".into()));
    let idle = allow.replace("long_hold", "many_ups");
    let (told, code) = check("", &idle, &["--strict"]);
    assert!(told.contains("info[allows_nothing]: many_ups") && code == Some(1), "{told}");
}

/// Ctrl-C ends `check --follow` with exit code 0.
#[cfg(unix)]
#[test]
fn a_followed_file_is_checked_at_each_save() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("class.ron");
    let text = |work: u32| format!("(title: \"T\", blocks: [(name: \"B\", work: \"{work}s\", stations: [\"plank\"])])");
    std::fs::write(&file, text(20)).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_forecall"))
        .args(["check", "--follow", file.to_str().unwrap()])
        .env("HOME", "/nonexistent")
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut until = |words: &str| lines.by_ref().any(|line| line.unwrap().contains(words));
    assert!(until("no faults, 0:20"));
    std::fs::write(&file, "(title: \"T\", blocks: ").unwrap();
    assert!(until("Saved, and checked again"));
    assert!(until("fault"), "a faulty file does not end it");
    std::fs::write(&file, text(130)).unwrap();
    assert!(until("1 warning, 2:10"));
    let asked = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(asked.success());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

/// For each finding on the demos and the classes of `tests/classes`, why it helps the coach.
const RIGHT: &[(&str, FaultCode, &str)] = &[
    (
        "emom",
        FaultCode::KitMissing,
        "the coach forgot that this row needs a dumbbell: everybody would stand there without one",
    ),
    ("lunch", FaultCode::KitOrder, "nobody waits for it, but two kit changes fewer each round are worth a look"),
    (
        "partners",
        FaultCode::KitMissing,
        "everybody does the last warm-up movement at once, and there is one mat for three people",
    ),
];

/// The demo sessions and ten classes as coaches plan them have no findings except those listed as right.
#[test]
fn no_class_has_a_false_alarm() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<_> = ["sessions", "tests/classes"]
        .iter()
        .flat_map(|folder| std::fs::read_dir(top.join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "ron"))
        .collect();
    files.sort_by_key(|path| path.file_name().unwrap().to_owned());
    assert!(files.len() >= 14);
    let (mut said, mut used) = (String::new(), HashSet::new());
    let nothing_before = PastClasses { today: jiff::civil::date(2026, 1, 14), nights: 2, classes: vec![] };
    for file in files {
        let name = file.file_stem().unwrap().to_str().unwrap().to_owned();
        let checked =
            open_with_advice(&file, Catalogue::built_in(), &[], &ChangeoverCosts::ESTIMATED, &nothing_before).unwrap();
        if checked.report.faults.is_empty() {
            said += &format!("{name}: nothing\n");
        }
        for placed in checked.report.faults {
            let fault = placed.fault;
            let why = RIGHT.iter().position(|(file, code, _)| *file == name && *code == fault.code);
            used.extend(why);
            let why = why.map_or("NOT LISTED AS RIGHT", |why| RIGHT[why].2);
            said += &format!(
                "{name}: {} {}: {} ({})\n    right: {why}\n",
                fault.severity,
                fault.code,
                fault.message,
                fault.help.unwrap_or_default()
            );
        }
    }
    insta::assert_snapshot!("classes", said);
    assert!(!said.contains("NOT LISTED"), "{said}");
    assert_eq!(used.len(), RIGHT.len(), "an entry of RIGHT that is not found any more");
}

#[test]
fn explain_has_every_rule_and_strict_makes_warnings_fail() {
    let run = |args: &[&str]| Command::new(env!("CARGO_BIN_EXE_forecall")).args(args).output().unwrap();
    for rule in RULES {
        let output = run(&["check", "--explain", &rule.code.to_string()]);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(output.status.success() && said.contains(rule.explain) && said.contains(rule.source), "{said}");
        assert_ne!(rule.severity, Severity::Fault);
    }
    for about in ABOUT {
        let output = run(&["check", "--explain", &about.code.to_string()]);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(output.status.success() && said.contains(about.explain) && said.contains(about.source), "{said}");
        assert!(!about.code.is_advice());
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
