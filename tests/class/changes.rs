//! Live changes in any order at any tick: the past stays, and both sides are equal or the difference is listed as a
//! side debt.

use crate::classes;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use class::change::{ChangeHistory, ChangeReach, Course, LengthSource, LiveChange};
use class::cue::{ReplanPoint, SpeechSettings};
use class::movement::{Movement, Position, Sides, Tier};
use class::schedule::{
    Activity, ChangeoverCosts, EventContent, Schedule, ScheduleEvent, Span, SpanPurpose, WorkingSide, compile,
    compile_with,
};
use class::session::{Block, BlockFormat, BlockKind, Session, SpeechLevel, WorkAmount};
use class::time::Tick;
use classes::{any_session, block, movement, session, station, station_of};
use proptest::prelude::*;

/// An action that a coach may take in a class. Some numbers, such as an index, get their meaning only from the course.
#[derive(Clone, Copy, Debug)]
enum Do {
    Next,
    Back,
    Again,
    RestNow,
    Stretch(i64, ChangeReach),
    Return,
    DropRound,
    AddRound,
    /// Fit to an end this many milliseconds later than the present one.
    Fit(i64),
    Cut(i64),
    /// Swap: the movement that is offered for None, otherwise the one with this index.
    StandIn(Option<usize>),
    Easier,
    Repay(usize),
    LetBe(usize),
    Undo,
    Redo,
}

fn any_doing() -> impl Strategy<Value = Do> {
    let by = prop::sample::select(vec![15_000i64, -15_000, 5_000, -5_000, 7_001, -60_000]);
    let reach = prop::sample::select(vec![ChangeReach::Current, ChangeReach::Block]);
    prop_oneof![
        2 => Just(Do::Next),
        1 => Just(Do::Back),
        1 => Just(Do::Again),
        2 => Just(Do::RestNow),
        4 => (by, reach).prop_map(|(by, reach)| Do::Stretch(by, reach)),
        1 => Just(Do::Return),
        1 => Just(Do::DropRound),
        2 => Just(Do::AddRound),
        2 => (-200_000i64..200_000).prop_map(Do::Fit),
        1 => (-100_000i64..10_000).prop_map(Do::Cut),
        1 => prop::option::of(0..STAND_INS).prop_map(Do::StandIn),
        1 => Just(Do::Easier),
        1 => (0usize..4).prop_map(Do::Repay),
        1 => (0usize..4).prop_map(Do::LetBe),
        3 => Just(Do::Undo),
        1 => Just(Do::Redo),
    ]
}

/// How long after the last action the next one comes: a number of milliseconds later (0: at once), or a number of
/// milliseconds after the next boundary.
#[derive(Clone, Copy, Debug)]
enum Later {
    By(u64),
    AfterBoundary(u64),
}

fn any_later() -> impl Strategy<Value = Later> {
    prop_oneof![
        2 => Just(Later::By(0)),
        4 => (1u64..40_000).prop_map(Later::By),
        1 => Just(Later::AfterBoundary(0)),
        1 => (1u64..1_500).prop_map(Later::AfterBoundary),
    ]
}

impl Later {
    fn than(self, now: Tick, schedule: &Schedule) -> Tick {
        let later = match (self, schedule.span_at(now)) {
            (Later::By(by), _) => now + Tick(by),
            (Later::AfterBoundary(by), Some(span)) => schedule.spans[span].end + Tick(by),
            (Later::AfterBoundary(_), None) => now,
        };
        later.min(schedule.total())
    }
}

/// Any class, with everything that changes look at: kinds of blocks, optional stations, easier options.
fn any_class() -> impl Strategy<Value = Arc<Session>> {
    let kinds = prop::collection::vec(
        prop::sample::select(vec![BlockKind::WarmUp, BlockKind::Main, BlockKind::Main, BlockKind::CoolDown]),
        3,
    );
    let stations = prop::collection::vec((prop::bool::weighted(0.3), prop::option::of(0..2 * STAND_INS)), 12);
    (any_session(), kinds, stations).prop_map(|(session, kinds, stations)| {
        let mut session = Session::clone(&session);
        let mut dressed = stations.into_iter().cycle();
        for (block, kind) in session.blocks.iter_mut().zip(kinds) {
            block.kind = kind;
            for (station, (optional, easier)) in block.stations.iter_mut().zip(&mut dressed) {
                station.optional = optional;
                let movement = |index: usize| movements().get(index).map(|movement| movement.id.clone());
                station.easier =
                    easier.map(|index| Tier { what: "hands on the box".into(), movement: movement(index) });
            }
        }
        Arc::new(session)
    })
}

