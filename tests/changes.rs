//! Live changes in any order at any tick: the past stays, sides are equal or the ledger says what is owed.

mod classes;

use std::collections::BTreeMap;

use classes::{any_session, block, session, station, station_of};
use forecall::change::{Course, History, Length, Reach};
use forecall::movement::{Position, Sides};
use forecall::schedule::{Costs, Doing, Purpose, Schedule, Side, Span, compile, compile_with};
use forecall::session::{Format, Work};
use forecall::time::Tick;
use proptest::prelude::*;

#[derive(Clone, Copy, Debug)]
enum Do {
    Next,
    Back,
    Again,
    Stretch(i64, Reach),
    RestNow,
    DropRound,
    AddRound,
    Fit(i64),
    Cut(i64),
    Repay,
    Dismiss,
    Swap,
    Undo,
    Redo,
}

fn any_change() -> impl Strategy<Value = Do> {
    let by = prop::sample::select(vec![15_000i64, -15_000, 7_001, -60_000]);
    let reach = prop::sample::select(vec![Reach::This, Reach::Block]);
    prop_oneof![
        2 => Just(Do::Next),
        1 => Just(Do::Back),
        1 => Just(Do::Again),
        4 => (by, reach).prop_map(|(by, reach)| Do::Stretch(by, reach)),
        2 => Just(Do::RestNow),
        1 => Just(Do::DropRound),
        1 => Just(Do::AddRound),
        2 => (-200_000i64..200_000).prop_map(Do::Fit),
        1 => (-100_000i64..10_000).prop_map(Do::Cut),
        1 => Just(Do::Repay),
        1 => Just(Do::Dismiss),
        1 => Just(Do::Swap),
        3 => Just(Do::Undo),
        1 => Just(Do::Redo),
    ]
}

fn changed(course: &Course, now: Tick, change: Do, history: &mut History) -> Course {
    let end = |by: i64| Tick(course.schedule().total().0.saturating_add_signed(by));
    let after = match change {
        Do::Next => course.next(now),
        Do::Back => course.back(now),
        Do::Again => course.again(now),
        Do::Stretch(by, reach) => course.stretch(now, by, reach).unwrap_or_else(|| course.clone()),
        Do::RestNow => course.rest_now(now),
        Do::DropRound => course.drop_round(now).unwrap_or_else(|| course.clone()),
        Do::AddRound => course.add_round(now).unwrap_or_else(|| course.clone()),
        Do::Fit(by) => course.fit(now, end(by)).course,
        Do::Cut(by) => course.cut(now, end(by)).course,
        Do::Repay => course.ledger().first().map_or(course.clone(), |debt| course.repay(now, debt)),
        Do::Dismiss => course.ledger().first().map_or(course.clone(), |debt| course.dismiss(debt)),
        Do::Swap => swapped(course, now),
        Do::Undo => return history.undo(now, course).unwrap_or_else(|| course.clone()),
        Do::Redo => return history.redo(now, course).unwrap_or_else(|| course.clone()),
    };
    history.record(now, course.clone(), after.clone());
    after
}

/// Another movement on the floor, with the same sides.
fn swapped(course: &Course, now: Tick) -> Course {
    let Some((block, station)) = course.station_to_swap(now) else { return course.clone() };
    let mut new = course.schedule().session.blocks[block].stations[station].clone();
    new.movement = classes::movement("stand-in", Position::Supine).into();
    course.swap(now, block, station, new)
}

/// What a tick of the class was: which block and station, which purpose, which side.
fn was(schedule: &Schedule, now: Tick) -> Option<(usize, Purpose, Doing, Side, u32)> {
    let span = &schedule.spans[schedule.span_at(now)?];
    let side = match span.side_at(now) {
        Side::Right if span.switch_at().is_some_and(|at| now >= at) && span.right_at().is_some_and(|at| now < at) => {
            Side::Both
        }
        side => side,
    };
    Some((span.block, span.purpose, span.doing, side, span.round))
}

