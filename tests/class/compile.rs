//! Compares the compiler with published arithmetic, and checks its invariants for arbitrary sessions.

use crate::classes;

use class::movement::{Item, KitNeed, Load, Position, Sides};
use class::schedule::{Call, Purpose, Schedule, Side, Tone, What, compile};
use class::session::{Block, CallWord, Format, Session, Start, Station, Transitions, Work};
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
    let fixed = Block { transitions: Transitions::Fixed(Tick::seconds(10)), ..block(Format::Circuit, named(12, 30)) };
    assert_eq!(seconds(&compile(session(vec![fixed]))), 470);

    let mut rested = block(Format::Circuit, named(12, 30));
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
        let mut intervals = block(Format::Intervals { count, last_rest }, named(1, 20));
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
    let blocks = (0..4).map(|_| Block { rest_after: Tick::MINUTE, ..block(Format::Circuit, named(6, 60)) }).collect();
    let schedule = compile(session(blocks));
    assert_eq!(seconds(&schedule), 27 * 60);
    assert_eq!(schedule.spans.iter().filter(|span| span.purpose == Purpose::BlockRest).count(), 3);
}

/// 2-0-2-0 is 4 s a repetition, 15 in 60 s; 3-1-2-0 is 6 s, 10 in 60 s. The order eccentric, pause, concentric,
/// pause is the usual one (secondary sources).
#[test]
fn repetitions_that_fit_a_minute() {
    for (tempo, reps) in [("2-0-2-0", 15), ("3-1-2-0", 10)] {
        let tempo: Tempo = tempo.parse().unwrap();
        let mut one = station("squat", Tick::MINUTE);
        one.tempo = Some(tempo);
        let timed = compile(session(vec![block(Format::Circuit, vec![one.clone()])]));
        assert_eq!(timed.spans[0].reps, Some(reps));

        one.work = Work::Reps(u32::try_from(reps).unwrap());
        let counted = compile(session(vec![block(Format::Circuit, vec![one])]));
        assert_eq!(seconds(&counted), 60);
    }
}

fn kettlebell(load: Option<Load>) -> KitNeed {
    KitNeed { item: Item("kettlebell".into()), load, count: 1 }
}

fn holding(id: &str, position: Position, kit: Vec<KitNeed>) -> Station {
    let mut movement = movement(id, position);
    movement.kit = kit;
    station_of(movement, Work::Time(Tick::MINUTE))
}

/// The table of the times that changeovers need. The numbers are our own estimates, from the table.
#[test]
fn a_change_is_paid_by_settle_a_rest_or_a_transition() {
    use Position::*;
    let bell = |load| vec![kettlebell(load)];
    let lying = |item: &str| KitNeed { item: Item(item.into()), load: None, count: 1 };
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
            let block = Block { transitions, ..block(Format::Circuit, vec![first, to.clone()]) };
            compile(session(vec![block]))
        };
        let inside = class(Transitions::Inside, 0);
        assert_eq!(inside.spans[1].settle, Tick::seconds(needs));
        assert_eq!(inside.spans[1].change.needs, Tick::seconds(needs));
        assert_eq!(seconds(&inside), 120);
        assert_eq!(seconds(&class(Transitions::Added, 0)), 120 + needs);
        assert_eq!(seconds(&class(Transitions::Fixed(Tick::seconds(10)), 0)), 130);
        // The rest is used first.
        assert_eq!(class(Transitions::Inside, 2).spans[2].settle, Tick::seconds(needs.saturating_sub(2)));
        assert_eq!(seconds(&class(Transitions::Added, 2)), 122 + needs.saturating_sub(2));
    }
}

#[test]
fn left_and_right_in_one_span_are_equal_and_the_switch_has_the_odd_tick() {
    let mut one = station("split-squat", Tick(50_001));
    one.sides = Sides::LeftThenRight;
    let schedule = compile(session(vec![block(Format::Circuit, vec![one])]));
    let span = &schedule.spans[0];
    assert_eq!(span.side, Side::LeftThenRight { each: Tick(24_000), switch: Tick(2001) });
    assert_eq!(span.switch_at(), Some(Tick(24_000)));
    assert_eq!(span.right_at(), Some(Tick(26_001)));
    let at_switch: Vec<_> = schedule.events.iter().filter(|event| event.at == Tick(24_000)).collect();
    assert!(at_switch.iter().any(|event| event.what == What::Tone(Tone::Switch)));
    assert!(at_switch.iter().any(|event| event.what == What::Call(Call::Switch)));
    assert!(!schedule.events.iter().any(|event| event.what == What::Call(Call::Halfway)));
}

/// The countdown shows whole seconds left, rounded up. A call falls on the first tick that shows its number.
#[test]
fn calls_begin_on_the_tick_their_number_appears() {
    let mut all = block(Format::Circuit, named(2, 60));
    all.calls = vec![CallWord::Halfway, CallWord::Thirty, CallWord::Fifteen, CallWord::Ten, CallWord::Pips];
    let schedule = compile(session(vec![all]));
    let calls: Vec<(Tick, Call)> = schedule
        .events
        .iter()
        .filter(|event| event.span == 0)
        .filter_map(|event| match event.what {
            What::Call(call) => Some((event.at, call)),
            _ => None,
        })
        .collect();
    // Halfway of 60 s is thirty. There is one call on a tick, and halfway is the more important one.
    let at = Tick::seconds;
    assert_eq!(calls, [(at(30), Call::Halfway), (at(45), Call::Fifteen), (at(50), Call::Ten)]);
    for (tick, call) in calls {
        let number = match call {
            Call::Ten => 10,
            Call::Fifteen => 15,
            _ => 30,
        };
        assert_eq!((at(60) - tick).digits(), number);
        assert_eq!((at(60) - tick + Tick(1)).digits(), number + 1);
    }
}

