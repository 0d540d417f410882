//! Sessions for tests: small ones built by hand, and a proptest strategy for any valid one.
// Several runners have this module, so it is public in each.
#![allow(unreachable_pub)]
#![allow(dead_code, reason = "each test binary uses its own part")]

use std::sync::Arc;

use class::movement::{KitItem, Load, Movement, NeededKit, Pattern, Position, Sides};
use class::session::{
    Block, BlockFormat, BlockKind, BlockStart, CallChoice, Session, SpeechLevel, Station, TransitionMode, WorkAmount,
};
use class::time::Tick;
use proptest::prelude::*;

pub fn movement(id: &str, position: Position) -> Movement {
    Movement {
        id: id.into(),
        name: id.replace('-', " "),
        short: id.to_uppercase().chars().take(Movement::SHORT).collect(),
        said: None,
        also: vec![],
        pattern: Pattern::Squat,
        position,
        kit: vec![],
        sides: Sides::Together,
        prime: vec![],
        helping: vec![],
        loaded: true,
        skill: false,
        guide: None,
        setup: "Stand tall.".into(),
        prompts: vec!["long spine".into(), "push the floor away".into()],
        faults: vec![],
        easier: None,
        harder: None,
        cautions: vec![],
    }
}

/// A station that is done standing, without kit, with both sides at once.
pub fn station(id: &str, work: Tick) -> Station {
    station_of(movement(id, Position::Standing), WorkAmount::Time(work))
}

pub fn station_of(movement: Movement, work: WorkAmount) -> Station {
    Station {
        work,
        sides: movement.sides,
        tempo: movement.guide.as_ref().map(|guide| guide.tempo),
        rest: Tick::ZERO,
        kit: movement.kit.clone(),
        place: None,
        short: movement.short.clone(),
        prompts: movement.prompts.clone(),
        faults: vec![],
        easier: None,
        harder: None,
        variant: None,
        optional: false,
        click: false,
        movement: Arc::new(movement),
    }
}

pub fn block(format: BlockFormat, stations: Vec<Station>) -> Block {
    Block {
        name: "Main".into(),
        kind: BlockKind::Main,
        format,
        rounds: 1,
        stations,
        round_rest: Tick::ZERO,
        rest_after: Tick::ZERO,
        transitions: TransitionMode::Inside,
        start: BlockStart::Auto,
        briefing: Tick::ZERO,
        focus: vec![],
        aim: None,
        allow: vec![],
        music: Arc::default(),
        calls: vec![CallChoice::Halfway, CallChoice::Ten, CallChoice::Pips],
        level: SpeechLevel::Changes,
        note: None,
    }
}

pub fn session(blocks: Vec<Block>) -> Arc<Session> {
    Arc::new(Session {
        title: "Test".into(),
        slot: None,
        people: None,
        look_after: vec![],
        kit: vec![],
        floor: None,
        one_weight: false,
        emergency: None,
        mirror: false,
        seed: 1,
        talk_room: 80,
        music: Arc::default(),
        music_in_pause: false,
        allow: vec![],
        blocks,
    })
}

/// Any session that a file could give: all formats, sides, kit, positions, places, gates and calls.
pub fn any_session() -> impl Strategy<Value = Arc<Session>> {
    prop::collection::vec(any_block(), 1..4).prop_map(session)
}

fn any_block() -> impl Strategy<Value = Block> {
    (
        any_format(),
        prop::collection::vec(any_station(), 1..5),
        1u32..4,
        any_rest(),
        any_rest(),
        any_rest(),
        any_transitions(),
        any::<bool>(),
        prop::sample::subsequence(
            vec![
                CallChoice::Halfway,
                CallChoice::Thirty,
                CallChoice::Fifteen,
                CallChoice::Ten,
                CallChoice::Pips,
                CallChoice::End,
            ],
            0..=6,
        ),
    )
        .prop_map(|(format, stations, rounds, round_rest, rest_after, briefing, transitions, waits, calls)| {
            Block {
                rounds,
                round_rest,
                rest_after,
                briefing,
                transitions,
                start: if waits { BlockStart::OnKey } else { BlockStart::Auto },
                calls,
                ..block(format, stations)
            }
        })
}

fn any_format() -> impl Strategy<Value = BlockFormat> {
    prop_oneof![
        Just(BlockFormat::Circuit),
        Just(BlockFormat::Sets),
        (30u64..120).prop_map(|s| BlockFormat::Emom { every: Tick::seconds(s) }),
        (60u64..600).prop_map(|s| BlockFormat::Amrap { time: Tick::seconds(s) }),
        prop::collection::vec((5u64..90).prop_map(Tick::seconds), 1..5).prop_map(|rungs| BlockFormat::Ladder { rungs }),
        (1u32..10, any::<bool>()).prop_map(|(count, last_rest)| BlockFormat::Intervals { count, last_rest }),
        Just(BlockFormat::Rotation),
    ]
}

fn any_station() -> impl Strategy<Value = Station> {
    (
        prop::sample::select(vec!["alpha", "bravo", "charlie", "delta"]),
        prop::sample::select(Position::ALL),
        prop::sample::select(Sides::ALL),
        prop_oneof![(3000u64..90_000).prop_map(|ms| WorkAmount::Time(Tick(ms))), (1u32..30).prop_map(WorkAmount::Reps)],
        any_rest(),
        prop::option::of((0u8..4, 1u8..4, 0u8..3, 0u8..3)),
        prop::collection::vec(any_kit(), 0..3),
        prop::option::of(prop::sample::select(vec!["window", "door"])),
    )
        .prop_map(|(id, position, sides, work, rest, tempo, kit, place)| {
            let mut movement = movement(id, position);
            movement.sides = sides;
            movement.kit = kit;
            let mut station = station_of(movement, work);
            station.rest = rest;
            station.tempo = tempo.map(|(a, b, c, d)| class::time::Tempo { counts: [a, b, c, d] });
            station.place = place.map(String::from);
            station
        })
}

fn any_kit() -> impl Strategy<Value = NeededKit> {
    (
        prop::sample::select(vec!["kettlebell", "band", "box"]),
        prop::option::of(prop::sample::select(vec![Load::Light, Load::Heavy])),
        1u8..3,
    )
        .prop_map(|(item, load, count)| NeededKit { item: KitItem(item.into()), load, count })
}

fn any_rest() -> impl Strategy<Value = Tick> {
    prop_oneof![Just(Tick::ZERO), (1u64..90).prop_map(Tick::seconds), (1u64..20_000).prop_map(Tick)]
}

fn any_transitions() -> impl Strategy<Value = TransitionMode> {
    prop_oneof![
        Just(TransitionMode::Inside),
        Just(TransitionMode::Added),
        (1u64..20).prop_map(|s| TransitionMode::Fixed(Tick::seconds(s)))
    ]
}