fn same_past(before: &Schedule, after: &Schedule, now: Tick) -> Result<(), TestCaseError> {
    let mut ticks: Vec<u64> = vec![0, now.0.saturating_sub(1)];
    for span in before.spans.iter().chain(&after.spans) {
        let inner = [Some(span.start), Some(span.working_from()), span.switch_at(), span.right_at(), Some(span.end)];
        for at in inner.into_iter().flatten() {
            ticks.extend([at.0.saturating_sub(1), at.0, at.0 + 1]);
        }
    }
    for at in ticks.into_iter().filter(|&at| at < now.0) {
        prop_assert_eq!(was(before, Tick(at)), was(after, Tick(at)), "at {}", at);
    }
    let told = |schedule: &Schedule| {
        schedule
            .events
            .iter()
            .filter(|event| event.at < now)
            .map(|event| (event.at, event.what.clone()))
            .collect::<Vec<_>>()
    };
    prop_assert_eq!(told(before), told(after));
    Ok(())
}

fn sound(course: &Course, let_be: bool) -> Result<(), TestCaseError> {
    let schedule = course.schedule();
    let mut at = Tick::ZERO;
    let mut balance: BTreeMap<usize, i64> = BTreeMap::new();
    for (index, span) in schedule.spans.iter().enumerate() {
        prop_assert_eq!(span.start, at);
        prop_assert!(span.end > span.start);
        prop_assert!(span.settle <= span.length());
        at = span.end;
        prop_assert!(course.origin(index).is_some());
        if span.purpose == Purpose::Work {
            let (left, right) = worked(span);
            *balance.entry(span.block).or_default() += left - right;
        }
    }
    for event in &schedule.events {
        prop_assert!(event.span < schedule.spans.len() && event.at <= at);
    }
    // What is longer, put in, shorter and left out makes up all that the class is longer or shorter than planned.
    let marks = course.marks();
    prop_assert_eq!(marks.len(), schedule.spans.len());
    let more: i64 = marks.iter().map(|mark| mark.by - (mark.gone_before.0 + mark.gone_after.0) as i64).sum();
    if !marks.is_empty() {
        prop_assert_eq!(more, at.0 as i64 - course.plan().total().0 as i64);
    }
    let mut owed: BTreeMap<usize, i64> = BTreeMap::new();
    for debt in course.ledger() {
        let sign = if debt.side == Side::Right { 1 } else { -1 };
        *owed.entry(debt.block).or_default() += sign * debt.by.0 as i64;
    }
    balance.retain(|_, by| *by != 0);
    owed.retain(|_, by| *by != 0);
    if !let_be {
        prop_assert_eq!(balance, owed);
    }
    Ok(())
}

/// Left and right of a span, counted from its moments.
fn worked(span: &Span) -> (i64, i64) {
    let (from, to) = (span.working_from().0 as i64, span.end.0 as i64);
    match span.side {
        Side::Left => (to - from, 0),
        Side::Right => (0, to - from),
        Side::LeftThenRight { .. } => {
            let (switch, right) = (span.switch_at().unwrap().0 as i64, span.right_at().unwrap().0 as i64);
            (switch.min(to) - from, (to - right).max(0))
        }
        _ => (0, 0),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, ..ProptestConfig::default() })]

    #[test]
    fn any_changes_at_any_ticks(
        session in any_session(),
        changes in prop::collection::vec((any_change(), 0u64..120_000, any::<bool>()), 1..14),
    ) {
        let mut course = Course::new(compile(session));
        let mut history = History::default();
        let mut now = Tick::ZERO;
        let mut let_be = false;
        for (change, later, on_boundary) in changes {
            now += Tick(later % 40_000);
            if on_boundary && let Some(span) = course.schedule().span_at(now) {
                now = course.schedule().spans[span].end;
            }
            now = now.min(course.schedule().total());
            let_be |= matches!(change, Do::Dismiss);
            let after = changed(&course, now, change, &mut history);
            same_past(course.schedule(), after.schedule(), now)?;
            sound(&after, let_be)?;
            if !matches!(change, Do::Undo | Do::Redo) {
                // With no tick between, undo gives the same back, and redo the change.
                let mut back = history.clone();
                let undone = back.undo(now, &after).unwrap();
                prop_assert_eq!(&undone, &course);
                prop_assert_eq!(back.redo(now, &undone).unwrap(), after.clone());
            }
            course = after;
        }
    }
}