#[test]
fn a_block_on_a_key_waits_at_its_first_tick_and_its_briefing_counts() {
    let first = Block { rest_after: Tick::seconds(30), ..block(Format::Circuit, named(1, 60)) };
    let second = Block {
        start: Start::OnKey,
        briefing: Tick::seconds(45),
        stations: vec![holding("b", Position::Supine, vec![kettlebell(None)])],
        ..block(Format::Circuit, vec![])
    };
    let schedule = compile(session(vec![first, second]));
    assert_eq!(seconds(&schedule), 60 + 30 + 45 + 60);
    let gates: Vec<usize> = (0..schedule.spans.len()).filter(|&index| schedule.spans[index].gate).collect();
    assert_eq!(gates, [3]);
    assert_eq!(schedule.spans[3].settle, Tick::ZERO);
    // There are no pips before a start that waits for the key.
    assert!(!schedule.events.iter().any(|event| event.what == What::Tone(Tone::Pip) && event.span == 2));
}

/// Every minute on the minute: ten minutes stay ten minutes, with any work in them.
#[test]
fn emom_fills_its_minutes() {
    let mut stations = named(2, 40);
    stations[1].work = Work::Reps(8);
    stations[1].tempo = Some("2-0-2-0".parse().unwrap());
    let emom = Block { rounds: 5, ..block(Format::Emom { every: Tick::MINUTE }, stations) };
    let schedule = compile(session(vec![emom]));
    assert_eq!(seconds(&schedule), 600);
    let starts: Vec<u64> =
        schedule.spans.iter().filter(|span| span.purpose == Purpose::Work).map(|span| span.start.0).collect();
    assert_eq!(starts, (0..10).map(|minute| minute * 60_000).collect::<Vec<_>>());
}

/// Up and down again, 20 30 40 30 20: two stations take 2 * 140 s.
#[test]
fn a_ladder_takes_the_sum_of_its_rungs() {
    let rungs = [20, 30, 40, 30, 20].map(Tick::seconds).to_vec();
    let schedule = compile(session(vec![block(Format::Ladder { rungs }, named(2, 1))]));
    assert_eq!(seconds(&schedule), 280);
}

/// Six groups at six stations: everybody does every station once in a round.
#[test]
fn a_rotation_has_a_turn_for_every_station() {
    let mut stations = named(6, 120);
    for station in &mut stations {
        station.rest = Tick::seconds(30);
    }
    let schedule = compile(session(vec![block(Format::Rotation, stations)]));
    assert_eq!(seconds(&schedule), 6 * 120 + 5 * 30);
}

/// The total of a block whose transitions are inside, computed without the compiler. None when that is not simple.
fn plain_total(block: &Block) -> Option<u64> {
    let works = |station: &Station| match station.work {
        Work::Time(length) if station.sides == Sides::EachSide => Some(2 * length.0 + station.rest.0),
        Work::Time(length) => Some(length.0),
        Work::Reps(_) => None,
    };
    let work: u64 = block.stations.iter().map(works).sum::<Option<u64>>()?;
    let rests: u64 = block.stations.iter().map(|station| station.rest.0).sum();
    let last_rest = block.stations.last()?.rest.0;
    let rounds = u64::from(block.rounds);
    match &block.format {
        Format::Circuit => Some(rounds * (work + rests - last_rest) + (rounds - 1) * block.round_rest.0),
        Format::Sets => {
            Some(rounds * work + (rounds - 1) * block.stations.len() as u64 * block.round_rest.0 + rests - last_rest)
        }
        Format::Amrap { time } => Some(rounds * time.0 + (rounds - 1) * block.round_rest.0),
        _ => None,
    }
}

fn check_sides(schedule: &Schedule) -> Result<(), TestCaseError> {
    let mut balance = 0i128;
    for span in schedule.spans.iter().filter(|span| span.purpose == Purpose::Work) {
        let working = i128::from((span.length() - span.settle).0);
        match span.side {
            Side::Left => balance += working,
            Side::Right => {
                balance -= working;
                prop_assert_eq!(balance, 0);
            }
            Side::LeftThenRight { each, switch } => {
                prop_assert_eq!(span.settle + each + switch + each, span.length());
                prop_assert_eq!(span.end - span.right_at().unwrap(), each);
            }
            Side::Both | Side::Alternating => {}
        }
    }
    prop_assert_eq!(balance, 0);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn any_session_compiles_to_a_sound_schedule(session in any_session()) {
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
        let calls: Vec<Tick> = schedule.events.iter().filter(|event| matches!(event.what, What::Call(_))).map(|event| event.at).collect();
        prop_assert!(calls.windows(2).all(|pair| pair[1] >= pair[0] + Tick(1500)));
        let marks: Vec<Tick> = schedule.events.iter().filter(|event| matches!(event.what, What::Tone(_))).map(|event| event.at).collect();
        let gates: Vec<Tick> = schedule.spans.iter().filter(|span| span.gate).map(|span| span.start).collect();
        prop_assert!(marks.windows(2).all(|pair| pair[0] < pair[1] || gates.contains(&pair[0])));
        prop_assert_eq!(schedule.events.last().map(|event| event.at), Some(schedule.total()));
    }

    #[test]
    fn totals_are_what_the_arithmetic_says(session in any_session()) {
        for block in &session.blocks {
            let alone = Block { transitions: Transitions::Inside, briefing: Tick::ZERO, ..block.clone() };
            if let Some(total) = plain_total(&alone) {
                prop_assert_eq!(compile(Arc::new(Session { blocks: vec![alone], ..Session::clone(&session) })).total(), Tick(total));
            }
        }
    }
}
