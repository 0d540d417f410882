//! Compares the compiler with published arithmetic, and checks its invariants for arbitrary sessions.

use crate::classes;

use class::movement::{KitItem, Load, NeededKit, Position, Sides};
use class::schedule::{EventContent, Schedule, SpanPurpose, TimeCall, Tone, WorkingSide, compile};
use class::session::{Block, BlockFormat, BlockStart, CallChoice, Session, Station, TransitionMode, WorkAmount};
use class::time::{Tempo, Tick};
use classes::{any_session, block, movement, session, station, station_of};
use proptest::prelude::*;
use std::sync::Arc;

fn named(count: usize, work: u64) -> Vec<Station> {
    (0..count).map(|index| station(&format!("station-{index}"), Tick::seconds(work))).collect()
}

fn seconds(schedule: &Schedule) -> u64 {
    assert_eq!(schedule.total().0 % 1000, 0);
    schedule.total().0 / 1000
}

/// 12 stations x 30 s with 10 s between: 12 * 30 + 11 * 10 = 470 s, not 420.
/// Klika & Jordan 2013, ACSM's Health & Fitness Journal 17(3):8.
#[test]
fn twelve_stations_with_ten_seconds_between_take_7_50() {
    let fixed =
        Block { transitions: TransitionMode::Fixed(Tick::seconds(10)), ..block(BlockFormat::Circuit, named(12, 30)) };
    assert_eq!(seconds(&compile(session(vec![fixed]))), 470);

    let mut rested = block(BlockFormat::Circuit, named(12, 30));
    for station in &mut rested.stations {
        station.rest = Tick::seconds(10);
    }
    assert_eq!(seconds(&compile(session(vec![rested]))), 470);
}

/// 20 s of work and 10 s of rest: 8 sets take 230 s, 240 s with the last rest; 7 sets take 200 s.
/// Tabata et al. 1996, Med Sci Sports Exerc 28:1327.
#[test]
fn intervals_of_twenty_and_ten() {
    let total = |count, last_rest| {
        let mut intervals = block(BlockFormat::Intervals { count, last_rest }, named(1, 20));
        intervals.stations[0].rest = Tick::seconds(10);
        seconds(&compile(session(vec![intervals])))
    };
    assert_eq!(total(8, false), 230);
    assert_eq!(total(8, true), 240);
    assert_eq!(total(7, false), 200);
}

/// 24 stations x 60 s in four equal blocks with 60 s between the blocks: 27 minutes.
/// Common practice, no source (arithmetic).
#[test]
fn four_blocks_of_six_minutes_with_three_rests_take_27_minutes() {
    let blocks =
        (0..4).map(|_| Block { rest_after: Tick::MINUTE, ..block(BlockFormat::Circuit, named(6, 60)) }).collect();
    let schedule = compile(session(blocks));
    assert_eq!(seconds(&schedule), 27 * 60);
    assert_eq!(schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::BlockRest).count(), 3);
}

/// 2-0-2-0 is 4 s a repetition, 15 in 60 s; 3-1-2-0 is 6 s, 10 in 60 s. The order eccentric, pause, concentric,
/// pause is the usual one (secondary sources).
#[test]
fn repetitions_that_fit_a_minute() {
    for (tempo, reps) in [("2-0-2-0", 15), ("3-1-2-0", 10)] {
        let tempo: Tempo = tempo.parse().unwrap();
        let mut one = station("squat", Tick::MINUTE);
        one.tempo = Some(tempo);
        let timed = compile(session(vec![block(BlockFormat::Circuit, vec![one.clone()])]));
        assert_eq!(timed.spans[0].reps, Some(reps));

        one.work = WorkAmount::Reps(u32::try_from(reps).unwrap());
        let counted = compile(session(vec![block(BlockFormat::Circuit, vec![one])]));
        assert_eq!(seconds(&counted), 60);
    }
}

fn kettlebell(load: Option<Load>) -> NeededKit {
    NeededKit { item: KitItem("kettlebell".into()), load, count: 1 }
}