/// Movements that may be swapped in: one for each position, with the kinds of sides in turn.
fn movements() -> Vec<Arc<Movement>> {
    let one = |(index, &position): (usize, &Position)| {
        let mut movement = movement(&format!("stand-in-{index}"), position);
        movement.sides = Sides::ALL[index % Sides::ALL.len()];
        Arc::new(movement)
    };
    Position::ALL.iter().enumerate().map(one).collect()
}

const STAND_INS: usize = Position::ALL.len();

/// An action as a change of this course. None when it does not apply.
fn change(course: &Course, now: Tick, doing: Do) -> Option<LiveChange> {
    let end = |by: i64| Tick(course.schedule().total().0.saturating_add_signed(by));
    let debt = |index: usize| {
        let debts = course.side_debts();
        (!debts.is_empty()).then(|| debts[index % debts.len()])
    };
    Some(match doing {
        Do::Next => LiveChange::Next,
        Do::Back => LiveChange::Back,
        Do::Again => LiveChange::Again,
        Do::RestNow => LiveChange::RestNow,
        Do::Stretch(by, reach) => LiveChange::AdjustLength { by, reach },
        Do::Return => LiveChange::ExtendPrevious { by: 15_000 },
        Do::DropRound => LiveChange::DropRound,
        Do::AddRound => LiveChange::AddRound,
        Do::Fit(by) => LiveChange::Fit { end: end(by) },
        Do::Cut(by) => LiveChange::Cut { end: end(by) },
        Do::StandIn(index) => {
            let (block, station) = course.station_to_swap(now)?;
            let movement = match index {
                Some(index) => movements()[index].id.clone(),
                None => course.best_swap(block, station, &movements())?.movement.id.clone(),
            };
            LiveChange::Swap { block, station, movement }
        }
        Do::Easier => {
            let (block, station) = course.station_to_swap(now)?;
            LiveChange::Easier { block, station }
        }
        Do::Repay(index) => LiveChange::RepayDebt(debt(index)?),
        Do::LetBe(index) => LiveChange::WaiveDebt(debt(index)?),
        Do::Undo | Do::Redo => return None,
    })
}

/// A class, its history of changes, and its dismissed side debts.
#[derive(Clone, Debug)]
struct Class {
    course: Course,
    history: ChangeHistory,
    /// Blocks in which a side debt was dismissed.
    let_be: BTreeSet<usize>,
    /// The settings of the speech, if the class has cues.
    voicing: Option<SpeechSettings>,
}

impl Class {
    fn new(session: Arc<Session>, voicing: Option<SpeechSettings>) -> Class {
        let mut course = Course::new(compile(session));
        if let Some(voicing) = &voicing {
            course.plan_cues(Tick::ZERO, voicing);
        }
        Class { course, history: ChangeHistory::default(), let_be: BTreeSet::new(), voicing }
    }

    /// Does an action. An action that does not apply changes nothing.
    fn act(&mut self, now: Tick, doing: Do) {
        let after = match doing {
            Do::Undo => self.history.undo(now, &self.course),
            Do::Redo => self.history.redo(now, &self.course),
            _ => {
                let change = change(&self.course, now, doing);
                if let Some(LiveChange::WaiveDebt(debt)) = &change {
                    self.let_be.insert(debt.block);
                }
                let after = change.and_then(|change| self.course.with_change(now, &change, &movements()));
                after.inspect(|after| self.history.record(now, self.course.clone(), after.clone()))
            }
        };
        let Some(after) = after else { return };
        let before = std::mem::replace(&mut self.course, after);
        if let Some(voicing) = &self.voicing {
            let breaks_off = breaks_off(&before, &self.course, now);
            self.course.plan_cues(ReplanPoint { from: now, breaks_off }, voicing);
        }
    }
}

/// Whether the change began another span at `now`.
fn breaks_off(before: &Course, after: &Course, now: Tick) -> bool {
    let starts = |course: &Course| course.schedule().spans.iter().any(|span| span.start == now);
    starts(after) && !starts(before)
}

