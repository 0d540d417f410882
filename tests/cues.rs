//! The planner of cues against brute force, and what must hold of every class's cues.

use forecall::cue::{Fixed, Placed, Placement, RANKS, Score, Unit, Wish, plan};
use forecall::time::Tick;
use proptest::prelude::*;

/// The planner's objective, written down once more from its definition: no grid walk, no branching, all ticks.
/// None: a hard rule is broken.
fn judge(unit: &Unit, placed: &[Option<Placed>]) -> Option<Score> {
    let mut score = Score::default();
    let mut spoken: Vec<(u64, u64)> = Vec::new();
    let (mut must, mut others) = (0, 0);
    for (wish, placed) in unit.wishes.iter().zip(placed) {
        let Some(placed) = placed else {
            match wish.rank {
                0 => score.must_unsaid += 1,
                rank => score.unsaid[usize::from(rank) - 1] += 1,
            }
            continue;
        };
        let length = if placed.terse { wish.terse? } else { wish.full };
        let (start, end) = (placed.at.0, placed.at.0 + length.0);
        if start < wish.window.start.0.max(unit.within.start.0) || end > wish.window.end.0.min(unit.within.end.0) {
            return None;
        }
        if !(start - unit.within.start.0).is_multiple_of(unit.step.0) {
            return None;
        }
        spoken.push((start, end));
        score.terse += u32::from(placed.terse);
        let ideal = (wish.ideal.0 - unit.within.start.0 + unit.step.0 / 2) / unit.step.0;
        score.off += ((start - unit.within.start.0) / unit.step.0).abs_diff(ideal);
        if start >= unit.work.start.0 && start < unit.work.end.0 {
            *(if wish.rank == 0 { &mut must } else { &mut others }) += length.0;
        }
    }
    let interval = |fixed: &Fixed| (fixed.sounds.start.0, fixed.sounds.end.0);
    let fixed: Vec<(u64, u64)> = unit.fixed.iter().map(interval).collect();
    let speech: Vec<(u64, u64)> = unit.fixed.iter().filter(|fixed| fixed.speech).map(interval).collect();
    for (index, a) in spoken.iter().enumerate() {
        for b in spoken[index + 1..].iter().chain(&fixed) {
            if a.1 + 700 > b.0 && b.1 + 700 > a.0 {
                return None;
            }
        }
    }
    let work = unit.work.end.0 - unit.work.start.0;
    let within_work =
        |&(start, end): &(u64, u64)| end.min(unit.work.end.0).saturating_sub(start.max(unit.work.start.0));
    let fixed_speech: u64 = speech.iter().map(within_work).sum();
    let room =
        (i128::from(work) * i128::from(100 - unit.talk_room) / 100) - i128::from(fixed_speech) - i128::from(must);
    if others > 0 && i128::from(others) > room.max(0) {
        return None;
    }
    // A quiet stretch can be moved forward until it begins where the work does or where something ends.
    let ends = spoken.iter().chain(&fixed).map(|&(_, end)| end).chain([unit.work.start.0]);
    let quiet = ends
        .filter(|&from| from >= unit.work.start.0 && from + 12_000 <= unit.work.end.0)
        .any(|from| spoken.iter().chain(&fixed).all(|&(start, end)| end <= from || start >= from + 12_000));
    score.no_quiet = work >= 40_000 && !quiet;
    Some(score)
}