fn lengths(course: &Course) -> Vec<u64> {
    course.schedule().spans.iter().map(|span| span.length().0 / 1000).collect()
}

fn pair() -> Course {
    let mut one = station_of(classes::movement("lunge", Position::Standing), Work::Time(Tick::seconds(42)));
    one.sides = Sides::EachSide;
    Course::new(compile(session(vec![block(Format::Circuit, vec![one, station("march", Tick::seconds(40))])])))
}

#[test]
fn stretching_the_left_lengthens_the_right() {
    let course = pair();
    assert_eq!(lengths(&course), [42, 42, 40]);
    let longer = course.stretch(Tick::seconds(20), 15_000, Reach::This).unwrap();
    assert_eq!(lengths(&longer), [57, 57, 40]);
    let twice = longer.stretch(Tick::seconds(50), 15_000, Reach::This).unwrap();
    assert_eq!(lengths(&twice), [72, 72, 40]);
    assert!(twice.ledger().is_empty());
}

#[test]
fn next_in_the_right_is_owed_until_repaid() {
    let course = pair();
    let cut = course.next(Tick::seconds(42 + 30));
    let debts = cut.ledger();
    assert_eq!(debts.len(), 1);
    assert_eq!((debts[0].side, debts[0].by), (Side::Right, Tick::seconds(12)));
    let repaid = cut.repay(Tick::seconds(80), &debts[0]);
    assert!(repaid.ledger().is_empty());
    assert_eq!(repaid.origin(3).unwrap().length, Length::PutIn);
    assert!(cut.dismiss(&debts[0]).ledger().is_empty());
}

#[test]
fn a_rest_now_stands_before_what_follows() {
    let course = pair();
    let rest = course.rest_now(Tick::seconds(72));
    assert_eq!(lengths(&rest), [42, 30, 30, 40]);
    // With nothing to follow, the end of the class is the rest.
    assert_eq!(lengths(&course.rest_now(Tick::seconds(100))), [42, 42, 16]);
    // Before anybody has got going, the work comes after it whole.
    let early = course.rest_now(Tick::seconds(84));
    assert_eq!(lengths(&early), [42, 42, 30, 40]);
}

/// By how much each span is longer, whether something is left out before or after it, whether something else is done.
fn marks(course: &Course) -> Vec<(i64, u64, u64, bool)> {
    let seconds = |tick: Tick| tick.0 / 1000;
    let marks = course.marks();
    marks
        .iter()
        .map(|it| (it.by / 1000, seconds(it.gone_before), seconds(it.gone_after), it.instead_of.is_some()))
        .collect()
}