/// What happens at a tick of the class: block, purpose, station, side and round.
fn was(schedule: &Schedule, now: Tick) -> Option<(usize, SpanPurpose, Activity, WorkingSide, u32)> {
    let span = &schedule.spans[schedule.span_at(now)?];
    let side = match span.side_at(now) {
        WorkingSide::Right
            if span.switch_start().is_some_and(|at| now >= at) && span.right_start().is_some_and(|at| now < at) =>
        {
            WorkingSide::Both
        }
        side => side,
    };
    Some((span.block, span.purpose, span.activity, side, span.round))
}

fn same_past(before: &Schedule, after: &Schedule, now: Tick) -> Result<(), TestCaseError> {
    let mut ticks: Vec<u64> = vec![0, now.0.saturating_sub(1)];
    for span in before.spans.iter().chain(&after.spans) {
        let inner =
            [Some(span.start), Some(span.work_start()), span.switch_start(), span.right_start(), Some(span.end)];
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

/// Checks that the spans are contiguous, and that left and right differ by exactly the listed side debts.
fn sound(class: &Class) -> Result<(), TestCaseError> {
    let schedule = class.course.schedule();
    let mut at = Tick::ZERO;
    let mut balance: BTreeMap<usize, i64> = BTreeMap::new();
    for (index, span) in schedule.spans.iter().enumerate() {
        prop_assert_eq!(span.start, at);
        prop_assert!(span.end > span.start);
        prop_assert!(span.settle <= span.length());
        at = span.end;
        prop_assert!(class.course.origin(index).is_some());
        prop_assert!(schedule.block_of(span).stations.len() > station_index(span));
        prop_assert!(span.round < schedule.passes(span) || span.purpose != SpanPurpose::Work);
        if span.purpose == SpanPurpose::Work {
            let (left, right) = worked(span);
            *balance.entry(span.block).or_default() += left - right;
        }
    }
    prop_assert!(class.course.origin(schedule.spans.len()).is_none());
    prop_assert!(schedule.events.is_sorted_by_key(ScheduleEvent::order));
    for event in &schedule.events {
        prop_assert!(event.span < schedule.spans.len() && event.at <= at);
    }
    // The marks add up to the difference between the length of the class and of the plan.
    let marks = class.course.deviations();
    prop_assert_eq!(marks.len(), schedule.spans.len());
    let more: i64 = marks.iter().map(|mark| mark.length_change - (mark.gone_before.0 + mark.gone_after.0) as i64).sum();
    if !marks.is_empty() {
        prop_assert_eq!(more, at.0 as i64 - class.course.plan().total().0 as i64);
    }
    let mut owed: BTreeMap<usize, i64> = BTreeMap::new();
    for debt in class.course.side_debts() {
        let sign = if debt.side == WorkingSide::Right { 1 } else { -1 };
        *owed.entry(debt.block).or_default() += sign * debt.by.0 as i64;
    }
    balance.retain(|block, by| *by != 0 && !class.let_be.contains(block));
    owed.retain(|block, by| *by != 0 && !class.let_be.contains(block));
    prop_assert_eq!(balance, owed);
    Ok(())
}

fn station_index(span: &Span) -> usize {
    if let Activity::Station(station) = span.activity { station } else { 0 }
}

/// No change makes work still to come shorter than 20 s, or a rest shorter than 15 s, unless the plan does. A warm-up
/// or cool-down is shared out in whole seconds, down to 5/6 of its length. The rest of an EMOM's minute has no least
/// length.
fn keeps_floors(course: &Course, now: Tick) -> Result<(), TestCaseError> {
    let schedule = course.schedule();
    for (index, span) in schedule.spans.iter().enumerate().filter(|(_, span)| span.start >= now) {
        let origin = course.origin(index).unwrap();
        if !matches!(origin.length, LengthSource::Planned | LengthSource::SetByCoach) {
            continue;
        }
        let planned = &course.plan().spans[origin.plan];
        let block = schedule.block_of(span);
        // The length of work in repetitions is settle plus the repetitions.
        let in_reps = schedule.station_of(span).is_some_and(|station| matches!(station.work, WorkAmount::Reps(_)))
            && !matches!(block.format, BlockFormat::Emom { .. } | BlockFormat::Ladder { .. });
        let planned = if in_reps { planned.length().saturating_sub(planned.settle) } else { planned.length() };
        let floor = match span.purpose {
            SpanPurpose::Work if block.kind != BlockKind::Main => {
                Tick(planned.0 * 5 / 6).saturating_sub(Tick::seconds(1)).min(Tick::seconds(20))
            }
            SpanPurpose::Work => planned.min(Tick::seconds(20)),
            SpanPurpose::Rest if matches!(block.format, BlockFormat::Emom { .. }) => Tick::ZERO,
            _ if span.purpose.is_rest() => planned.min(Tick::seconds(15)),
            _ => Tick::ZERO,
        };
        prop_assert!(span.length() >= floor, "{} {:?} of {:?}", index, span, planned);
    }
    Ok(())
}

/// A cue said since the last work began is not said again before the next work begins, unless it was cut off.
fn says_once(course: &Course, now: Tick, breaks_off: bool) -> Result<(), TestCaseError> {
    let schedule = course.schedule();
    let works = || schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work);
    let from = works().rfind(|span| span.start < now).map_or(Tick::ZERO, |span| span.start);
    let until = works().find(|span| span.start >= now).map_or(schedule.total(), |span| span.start);
    let cues = |within: std::ops::Range<Tick>| {
        let within = schedule.events.iter().filter(move |event| within.contains(&event.at));
        within.filter_map(|event| match &event.what {
            EventContent::Cue(cue) => Some((event.at, cue)),
            _ => None,
        })
    };
    for (at, said) in cues(from..now).filter(|(at, cue)| !breaks_off || *at + cue.length <= now) {
        let again = cues(now..until).find(|(_, cue)| (cue.kind, &cue.text) == (said.kind, &said.text));
        prop_assert_eq!(again, None, "said at {:?}, and now is {:?}", at, now);
    }
    Ok(())
}

/// The work of left and right in a span, in milliseconds, counted from its moments.
fn worked(span: &Span) -> (i64, i64) {
    let (from, to) = (span.work_start().0 as i64, span.end.0 as i64);
    match span.side {
        WorkingSide::Left => (to - from, 0),
        WorkingSide::Right => (0, to - from),
        WorkingSide::LeftThenRight { .. } => {
            let (switch, right) = (span.switch_start().unwrap().0 as i64, span.right_start().unwrap().0 as i64);
            (switch.min(to) - from, (to - right).max(0))
        }
        _ => (0, 0),
    }
}

/// Does all actions one after the other, and checks the invariants after each. Then undoes everything and redoes it.
fn changes_hold(mut class: Class, doings: Vec<(Later, Do)>) -> Result<(), TestCaseError> {
    let mut now = Tick::ZERO;
    // The courses since class time last moved on.
    let mut at_once = vec![class.course.clone()];
    for (later, doing) in doings {
        let then = later.than(now, class.course.schedule());
        if then > now {
            at_once = vec![class.course.clone()];
        }
        now = then;
        let before = class.clone();
        class.act(now, doing);
        holds(&before, &class, now)?;
        match doing {
            Do::Undo | Do::Redo => at_once = vec![class.course.clone()],
            _ if class.history == before.history => {}
            _ => at_once.push(class.course.clone()),
        }
        // When no tick has passed, undo restores every earlier course exactly, and redo every later one.
        let mut back = class.clone();
        for course in at_once.iter().rev().skip(1) {
            back.act(now, Do::Undo);
            prop_assert_eq!(&back.course, course);
        }
        for course in at_once.iter().skip(1) {
            back.act(now, Do::Redo);
            prop_assert_eq!(&back.course, course);
        }
    }
    for doing in [Do::Undo, Do::Redo] {
        loop {
            let before = class.clone();
            class.act(now, doing);
            if class.history == before.history {
                break;
            }
            holds(&before, &class, now)?;
            now = (now + Tick(1_300)).min(class.course.schedule().total());
        }
    }
    Ok(())
}

fn holds(before: &Class, after: &Class, now: Tick) -> Result<(), TestCaseError> {
    same_past(before.course.schedule(), after.course.schedule(), now)?;
    sound(after)?;
    keeps_floors(&after.course, now)?;
    if after.voicing.is_some() {
        says_once(&after.course, now, breaks_off(&before.course, &after.course, now))?;
    }
    Ok(())
}

/// The number of cases. The environment variable `PROPTEST_CASES` overrides it.
fn cases(cases: u32) -> ProptestConfig {
    let asked = std::env::var_os("PROPTEST_CASES").is_some();
    let default = ProptestConfig::default();
    ProptestConfig { cases: if asked { default.cases } else { cases }, failure_persistence: None, ..default }
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn any_changes_at_any_ticks(
        session in any_class(),
        doings in prop::collection::vec((any_later(), any_doing()), 1..16),
    ) {
        changes_hold(Class::new(session, None), doings)?;
    }
}

proptest! {
    #![proptest_config(cases(8))]

    /// The same with cues.
    #[test]
    fn any_changes_in_a_class_with_cues(
        session in any_class(),
        doings in prop::collection::vec((any_later(), any_doing()), 1..8),
        level in prop::sample::select(vec![SpeechLevel::Changes, SpeechLevel::Full]),
    ) {
        let mut session = Session::clone(&session);
        session.blocks.iter_mut().for_each(|block| block.level = level);
        changes_hold(Class::new(session.into(), Some(SpeechSettings::default())), doings)?;
    }
}

fn lengths(course: &Course) -> Vec<u64> {
    course.schedule().spans.iter().map(|span| span.length().0 / 1000).collect()
}

fn pair() -> Course {
    let mut one = station_of(movement("lunge", Position::Standing), WorkAmount::Time(Tick::seconds(42)));
    one.sides = Sides::EachSide;
    Course::new(compile(session(vec![block(BlockFormat::Circuit, vec![one, station("march", Tick::seconds(40))])])))
}

#[test]
fn lengthening_the_left_side_lengthens_the_right_side() {
    let course = pair();
    assert_eq!(lengths(&course), [42, 42, 40]);
    let longer = course.adjust_length(Tick::seconds(20), 15_000, ChangeReach::Current).unwrap();
    assert_eq!(lengths(&longer), [57, 57, 40]);
    let twice = longer.adjust_length(Tick::seconds(50), 15_000, ChangeReach::Current).unwrap();
    assert_eq!(lengths(&twice), [72, 72, 40]);
    assert!(twice.side_debts().is_empty());
}

#[test]
fn ending_the_right_side_early_is_a_side_debt_until_repaid() {
    let course = pair();
    let cut = course.next(Tick::seconds(42 + 30));
    let debts = cut.side_debts();
    assert_eq!(debts.len(), 1);
    assert_eq!((debts[0].side, debts[0].by), (WorkingSide::Right, Tick::seconds(12)));
    let repaid = cut.repay(Tick::seconds(80), &debts[0]);
    assert!(repaid.side_debts().is_empty());
    assert_eq!(repaid.origin(3).unwrap().length, LengthSource::Inserted);
    assert!(cut.waive_debt(&debts[0]).side_debts().is_empty());
}

#[test]
fn a_rest_now_comes_before_the_next_span() {
    let course = pair();
    let rest = course.rest_now(Tick::seconds(72));
    assert_eq!(lengths(&rest), [42, 30, 30, 40]);
    // When nothing follows, the class ends instead.
    assert_eq!(lengths(&course.rest_now(Tick::seconds(100))), [42, 42, 16]);
    // While people are still getting ready, the whole work comes after the rest.
    let early = course.rest_now(Tick::seconds(84));
    assert_eq!(lengths(&early), [42, 42, 30, 40]);
}

/// For each span, in seconds: how much longer it is, how much is left out before it and after it; and whether something
/// else is done.
fn marks(course: &Course) -> Vec<(i64, u64, u64, bool)> {
    let seconds = |tick: Tick| tick.0 / 1000;
    let marks = course.deviations();
    marks
        .iter()
        .map(|it| (it.length_change / 1000, seconds(it.gone_before), seconds(it.gone_after), it.instead_of.is_some()))
        .collect()
}

#[test]
fn deviations_are_marked_at_their_spans() {
    const SAME: (i64, u64, u64, bool) = (0, 0, 0, false);
    let mut warm = block(BlockFormat::Circuit, vec![station("march", Tick::seconds(30))]);
    warm.rest_after = Tick::seconds(20);
    let circuit = block(BlockFormat::Circuit, (0..3).map(|n| station(&format!("m-{n}"), Tick::seconds(40))).collect());
    let course = Course::new(compile(session(vec![warm, circuit])));
    assert_eq!(lengths(&course), [30, 20, 40, 40, 40]);
    assert_eq!(marks(&course), [SAME; 5]);
    let now = Tick::seconds(10);
    let longer = course.adjust_length(now, 15_000, ChangeReach::Current).unwrap();
    assert_eq!(marks(&longer), [(15, 0, 0, false), SAME, SAME, SAME, SAME]);
    // Two stations skipped one after the other: the first was cut short, the second is gone.
    let at = Tick::seconds(60);
    let skipped = course.next(at).next(at);
    assert_eq!(lengths(&skipped), [30, 20, 10, 40]);
    assert_eq!(marks(&skipped), [SAME, SAME, (-30, 0, 40, false), SAME]);
    // The rest skipped at its first tick belongs to the block before it.
    let unrested = course.next(Tick::seconds(30));
    assert_eq!(marks(&unrested), [(0, 0, 20, false), SAME, SAME, SAME]);
    // A repeated span counts as extra time, and so does an inserted rest.
    assert_eq!(marks(&course.again(now))[..2], [SAME, (10, 0, 0, false)]);
    assert_eq!(marks(&course.rest_now(at))[2..4], [(-30, 0, 0, false), (30, 0, 0, false)]);
    // A swap keeps the length.
    let instead = LiveChange::Swap { block: 1, station: 0, movement: movements()[0].id.clone() };
    let other = course.with_change(at, &instead, &movements()).unwrap();
    assert!(other.deviations().iter().any(|mark| mark.instead_of.is_some()), "{:?}", marks(&other));
    assert_eq!(lengths(&other).iter().sum::<u64>(), 170);
}

#[test]
fn a_late_undo_restores_the_remaining_spans() {
    let course = pair();
    let mut history = ChangeHistory::default();
    let skipped = course.next(Tick::seconds(72));
    history.record(Tick::seconds(72), course, skipped.clone());
    let back = history.undo(Tick::seconds(77), &skipped).unwrap();
    // 12 s of the right side, then the whole march.
    assert_eq!(lengths(&back), [42, 30, 5, 12, 40]);
    assert!(back.side_debts().is_empty());
}

#[test]
fn rounds_are_dropped_and_added() {
    let mut circuit =
        block(BlockFormat::Circuit, (0..2).map(|n| station(&format!("m-{n}"), Tick::seconds(30))).collect());
    circuit.rounds = 2;
    circuit.round_rest = Tick::seconds(20);
    let course = Course::new(compile(session(vec![circuit])));
    assert_eq!(lengths(&course), [30, 30, 20, 30, 30]);
    let now = Tick::seconds(5);
    assert_eq!(lengths(&course.drop_round(now).unwrap()), [30, 30]);
    assert_eq!(lengths(&course.add_round(now).unwrap()), [30, 30, 20, 30, 30, 20, 30, 30]);
    assert_eq!(course.drop_round(now).unwrap().drop_round(now), None);
    let rounds = |course: Course| course.schedule().passes(&course.schedule().spans[0]);
    assert_eq!(rounds(course.clone()), 2);
    assert_eq!((rounds(course.drop_round(now).unwrap()), rounds(course.add_round(now).unwrap())), (1, 3));
}

/// The course as text: station, round and number of rounds of each work span, and the seconds of each rest.
fn outline(course: &Course) -> String {
    let spans = course.schedule().spans.iter();
    let outline = spans.map(|span| match (span.purpose, span.activity) {
        (SpanPurpose::Work, Activity::Station(station)) => {
            format!("{}{}/{}", ["A", "B", "C"][station], span.round + 1, course.schedule().passes(span))
        }
        _ => format!("{}s", span.length().0 / 1000),
    });
    outline.collect::<Vec<_>>().join(" ")
}

#[test]
fn in_straight_sets_each_station_counts_its_own_sets() {
    let two = (0..2).map(|n| station(&format!("m-{n}"), Tick::seconds(30))).collect();
    let sets = Block { rounds: 2, round_rest: Tick::seconds(20), ..block(BlockFormat::Sets, two) };
    let course = Course::new(compile(session(vec![sets])));
    assert_eq!(outline(&course), "A1/2 20s A2/2 B1/2 20s B2/2");
    // During the last set of the first station, one set fewer means one of the second station.
    let now = Tick::seconds(60);
    let less = course.drop_round(now).unwrap();
    assert_eq!(outline(&less), "A1/2 20s A2/2 B1/1");
    assert_eq!(less.drop_round(now), None);
    assert_eq!(outline(&less.add_round(now).unwrap()), "A1/3 20s A2/3 20s A3/3 B1/2 20s B2/2");
    // During the second station, the first one is over.
    assert_eq!(outline(&course.add_round(Tick::seconds(90)).unwrap()), "A1/2 20s A2/2 B1/3 20s B2/3 20s B3/3");
}

#[test]
fn an_added_round_of_intervals_continues_where_the_plan_ends() {
    let mut stations: Vec<_> = (0..2).map(|n| station(&format!("m-{n}"), Tick::seconds(30))).collect();
    (stations[0].rest, stations[1].rest) = (Tick::seconds(10), Tick::seconds(15));
    let intervals = |count, last_rest| {
        let block = block(BlockFormat::Intervals { count, last_rest }, stations.clone());
        Course::new(compile(session(vec![block])))
    };
    let more = |course: Course| outline(&course.add_round(Tick::seconds(5)).unwrap());
    assert_eq!(more(intervals(2, false)), "A1/2 10s B1/2 15s A2/2 10s B2/2");
    assert_eq!(more(intervals(2, true)), "A1/2 10s B1/2 15s A2/2 10s B2/2 15s");
    assert_eq!(more(intervals(3, false)), "A1/3 10s B1/3 15s A2/3 10s B2/3 15s A3/3");
    assert_eq!(more(intervals(1, false)), "A1/2 10s A2/2");
}

#[test]
fn the_announced_number_of_rounds_is_the_actual_one() {
    let two = (0..2).map(|n| station(&format!("m-{n}"), Tick::seconds(40))).collect();
    let circuit = Block { rounds: 2, round_rest: Tick::seconds(30), ..block(BlockFormat::Circuit, two) };
    let said = |mut course: Course| -> Vec<String> {
        course.plan_cues(Tick::ZERO, &SpeechSettings::default());
        let cues = course.schedule().events.iter().filter_map(|event| match &event.what {
            EventContent::Cue(cue) if cue.text.contains("ound") => Some(cue.text.clone()),
            _ => None,
        });
        cues.collect()
    };
    let course = Course::new(compile(session(vec![circuit])));
    let now = Tick::seconds(5);
    let last = |texts: &[String]| {
        texts
            .iter()
            .filter(|text| ["Last round", "Final round", "last round"].iter().any(|last| text.contains(last)))
            .count()
    };
    let (planned, more) = (said(course.clone()), said(course.add_round(now).unwrap()));
    assert_eq!((last(&planned), last(&more)), (1, 1), "{planned:?} {more:?}");
    assert!(more.iter().any(|text| text.contains("ound two")), "{more:?}");
    assert_eq!(last(&said(course.drop_round(now).unwrap())), 0);
}

#[test]
fn changeovers_after_a_change_are_counted_as_in_the_plan() {
    let at = |id: &str, place: &str| {
        let mut station = station(id, Tick::seconds(60));
        station.place = Some(place.into());
        station
    };
    let circuit = block(BlockFormat::Circuit, vec![at("row", "left wall"), at("press", "right wall")]);
    let costs = ChangeoverCosts { place: Tick::seconds(20), ..ChangeoverCosts::ESTIMATED };
    let course = Course::new(compile_with(session(vec![circuit]), &costs));
    let settles = |course: &Course| course.schedule().spans.iter().map(|span| span.settle.0 / 1000).collect::<Vec<_>>();
    assert_eq!(settles(&course), [0, 20]);
    // Walking back to the left wall takes as long as walking to the right one.
    assert_eq!(settles(&course.add_round(Tick::seconds(5)).unwrap()), [0, 20, 20, 20]);
}

proptest! {
    #[test]
    fn a_plan_has_the_rounds_of_its_file(session in any_session()) {
        let plan = compile(session);
        for (index, block) in plan.session.blocks.iter().enumerate() {
            for span in plan.spans.iter().filter(|span| span.block == index) {
                prop_assert_eq!(plan.passes(span), block.passes(), "{:?}", block.format);
            }
        }
    }
}