/// The best placement by trying all of them.
fn brute_force(unit: &Unit) -> Placement {
    fn extend(unit: &Unit, placed: &mut Vec<Option<Placed>>, best: &mut Option<(Score, Vec<(u64, bool)>)>) {
        let Some(wish) = unit.wishes.get(placed.len()) else {
            if let Some(score) = judge(unit, placed) {
                let order = placed.iter().map(|p| p.map_or((u64::MAX, true), |p| (p.at.0, p.terse))).collect();
                if best.as_ref().is_none_or(|best| (&score, &order) < (&best.0, &best.1)) {
                    *best = Some((score, order));
                }
            }
            return;
        };
        placed.push(None);
        extend(unit, placed, best);
        placed.pop();
        let steps = (wish.window.start.0.saturating_sub(unit.within.start.0) / unit.step.0)
            ..=(wish.window.end.0.saturating_sub(unit.within.start.0) / unit.step.0);
        for step in steps {
            let at = Tick(unit.within.start.0 + step * unit.step.0);
            for (length, terse) in [(Some(wish.full), false), (wish.terse, true)] {
                let Some(length) = length else { continue };
                if at < wish.window.start || at + length > wish.window.end {
                    continue;
                }
                if unit.fixed.iter().any(|f| at.0 < f.sounds.end.0 + 700 && f.sounds.start.0 < (at + length).0 + 700) {
                    continue;
                }
                // What overlaps will not come apart again.
                let clash = placed.iter().zip(&unit.wishes).any(|(other, of)| {
                    other.is_some_and(|other| {
                        let ends = other.at + if other.terse { of.terse.unwrap_or(of.full) } else { of.full };
                        at.0 < ends.0 + 700 && other.at.0 < (at + length).0 + 700
                    })
                });
                if !clash {
                    placed.push(Some(Placed { at, terse }));
                    extend(unit, placed, best);
                    placed.pop();
                }
            }
        }
    }
    let mut best = None;
    extend(unit, &mut Vec::new(), &mut best);
    let (score, order) = best.expect("saying nothing is always possible");
    let placed =
        order.into_iter().map(|(at, terse)| (at != u64::MAX).then_some(Placed { at: Tick(at), terse })).collect();
    Placement { score, placed }
}

const START: u64 = 60_000;

fn any_wish(length: u64, step: u64) -> impl Strategy<Value = Wish> {
    let steps = length / step;
    (0u8..=3, 0..steps, 1u64..=7, 0u64..=8, 5u64..60, prop::option::of(3u64..30)).prop_map(
        move |(rank, from, wide, ideal, full, terse)| {
            let at = |steps: u64| Tick(START + steps * step);
            Wish {
                rank,
                window: at(from)..Tick(START + (from + wide) * step + 350),
                ideal: Tick((at(from).0 + ideal * step + 37).saturating_sub(step).max(START)),
                full: Tick(full * 100),
                terse: terse.map(|terse| Tick(terse.min(full) * 100)),
            }
        },
    )
}

fn any_unit() -> impl Strategy<Value = Unit> {
    (prop::sample::select(vec![1000u64, 1500, 2500]), 12u64..70, prop::sample::select(vec![0u64, 5, 15, 40]))
        .prop_flat_map(|(step, work, rest)| {
            let length = (work + rest) * 1000;
            let fixed = prop::collection::vec((0..length / 100, 1u64..15, any::<bool>()), 0..5).prop_map(|fixed| {
                let one = |(at, long, speech)| {
                    let start = START + at * 100;
                    Fixed { sounds: Tick(start)..Tick(start + long * 100), speech }
                };
                fixed.into_iter().map(one).collect::<Vec<_>>()
            });
            let talk_room = prop::sample::select(vec![0u8, 50, 80, 90, 100]);
            let briefing = prop::bool::weighted(0.1);
            (fixed, talk_room, prop::collection::vec(any_wish(length, step), 0..=5), briefing).prop_map(
                move |(fixed, talk_room, wishes, briefing)| Unit {
                    within: Tick(START)..Tick(START + length),
                    work: Tick(START)..Tick(START + if briefing { 0 } else { work * 1000 }),
                    fixed,
                    talk_room,
                    step: Tick(step),
                    wishes,
                },
            )
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, ..ProptestConfig::default() })]

    /// The whole objective and the placement itself, on a coarse grid.
    #[test]
    fn the_planner_finds_what_brute_force_finds(unit in any_unit()) {
        prop_assert!(unit.wishes.iter().all(|wish| usize::from(wish.rank) <= RANKS));
        let planned = plan(&unit);
        prop_assert_eq!(judge(&unit, &planned.placed), Some(planned.score.clone()));
        prop_assert_eq!(planned, brute_force(&unit));
    }
}
