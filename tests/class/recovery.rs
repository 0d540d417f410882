//! When the same muscles may be loaded again, counted in nights since past classes.

use crate::classes;

use std::sync::Arc;

use class::check::past::{NIGHTS, loaded_muscles, work_until};
use class::check::recovery::too_soon;
use class::check::{PastClass, PastClasses, PastWork, advised};
use class::movement::{Catalogue, Movement, Muscle, Sides};
use class::schedule::{Schedule, compile};
use class::session::fault::{FaultCode, Severity};
use class::session::{BlockFormat, WorkAmount};
use class::time::Tick;
use classes::{block, session, station, station_of};
use jiff::civil::date;

fn movement(id: &str) -> Arc<Movement> {
    Catalogue::built_in().get(id).unwrap().clone()
}

/// A class of one movement, of this many seconds.
fn class_of(id: &str, seconds: u64) -> Schedule {
    let mut station = station(id, Tick::seconds(seconds));
    station.movement = movement(id);
    compile(session(vec![block(BlockFormat::Circuit, vec![station])]))
}

fn past(nights: u8, day: jiff::civil::Date, id: &str, seconds: u64) -> PastClasses {
    let work = vec![PastWork { movement: movement(id), time: Tick::seconds(seconds) }];
    let session = class_of(id, seconds).session;
    let class = PastClass { title: "Legs".into(), day, work, session };
    PastClasses { today: date(2026, 1, 14), nights, classes: vec![class] }
}

#[test]
fn two_nights_of_rest_by_default_at_any_hour() {
    let squats = class_of("squat", 300);
    let told = |day, nights| too_soon(&squats, &past(nights, day, "squat", 300)).len();
    // Common practice: about 48 hours between, which is two nights on the calendar.
    assert_eq!(NIGHTS, 2);
    assert_eq!(told(date(2026, 1, 14), NIGHTS), 1, "twice in a day");
    assert_eq!(told(date(2026, 1, 13), NIGHTS), 1, "one night");
    assert_eq!(told(date(2026, 1, 12), NIGHTS), 0, "two nights");
    assert_eq!(told(date(2026, 1, 12), 3), 1);
    assert_eq!(told(date(2026, 1, 14), 0), 0, "the coach has set 0 nights");
    assert_eq!(
        told(date(2026, 1, 15), NIGHTS),
        0,
        "a class in the future, after a clock was set back, is not compared"
    );
}

#[test]
fn three_minutes_under_load_in_both_classes_count() {
    let day = date(2026, 1, 13);
    let told = |then, now| too_soon(&class_of("squat", now), &past(2, day, "squat", then)).len();
    assert_eq!((told(180, 180), told(179, 180), told(180, 179)), (1, 0, 0));
    // Stretching the same muscles does not load them.
    let stretch = Catalogue::built_in()
        .iter()
        .find(|movement| !movement.loaded && movement.prime.iter().any(|muscle| movement_has(muscle, "squat")));
    let stretch = stretch.unwrap().id.clone();
    assert!(too_soon(&class_of(&stretch, 600), &past(2, day, "squat", 600)).is_empty());
}

fn movement_has(muscle: &Muscle, id: &str) -> bool {
    movement(id).prime.contains(muscle)
}

#[test]
fn the_warning_names_class_muscles_and_day_and_never_refuses_the_class() {
    let squats = class_of("squat", 300);
    let past = past(2, date(2026, 1, 13), "squat", 370);
    let mut more = advised(&squats, &past, None);
    more.retain(|fault| fault.code == FaultCode::NotRecovered);
    let [fault] = &more[..] else { panic!("{more:?}") };
    assert_eq!((fault.code, fault.severity), (FaultCode::NotRecovered, Severity::Warning));
    for words in ["\"Legs\" on Tue 13 Jan", "quadriceps 6m10s", "again from Thu 15 Jan"] {
        assert!(fault.message.contains(words), "{words}: {}", fault.message);
    }
    assert!(fault.help.as_ref().unwrap().contains("an estimate"));
}

#[test]
fn settle_switch_and_spans_not_reached_do_not_count_as_work() {
    let mut lunge = classes::movement("lunge", class::movement::Position::Standing);
    (lunge.sides, lunge.loaded, lunge.prime) = (Sides::LeftThenRight, true, vec![Muscle::Glutes]);
    let schedule = compile(session(vec![block(
        BlockFormat::Circuit,
        vec![station_of(lunge, WorkAmount::Time(Tick::seconds(42)))],
    )]));
    let span = &schedule.spans[0];
    let (left, right) = span.by_side();
    assert_eq!(left, right);
    let until = |tick| loaded_muscles(&work_until(&schedule, tick)).get(&Muscle::Glutes).copied().unwrap_or(Tick::ZERO);
    assert_eq!(until(schedule.total()), left + right);
    assert_eq!(until(span.switch_start().unwrap()), left);
    assert_eq!(until(span.right_start().unwrap()), left);
    assert_eq!(until(span.right_start().unwrap() + Tick(500)), left + Tick(500));
    assert_eq!(until(span.work_start()), Tick::ZERO);
}

#[test]
fn in_a_rotation_each_person_does_each_station_once() {
    let stations = vec![station("squat", Tick::seconds(60)), station("row", Tick::seconds(60))];
    let schedule = compile(session(vec![block(BlockFormat::Rotation, stations)]));
    let times: Vec<Tick> = work_until(&schedule, schedule.total()).iter().map(|worked| worked.time).collect();
    let all: Tick = schedule
        .spans
        .iter()
        .filter(|span| span.purpose == class::schedule::SpanPurpose::Work)
        .map(|span| span.end - span.work_start())
        .sum();
    assert_eq!(times.len(), 2);
    assert_eq!(times[0] + times[1], all);
}