fn holding(id: &str, position: Position, kit: Vec<NeededKit>) -> Station {
    let mut movement = movement(id, position);
    movement.kit = kit;
    station_of(movement, WorkAmount::Time(Tick::MINUTE))
}

/// The table of the times that changeovers need. The numbers are our own estimates, from the table.
#[test]
fn a_change_uses_settle_a_rest_or_a_transition() {
    use Position::*;
    let bell = |load| vec![kettlebell(load)];
    let lying = |item: &str| NeededKit { item: KitItem(item.into()), load: None, count: 1 };
    let (mat, chair, heavy_on_box) = (vec![lying("mat")], vec![lying("chair")], vec![kettlebell(None), lying("box")]);
    for (from, to, needs) in [
        (holding("a", Standing, vec![]), holding("b", Standing, vec![]), 0),
        (holding("a", Standing, bell(None)), holding("b", Standing, bell(None)), 0),
        (holding("a", Standing, bell(None)), holding("b", Standing, vec![]), 3),
        (holding("a", Standing, vec![]), holding("b", Standing, bell(None)), 4),
        (holding("a", Standing, bell(Some(Load::Light))), holding("b", Standing, bell(Some(Load::Heavy))), 6),
        (holding("a", Standing, vec![]), holding("b", Supine, vec![]), 6),
        (holding("a", Supine, vec![]), holding("b", Standing, vec![]), 7),
        (holding("a", Supine, vec![]), holding("b", Prone, vec![]), 4),
        (holding("a", Supine, vec![]), holding("b", Standing, bell(None)), 11),
        // Nobody picks up or puts down kit that lies out. Getting on to it or off it is a change of position.
        (holding("a", Standing, vec![]), holding("b", Supine, mat.clone()), 6),
        (holding("a", Supine, mat.clone()), holding("b", Standing, vec![]), 7),
        (holding("a", Supine, mat.clone()), holding("b", Prone, vec![]), 4),
        (holding("a", Standing, vec![]), holding("b", Seated, mat.clone()), 6),
        (holding("a", Supine, mat.clone()), holding("b", Seated, mat), 2),
        (holding("a", Standing, vec![]), holding("b", Seated, chair), 2),
        (holding("a", Standing, bell(None)), holding("b", Standing, heavy_on_box.clone()), 2),
        (holding("a", Standing, heavy_on_box), holding("b", Standing, vec![]), 5),
        (
            Station { place: Some("door".into()), ..holding("a", Standing, vec![]) },
            Station { place: Some("window".into()), ..holding("b", Standing, vec![]) },
            8,
        ),
    ] {
        let class = |transitions, rest| {
            let mut first = from.clone();
            first.rest = Tick::seconds(rest);
            let block = Block { transitions, ..block(BlockFormat::Circuit, vec![first, to.clone()]) };
            compile(session(vec![block]))
        };
        let inside = class(TransitionMode::Inside, 0);
        assert_eq!(inside.spans[1].settle, Tick::seconds(needs));
        assert_eq!(inside.spans[1].change.needs, Tick::seconds(needs));
        assert_eq!(seconds(&inside), 120);
        assert_eq!(seconds(&class(TransitionMode::Added, 0)), 120 + needs);
        assert_eq!(seconds(&class(TransitionMode::Fixed(Tick::seconds(10)), 0)), 130);
        // The rest is used first.
        assert_eq!(class(TransitionMode::Inside, 2).spans[2].settle, Tick::seconds(needs.saturating_sub(2)));
        assert_eq!(seconds(&class(TransitionMode::Added, 2)), 122 + needs.saturating_sub(2));
    }
}

#[test]
fn left_and_right_in_one_span_are_equal_and_the_switch_has_the_odd_tick() {
    let mut one = station("split-squat", Tick(50_001));
    one.sides = Sides::LeftThenRight;
    let schedule = compile(session(vec![block(BlockFormat::Circuit, vec![one])]));
    let span = &schedule.spans[0];
    assert_eq!(span.side, WorkingSide::LeftThenRight { each: Tick(24_000), switch: Tick(2001) });
    assert_eq!(span.switch_start(), Some(Tick(24_000)));
    assert_eq!(span.right_start(), Some(Tick(26_001)));
    let at_switch: Vec<_> = schedule.events.iter().filter(|event| event.at == Tick(24_000)).collect();
    assert!(at_switch.iter().any(|event| event.what == EventContent::Tone(Tone::Switch)));
    assert!(at_switch.iter().any(|event| event.what == EventContent::Call(TimeCall::Switch)));
    assert!(!schedule.events.iter().any(|event| event.what == EventContent::Call(TimeCall::Halfway)));
}

