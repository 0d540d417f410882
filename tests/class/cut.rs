//! Cut, against a search through every set of omissions.

use crate::classes;

use std::collections::BTreeSet;
use std::sync::Arc;

use class::change::{Course, Omission};
use class::movement::{Pattern, Position, Sides};
use class::schedule::{Activity, Schedule, Span, SpanPurpose, WorkingSide, compile};
use class::session::{Block, BlockFormat, BlockKind, Session, Station, WorkAmount};
use class::time::Tick;
use classes::{block, movement, session, station_of};
use proptest::prelude::*;

fn any_small_station() -> impl Strategy<Value = Station> {
    let pattern = prop::sample::select(vec![Pattern::Push, Pattern::Pull, Pattern::Squat]);
    let sides = prop::sample::select(vec![Sides::Together, Sides::EachSide, Sides::LeftThenRight]);
    (pattern, sides, 3u64..12, 0u64..4, prop::bool::weighted(0.3)).prop_map(|(pattern, sides, work, rest, optional)| {
        let mut movement = movement("alpha", Position::Standing);
        movement.pattern = pattern;
        movement.sides = sides;
        let station = station_of(movement, WorkAmount::Time(Tick::seconds(work * 5)));
        Station { rest: Tick::seconds(rest * 5), optional, ..station }
    })
}

fn any_small_block() -> impl Strategy<Value = Block> {
    let kind = prop::sample::select(vec![BlockKind::WarmUp, BlockKind::Main, BlockKind::Main, BlockKind::CoolDown]);
    let stations = prop::collection::vec(any_small_station(), 1..4);
    (kind, stations, 1u32..4, 0u64..3, 0u64..3).prop_map(|(kind, stations, rounds, round_rest, rest_after)| Block {
        kind,
        rounds,
        round_rest: Tick::seconds(round_rest * 10),
        rest_after: Tick::seconds(rest_after * 15),
        ..block(BlockFormat::Circuit, stations)
    })
}

/// The omissions as documented, each with its work spans.
fn units(schedule: &Schedule, current: usize) -> Vec<(Omission, BTreeSet<usize>)> {
    let session = &schedule.session;
    let coming = |index: &usize| *index > current && schedule.spans[*index].purpose == SpanPurpose::Work;
    let spans = |test: &dyn Fn(&Span) -> bool| -> BTreeSet<usize> {
        (0..schedule.spans.len()).filter(coming).filter(|&index| test(&schedule.spans[index])).collect()
    };
    let running = &schedule.spans[current];
    let mut found = vec![];
    for (b, block) in session.blocks.iter().enumerate() {
        for (s, station) in block.stations.iter().enumerate().filter(|(_, station)| station.optional) {
            let _ = station;
            found.push((
                Omission::Optional(b, s),
                spans(&|span| span.block == b && span.activity == Activity::Station(s)),
            ));
        }
        for round in 0..block.rounds {
            if running.purpose == SpanPurpose::BlockRest || (running.block, running.round) != (b, round) {
                found.push((Omission::Round(b, round), spans(&|span| (span.block, span.round) == (b, round))));
            }
        }
    }
    for kind in [BlockKind::WarmUp, BlockKind::Main, BlockKind::CoolDown] {
        for s in 0..4 {
            let of_kind =
                |span: &Span| session.blocks[span.block].kind == kind && span.activity == Activity::Station(s);
            found.push((Omission::Everywhere(kind, s), spans(&of_kind)));
        }
    }
    found.retain(|(_, spans)| !spans.is_empty());
    found
}

/// The time left after the span `current` without this work, in milliseconds. Of rests that then meet, one stays.
fn left_after(schedule: &Schedule, current: usize, gone: &BTreeSet<usize>) -> u64 {
    let strength = |span: &Span| match span.purpose {
        SpanPurpose::BlockRest => 3,
        SpanPurpose::RoundRest => 2,
        SpanPurpose::Rest => 1,
        _ => 0,
    };
    let mut total = 0;
    // The rests since the last work that stays: strength, length and block of each.
    let running = &schedule.spans[current];
    let mut met: Vec<(u8, u64, usize)> = vec![(strength(running), 0, running.block)];
    let mut before = running.block;
    let mut parted = false;
    // Rests between stations since some work went. They go too if more work goes before any work stays.
    let mut between = 0;
    for (index, span) in schedule.spans.iter().enumerate().skip(current + 1) {
        if span.purpose != SpanPurpose::Work {
            met.push((strength(span), span.length().0, span.block));
            between += usize::from(parted && strength(span) == 1);
        } else if gone.contains(&index) {
            let mut weak = 0;
            let of_old = met.iter().filter(|rest| rest.0 == 1).count() - between;
            met.retain(|rest| {
                weak += usize::from(rest.0 == 1);
                rest.0 != 1 || weak <= of_old
            });
            (parted, between) = (true, 0);
        } else {
            if parted {
                // Rests between stations and rounds stay only between work of their own block.
                met.retain(|rest| rest.0 == 3 || rest.1 == 0 || rest.2 == before && rest.2 == span.block);
            }
            let strongest = met.iter().map(|rest| rest.0).max().unwrap_or(0);
            total += if parted {
                met.iter().find(|rest| rest.0 == strongest).map_or(0, |rest| rest.1)
            } else {
                met.iter().map(|rest| rest.1).sum()
            };
            total += span.length().0;
            before = span.block;
            (met, parted, between) = (vec![], false, 0);
        }
    }
    if parted { total } else { total + met.iter().map(|rest| rest.1).sum::<u64>() }
}