#[test]
fn what_is_other_than_planned_is_marked_where_it_is() {
    const SAME: (i64, u64, u64, bool) = (0, 0, 0, false);
    let mut warm = block(Format::Circuit, vec![station("march", Tick::seconds(30))]);
    warm.rest_after = Tick::seconds(20);
    let circuit = block(Format::Circuit, (0..3).map(|n| station(&format!("m-{n}"), Tick::seconds(40))).collect());
    let course = Course::new(compile(session(vec![warm, circuit])));
    assert_eq!(lengths(&course), [30, 20, 40, 40, 40]);
    assert_eq!(marks(&course), [SAME; 5]);
    let now = Tick::seconds(10);
    let longer = course.stretch(now, 15_000, Reach::This).unwrap();
    assert_eq!(marks(&longer), [(15, 0, 0, false), SAME, SAME, SAME, SAME]);
    // Two stations skipped one after the other: the first was cut short, the second is not there.
    let at = Tick::seconds(60);
    let skipped = course.next(at).next(at);
    assert_eq!(lengths(&skipped), [30, 20, 10, 40]);
    assert_eq!(marks(&skipped), [SAME, SAME, (-30, 0, 40, false), SAME]);
    // The rest skipped at its first tick belongs to the block before it.
    let unrested = course.next(Tick::seconds(30));
    assert_eq!(marks(&unrested), [(0, 0, 20, false), SAME, SAME, SAME]);
    // What is done once more is more; a rest put in too.
    assert_eq!(marks(&course.again(now))[..2], [SAME, (10, 0, 0, false)]);
    assert_eq!(marks(&course.rest_now(at))[2..4], [(-30, 0, 0, false), (30, 0, 0, false)]);
    // Something else for as long.
    let other = swapped(&course, at);
    assert!(other.marks().iter().any(|mark| mark.instead_of.is_some()), "{:?}", marks(&other));
    assert_eq!(lengths(&other).iter().sum::<u64>(), 170);
}

#[test]
fn a_late_undo_gives_back_what_was_left() {
    let course = pair();
    let mut history = History::default();
    let skipped = course.next(Tick::seconds(72));
    history.record(Tick::seconds(72), course, skipped.clone());
    let back = history.undo(Tick::seconds(77), &skipped).unwrap();
    // 12 s of the right, then the march whole.
    assert_eq!(lengths(&back), [42, 30, 5, 12, 40]);
    assert!(back.ledger().is_empty());
}

#[test]
fn rounds_are_dropped_and_added() {
    let mut circuit = block(Format::Circuit, (0..2).map(|n| station(&format!("m-{n}"), Tick::seconds(30))).collect());
    circuit.rounds = 2;
    circuit.round_rest = Tick::seconds(20);
    let course = Course::new(compile(session(vec![circuit])));
    assert_eq!(lengths(&course), [30, 30, 20, 30, 30]);
    let now = Tick::seconds(5);
    assert_eq!(lengths(&course.drop_round(now).unwrap()), [30, 30]);
    assert_eq!(lengths(&course.add_round(now).unwrap()), [30, 30, 20, 30, 30, 20, 30, 30]);
    assert_eq!(course.drop_round(now).unwrap().drop_round(now), None);
    let rounds = |course: Course| course.schedule().passes(0);
    assert_eq!(rounds(course.clone()), 2);
    assert_eq!((rounds(course.drop_round(now).unwrap()), rounds(course.add_round(now).unwrap())), (1, 3));
}

#[test]
fn what_a_change_asks_for_anew_is_counted_as_the_plan_was() {
    let at = |id: &str, place: &str| {
        let mut station = station(id, Tick::seconds(60));
        station.place = Some(place.into());
        station
    };
    let circuit = block(Format::Circuit, vec![at("row", "left wall"), at("press", "right wall")]);
    let costs = Costs { place: Tick::seconds(20), ..Costs::ESTIMATED };
    let course = Course::new(compile_with(session(vec![circuit]), &costs));
    let settles = |course: &Course| course.schedule().spans.iter().map(|span| span.settle.0 / 1000).collect::<Vec<_>>();
    assert_eq!(settles(&course), [0, 20]);
    // Back to the left wall takes as long as to the right one.
    assert_eq!(settles(&course.add_round(Tick::seconds(5)).unwrap()), [0, 20, 20, 20]);
}

proptest! {
    #[test]
    fn a_plan_has_the_rounds_of_its_file(session in any_session()) {
        let plan = compile(session);
        for (index, block) in plan.session.blocks.iter().enumerate() {
            prop_assert_eq!(plan.passes(index), block.passes(), "{:?}", block.format);
        }
    }
}