/// The countdown shows whole seconds left, rounded up. A call falls on the first tick that shows its number.
#[test]
fn calls_begin_on_the_tick_their_number_appears() {
    let mut all = block(BlockFormat::Circuit, named(2, 60));
    all.calls = vec![CallChoice::Halfway, CallChoice::Thirty, CallChoice::Fifteen, CallChoice::Ten, CallChoice::Pips];
    let schedule = compile(session(vec![all]));
    let calls: Vec<(Tick, TimeCall)> = schedule
        .events
        .iter()
        .filter(|event| event.span == 0)
        .filter_map(|event| match event.what {
            EventContent::Call(call) => Some((event.at, call)),
            _ => None,
        })
        .collect();
    // Halfway of 60 s is thirty. There is one call on a tick, and halfway is the more important one.
    let at = Tick::seconds;
    assert_eq!(calls, [(at(30), TimeCall::Halfway), (at(45), TimeCall::Fifteen), (at(50), TimeCall::Ten)]);
    for (tick, call) in calls {
        let number = match call {
            TimeCall::Ten => 10,
            TimeCall::Fifteen => 15,
            _ => 30,
        };
        assert_eq!((at(60) - tick).countdown_seconds(), number);
        assert_eq!((at(60) - tick + Tick(1)).countdown_seconds(), number + 1);
    }
}

#[test]
fn a_block_on_a_key_waits_at_its_first_tick_and_its_briefing_counts() {
    let first = Block { rest_after: Tick::seconds(30), ..block(BlockFormat::Circuit, named(1, 60)) };
    let second = Block {
        start: BlockStart::OnKey,
        briefing: Tick::seconds(45),
        stations: vec![holding("b", Position::Supine, vec![kettlebell(None)])],
        ..block(BlockFormat::Circuit, vec![])
    };
    let schedule = compile(session(vec![first, second]));
    assert_eq!(seconds(&schedule), 60 + 30 + 45 + 60);
    let gates: Vec<usize> = (0..schedule.spans.len()).filter(|&index| schedule.spans[index].gate).collect();
    assert_eq!(gates, [3]);
    assert_eq!(schedule.spans[3].settle, Tick::ZERO);
    // There are no pips before a start that waits for the key.
    assert!(!schedule.events.iter().any(|event| event.what == EventContent::Tone(Tone::Pip) && event.span == 2));
}

/// Every minute on the minute: ten minutes stay ten minutes, with work of any length in them.
#[test]
fn emom_fills_its_minutes() {
    let mut stations = named(2, 40);
    stations[1].work = WorkAmount::Reps(8);
    stations[1].tempo = Some("2-0-2-0".parse().unwrap());
    let emom = Block { rounds: 5, ..block(BlockFormat::Emom { every: Tick::MINUTE }, stations) };
    let schedule = compile(session(vec![emom]));
    assert_eq!(seconds(&schedule), 600);
    let starts: Vec<u64> =
        schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work).map(|span| span.start.0).collect();
    assert_eq!(starts, (0..10).map(|minute| minute * 60_000).collect::<Vec<_>>());
}

/// Up and down again, 20 30 40 30 20: two stations take 2 * 140 s.
#[test]
fn a_ladder_takes_the_sum_of_its_rungs() {
    let rungs = [20, 30, 40, 30, 20].map(Tick::seconds).to_vec();
    let schedule = compile(session(vec![block(BlockFormat::Ladder { rungs }, named(2, 1))]));
    assert_eq!(seconds(&schedule), 280);
}

