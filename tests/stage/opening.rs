//! Where and when a class begins, as given on the command line.

use crate::classes;

use class::movement::{KitItem, NeededKit};
use class::schedule::{Schedule, compile};
use class::session::{BlockFormat, TransitionMode};
use class::time::Tick;
use classes::{block, session, station};
use stage::lead::opening::{start_tick, time_of_day, time_to_end};

/// Blocks named Raise (2 × 40 s, 10 s between them), Hinge (60 s, an added transition, 60 s) and Raised finish (30 s).
fn class() -> Schedule {
    let mut first = station("march", Tick::seconds(40));
    first.rest = Tick::seconds(10);
    let mut raise = block(BlockFormat::Circuit, vec![first, station("sweep", Tick::seconds(40))]);
    raise.name = "Raise".into();
    let mut bell = station("deadlift", Tick::seconds(60));
    bell.kit = vec![NeededKit { item: KitItem("kettlebell".into()), load: None, count: 1 }];
    let mut hinge = block(BlockFormat::Circuit, vec![station("squat", Tick::seconds(60)), bell]);
    hinge.name = "Hinge".into();
    hinge.transitions = TransitionMode::Added;
    let mut finish = block(BlockFormat::Circuit, vec![station("sprint", Tick::seconds(30))]);
    finish.name = "Raised finish".into();
    compile(session(vec![raise, hinge, finish]))
}

#[test]
fn a_block_goes_by_name_letter_or_number() {
    let class = class();
    let b = Tick::seconds(90);
    for text in ["B", "b", "2", "Hinge", "hinge", "hin", " B "] {
        assert_eq!(start_tick(&class, text), Ok(b), "{text}");
    }
    // A whole name wins over the beginning of another name.
    assert_eq!(start_tick(&class, "raise"), Ok(Tick::ZERO));
    let no = start_tick(&class, "Swing").unwrap_err().to_string();
    assert!(no.contains("A Raise, B Hinge, C Raised finish"), "{no}");
    for text in ["", "D", "0", "rais", "."] {
        assert!(start_tick(&class, text).is_err(), "{text}");
    }
}

#[test]
fn a_station_goes_by_number_and_its_change_over_comes_along() {
    let class = class();
    assert_eq!(start_tick(&class, "A.2"), Ok(Tick::seconds(50)));
    let change = class.spans.iter().find(|span| span.start == start_tick(&class, "Hinge.2").unwrap()).unwrap();
    assert_eq!(change.purpose.to_string(), "transition");
    assert_eq!(start_tick(&class, "A.3").unwrap_err().to_string(), "this block has stations 1 to 2");
    assert_eq!(start_tick(&class, "C.2").unwrap_err().to_string(), "this block has one station");
    assert!(start_tick(&class, "A.x").is_err());
    assert!(start_tick(&class, "A.0").is_err());
    assert!(start_tick(&class, "A.99999999999999999999").is_err());
}

#[test]
fn a_time_of_day_is_the_next_one() {
    let at = |text: &str, now: &str| {
        time_of_day(text, &now.parse().unwrap()).map(|wait| wait.as_millis()).map_err(|why| why.to_string())
    };
    let now = "2026-01-10T18:10:00+00:00[Europe/London]";
    assert_eq!(at("18:15", now), Ok(300_000));
    assert_eq!(at("18:10", now), Ok(0));
    assert_eq!(at(" 6:05 ", now), Ok((5 * 60 + 50 + 6 * 60 + 5) * 60_000), "tomorrow morning, within half a day");
    assert_eq!(at("00:10", "2026-01-10T23:50:00+00:00[UTC]"), Ok(20 * 60_000));
    let late = at("18:05", now).unwrap_err();
    assert!(late.contains("5m ago"), "{late}");
    for text in ["", "18", "18:5", "24:00", "18:60", "-1:00", "18:15:00", "six", "+1:10", "018:15"] {
        assert!(at(text, now).is_err(), "{text}");
    }
    // The night in which the clocks go forward in London (last Sunday of March, 01:00 UTC): 1 h less until 06:00.
    assert_eq!(at("06:00", "2026-03-28T23:00:00+00:00[Europe/London]"), Ok(6 * 3_600_000));
}

#[test]
fn the_end_of_a_class_is_after_its_beginning() {
    let from = |text: &str, begins: &str| {
        time_to_end(text, &begins.parse().unwrap()).map(|wait| wait.as_millis()).map_err(|why| why.to_string())
    };
    let begins = "2026-01-10T18:15:20+00:00[Europe/London]";
    assert_eq!(from("19:00", begins), Ok((44 * 60 + 40) * 1000));
    assert_eq!(from("00:10", "2026-01-10T23:30:00+00:00[UTC]"), Ok(40 * 60_000), "over midnight");
    for text in ["18:00", "18:15", "7:00", "00:16"] {
        let no = from(text, begins).unwrap_err();
        assert!(no.contains(text) && no.contains("begins at 18:15"), "{no}");
    }
    assert!(from("18:15", "2026-01-10T18:15:00+00:00[UTC]").is_err(), "a class of no length is refused");
    for text in ["", "19", "19:0", "24:00", "soon"] {
        assert!(from(text, begins).unwrap_err().contains("18:15"), "{text}");
    }
    // The night in which the clocks go back in London (last Sunday of October, 01:00 UTC): 1 h more until 02:00.
    assert_eq!(from("02:00", "2026-10-24T23:30:00+01:00[Europe/London]"), Ok((2 * 60 + 30 + 60) * 60_000));
}