/// The parts of the objective, then for each span whether it goes.
type Order = (Vec<i128>, Vec<bool>);

fn by_brute_force(schedule: &Schedule, now: Tick, end: Tick) -> (Vec<i128>, BTreeSet<usize>, usize) {
    let current = schedule.span_at(now).unwrap();
    let units = units(schedule, current);
    let time = end.0 as i128 - schedule.spans[current].end.0 as i128;
    let mut best: Option<(Order, BTreeSet<usize>, usize)> = None;
    for set in 0u32..1 << units.len() {
        let chosen = (0..units.len()).filter(|unit| set >> unit & 1 == 1);
        let gone: BTreeSet<usize> = chosen.clone().flat_map(|unit| units[unit].1.iter().copied()).collect();
        let total = i128::from(left_after(schedule, current, &gone));
        let (mut orphaned, mut protected, mut balance) = (0i128, 0i128, 0i128);
        for (index, span) in schedule.spans.iter().enumerate().filter(|(_, span)| span.purpose == SpanPurpose::Work) {
            let length = i128::from(span.length().0);
            if gone.contains(&index) {
                let left = (0..index).rev().find(|&left| schedule.spans[left].side == WorkingSide::Left);
                if span.side == WorkingSide::Right && left.is_some_and(|left| !gone.contains(&left)) {
                    orphaned += length - i128::from(span.settle.0);
                }
                protected += if schedule.block_of(span).kind == BlockKind::Main { 0 } else { length };
            } else {
                balance += match schedule.station_of(span).unwrap().movement.pattern {
                    Pattern::Push => length,
                    Pattern::Pull => -length,
                    _ => 0,
                };
            }
        }
        let number = chosen.count();
        let early = (time - total - 30_000).max(0);
        let parts = vec![(total - time).max(0), orphaned, protected, number as i128, early, balance.abs()];
        let going: Vec<bool> = (0..schedule.spans.len()).map(|index| gone.contains(&index)).collect();
        let order = (parts, going);
        if best.as_ref().is_none_or(|best| order < best.0) {
            best = Some((order, gone, number));
        }
    }
    let ((parts, _), gone, number) = best.unwrap();
    (parts, gone, number)
}

fn small(blocks: Vec<Block>) -> Arc<Session> {
    session(blocks)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2500, ..ProptestConfig::default() })]

    #[test]
    fn no_cut_is_better(
        blocks in prop::collection::vec(any_small_block(), 1..4),
        at in 0u64..1000,
        share in 0u64..1200,
    ) {
        let schedule = compile(small(blocks));
        let now = Tick(schedule.total().0 * at / 1000);
        let current = schedule.span_at(now).unwrap();
        prop_assume!(units(&schedule, current).len() <= 10);
        let end = now + Tick((schedule.total() - now).0 * share / 1000);
        let course = Course::new(schedule.clone());
        let cut = course.cut(now, end);
        let (parts, gone, number) = by_brute_force(&schedule, now, end);
        let kept: Vec<&Span> = schedule.spans.iter().enumerate()
            .filter(|(index, span)| span.purpose == SpanPurpose::Work && !gone.contains(index)).map(|(_, span)| span).collect();
        let left: Vec<&Span> = cut.course.schedule().spans.iter().filter(|span| span.purpose == SpanPurpose::Work).collect();
        prop_assert_eq!(cut.units.len(), number);
        prop_assert_eq!(
            left.iter().map(|span| (span.block, span.round, span.activity, span.side, span.length())).collect::<Vec<_>>(),
            kept.iter().map(|span| (span.block, span.round, span.activity, span.side, span.length())).collect::<Vec<_>>()
        );
        prop_assert_eq!(i128::from(cut.late.0), parts[0]);
        prop_assert_eq!(cut.late, cut.course.schedule().total().saturating_sub(end));
        prop_assert_eq!(cut.early, end.saturating_sub(cut.course.schedule().total()));
        prop_assert_eq!(&cut.course.schedule().spans[..current], &schedule.spans[..current]);
    }
}

/// Three blocks of 6 min with 1 min between them. A round, or one station in every block, can go.
#[test]
fn a_cut_that_is_not_enough_says_by_how_much() {
    let six = || (0..6).map(|n| classes::station(&format!("move-{n}"), Tick::seconds(60))).collect::<Vec<_>>();
    let blocks =
        (0..3).map(|_| Block { rest_after: Tick::seconds(60), ..block(BlockFormat::Circuit, six()) }).collect();
    let course = Course::new(compile(session(blocks)));
    let now = Tick::seconds(10);
    // 3 min less: the last station of every block goes.
    let cut = course.cut(now, Tick::seconds(17 * 60));
    assert_eq!(cut.units, [Omission::Everywhere(BlockKind::Main, 5)]);
    assert_eq!((cut.late, cut.early), (Tick::ZERO, Tick::ZERO));
    // The running span is never left out.
    let cut = course.cut(now, Tick::seconds(40));
    assert_eq!(cut.late, Tick::seconds(20));
    // Nothing needs to go.
    let cut = course.cut(now, course.schedule().total());
    assert_eq!((cut.units, &cut.course), (vec![], &course));
}