/// Six groups at six stations: everybody does every station once in a round.
#[test]
fn a_rotation_has_a_turn_for_every_station() {
    let mut stations = named(6, 120);
    for station in &mut stations {
        station.rest = Tick::seconds(30);
    }
    let schedule = compile(session(vec![block(BlockFormat::Rotation, stations)]));
    assert_eq!(seconds(&schedule), 6 * 120 + 5 * 30);
}

/// The total of a block whose transitions are inside, computed without the compiler. None when that is not simple.
fn plain_total(block: &Block) -> Option<u64> {
    let works = |station: &Station| match station.work {
        WorkAmount::Time(length) if station.sides == Sides::EachSide => Some(2 * length.0 + station.rest.0),
        WorkAmount::Time(length) => Some(length.0),
        WorkAmount::Reps(_) => None,
    };
    let work: u64 = block.stations.iter().map(works).sum::<Option<u64>>()?;
    let rests: u64 = block.stations.iter().map(|station| station.rest.0).sum();
    let last_rest = block.stations.last()?.rest.0;
    let rounds = u64::from(block.rounds);
    match &block.format {
        BlockFormat::Circuit => Some(rounds * (work + rests - last_rest) + (rounds - 1) * block.round_rest.0),
        BlockFormat::Sets => {
            Some(rounds * work + (rounds - 1) * block.stations.len() as u64 * block.round_rest.0 + rests - last_rest)
        }
        BlockFormat::Amrap { time } => Some(rounds * time.0 + (rounds - 1) * block.round_rest.0),
        _ => None,
    }
}

fn check_sides(schedule: &Schedule) -> Result<(), TestCaseError> {
    let mut balance = 0i128;
    for span in schedule.spans.iter().filter(|span| span.purpose == SpanPurpose::Work) {
        let working = i128::from((span.length() - span.settle).0);
        match span.side {
            WorkingSide::Left => balance += working,
            WorkingSide::Right => {
                balance -= working;
                prop_assert_eq!(balance, 0);
            }
            WorkingSide::LeftThenRight { each, switch } => {
                prop_assert_eq!(span.settle + each + switch + each, span.length());
                prop_assert_eq!(span.end - span.right_start().unwrap(), each);
            }
            WorkingSide::Both | WorkingSide::Alternating => {}
        }
    }
    prop_assert_eq!(balance, 0);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn any_session_compiles_to_a_valid_schedule(session in any_session()) {
        let schedule = compile(Arc::clone(&session));
        prop_assert_eq!(&schedule, &compile(session));

        let mut at = Tick::ZERO;
        for span in &schedule.spans {
            prop_assert_eq!(span.start, at);
            prop_assert!(span.end > span.start);
            prop_assert!(span.settle <= span.length());
            at = span.end;
        }
        prop_assert_eq!(at, schedule.total());
        check_sides(&schedule)?;

        prop_assert!(schedule.events.is_sorted_by_key(|event| event.at));
        for event in &schedule.events {
            let span = &schedule.spans[event.span];
            prop_assert!(span.start <= event.at && event.at <= span.end);
        }
        let calls: Vec<Tick> = schedule.events.iter().filter(|event| matches!(event.what, EventContent::Call(_))).map(|event| event.at).collect();
        prop_assert!(calls.windows(2).all(|pair| pair[1] >= pair[0] + Tick(1500)));
        let marks: Vec<Tick> = schedule.events.iter().filter(|event| matches!(event.what, EventContent::Tone(_))).map(|event| event.at).collect();
        let gates: Vec<Tick> = schedule.spans.iter().filter(|span| span.gate).map(|span| span.start).collect();
        prop_assert!(marks.windows(2).all(|pair| pair[0] < pair[1] || gates.contains(&pair[0])));
        prop_assert_eq!(schedule.events.last().map(|event| event.at), Some(schedule.total()));
    }

    #[test]
    fn totals_agree_with_the_arithmetic(session in any_session()) {
        for block in &session.blocks {
            let alone = Block { transitions: TransitionMode::Inside, briefing: Tick::ZERO, ..block.clone() };
            if let Some(total) = plain_total(&alone) {
                prop_assert_eq!(compile(Arc::new(Session { blocks: vec![alone], ..Session::clone(&session) })).total(), Tick(total));
            }
        }
    }
}
