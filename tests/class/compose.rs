//! Composing, checked against brute force, the reader and `check`.

use std::sync::Arc;
use std::time::Instant;

use class::check::{advice::advise, check};
use class::compose::objective::Cost;
use class::compose::order_search::{BlockProblem, OpenPlace, OrderVerdict, StationCandidate, best};
use class::compose::pool_selection::{MovementPool, PoolMovement, choose};
use class::compose::similar::similar_movements;
use class::compose::{
    ClassAim, ComposeError, ComposeRequest, ComposedClass, KeptMovement, StationPlace, compose, swap_station,
};
use class::movement::{Catalogue, CautionAlternative, Load, Movement, Muscle, Pattern, Position, Region, Sides};
use class::schedule::compile;
use class::session::fault::Severity;
use class::session::{BlockFormat, BlockKind, KitAmount, OwnedKit, Session, read};
use class::time::Tick;
use proptest::prelude::*;

fn minutes(minutes: u64) -> Tick {
    Tick::seconds(minutes * 60)
}

fn owned(item: &str, load: Option<Load>, amount: KitAmount) -> OwnedKit {
    OwnedKit { item: class::movement::KitItem(item.to_owned()), load, amount }
}

fn each(item: &str) -> OwnedKit {
    owned(item, None, KitAmount::Each(1))
}

fn pair(item: &str) -> OwnedKit {
    owned(item, Some(Load::Light), KitAmount::Each(2))
}

/// Ten rooms such as coaches have. They are invented.
fn rooms() -> Vec<(&'static str, ComposeRequest)> {
    let boathouse = vec![
        owned("kettlebell", Some(Load::Light), KitAmount::Each(1)),
        each("band"),
        owned("box", None, KitAmount::Shared(4)),
    ];
    let base = ComposeRequest::default();
    let (strength, conditioning) = (ClassAim::Strength, ClassAim::Conditioning);
    vec![
        ("a mat at home", ComposeRequest { slot: minutes(30), ..base.clone() }),
        (
            "kettlebells, bands, four boxes",
            ComposeRequest {
                people: 12,
                kit: boathouse.clone(),
                focus: vec![Muscle::Hamstrings, Muscle::MiddleBack],
                look_after: vec![Region::Wrist],
                ..base.clone()
            },
        ),
        (
            "a pair of dumbbells each",
            ComposeRequest { people: 8, kit: vec![pair("dumbbell"), each("mat")], aim: strength, ..base.clone() },
        ),
        (
            "everything",
            ComposeRequest {
                slot: minutes(60),
                people: 10,
                kit: vec![pair("dumbbell"), each("kettlebell"), each("band"), each("box"), each("mat"), each("chair")],
                focus: vec![Muscle::Chest],
                aim: strength,
                ..base.clone()
            },
        ),
        (
            "bands and chairs, low backs",
            ComposeRequest {
                people: 15,
                kit: vec![each("band"), each("chair"), each("mat")],
                look_after: vec![Region::LowBack, Region::Knee],
                ..base.clone()
            },
        ),
        (
            "lunch",
            ComposeRequest {
                slot: minutes(20),
                people: 9,
                kit: vec![each("mat"), each("kettlebell")],
                aim: conditioning,
                ..base.clone()
            },
        ),
        (
            "an hour and a half",
            ComposeRequest {
                slot: minutes(90),
                people: 6,
                kit: vec![each("mat"), each("kettlebell"), each("band"), pair("dumbbell")],
                aim: conditioning,
                ..base.clone()
            },
        ),
        (
            "six boxes for twenty",
            ComposeRequest {
                slot: minutes(50),
                people: 20,
                kit: vec![owned("box", None, KitAmount::Shared(6)), each("mat"), each("band")],
                aim: conditioning,
                ..base.clone()
            },
        ),
        (
            "shoulders and pregnancy",
            ComposeRequest {
                people: 5,
                kit: vec![each("band"), each("mat"), each("chair"), each("kettlebell")],
                look_after: vec![Region::Shoulder, Region::Pregnancy],
                ..base.clone()
            },
        ),
        (
            "one kettlebell at home",
            ComposeRequest {
                slot: minutes(15),
                kit: vec![each("kettlebell"), each("mat")],
                focus: vec![Muscle::Glutes],
                ..base
            },
        ),
    ]
}

/// Reads a composed class back and checks it against every rule. The hard conditions of the objective are checked here
/// a second time, independently.
fn hold_to_every_rule(name: &str, request: &ComposeRequest, draft: &ComposedClass) {
    let catalogue = Catalogue::built_in();
    let reading = read(&draft.text, catalogue);
    assert_eq!(reading.faults, [], "{name}\n{}", draft.text);
    let schedule = compile(Arc::new(reading.session.unwrap()));
    let mut found = check(&schedule);
    found.extend(advise(&schedule));
    let warned: Vec<_> = found.iter().filter(|fault| fault.severity <= Severity::Warning).collect();
    assert!(warned.is_empty(), "{name}: {warned:?}\n{}", draft.text);
    assert!(schedule.total() <= request.slot, "{name}");

    let all: Vec<&str> =
        draft.blocks.iter().flat_map(|block| &block.stations).map(|s| s.movement.id.as_str()).collect();
    let mut once = all.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), all.len(), "{name}: a movement twice in {all:?}");
    assert_eq!(draft.blocks.first().map(|block| block.kind), Some(BlockKind::WarmUp));
    assert_eq!(draft.blocks.last().map(|block| block.kind), Some(BlockKind::CoolDown));
    for station in draft.blocks.iter().flat_map(|block| &block.stations) {
        let minded = station.movement.cautions.iter().filter(|caution| request.look_after.contains(&caution.region));
        assert!(
            minded.clone().all(|caution| caution.instead != CautionAlternative::LeaveOut),
            "{name}: {}",
            station.movement.id
        );
        assert!(!station.why.is_empty(), "{name}: {}", station.movement.id);
    }
    // Mobilisation before load.
    let moved: Vec<Muscle> = draft.blocks[0]
        .stations
        .iter()
        .filter(|station| !station.movement.loaded)
        .flat_map(|station| station.movement.prime.iter().chain(&station.movement.helping).copied())
        .collect();
    let mains = draft.blocks.iter().filter(|block| block.kind == BlockKind::Main).flat_map(|block| &block.stations);
    for muscle in mains.filter(|station| station.movement.loaded).flat_map(|station| &station.movement.prime) {
        let could = |movement: &class::movement::Movement| {
            let moves = movement.prime.contains(muscle) || movement.helping.contains(muscle);
            let pattern = matches!(movement.pattern, Pattern::Mobility | Pattern::Locomotion);
            let bare = !movement.loaded && movement.kit.is_empty() && movement.position == Position::Standing;
            moves && pattern && bare && !all.contains(&movement.id.as_str())
        };
        let known = catalogue.iter().any(|movement| could(movement));
        assert!(
            moved.contains(muscle) || !known || !request.look_after.is_empty(),
            "{name}: {muscle:?} is loaded cold"
        );
    }
}

#[test]
fn every_room_gets_a_class_without_warnings() {
    let mut unproven = Vec::new();
    for (name, room) in rooms() {
        for seed in [7] {
            let request = ComposeRequest { seed, ..room.clone() };
            let began = Instant::now();
            let draft =
                compose(&request, Catalogue::built_in()).unwrap_or_else(|why| panic!("{name}, seed {seed}: {why}"));
            if std::env::var_os("FORECALL_SHOW").is_some() {
                println!("{name} {seed} {:?} {:?}\n{}", began.elapsed(), draft.gap, draft.text);
                for station in draft.blocks.iter().flat_map(|block| &block.stations) {
                    println!("{}: {}", station.movement.name, station.why.join("; "));
                }
            }
            hold_to_every_rule(name, &request, &draft);
            unproven.extend(draft.gap.map(|gap| format!("{name}: {gap}")));
        }
    }
    // A stopped search reports a gap. That must stay rare.
    assert!(unproven.len() <= 2, "{unproven:?}");
}

/// All rooms with 200 seeds each. Run it optimised: `cargo test --release --test compose -- --ignored`.
#[test]
#[ignore = "two thousand classes"]
fn two_thousand_classes() {
    let mut unproven = 0;
    let mut slowest = (std::time::Duration::ZERO, "");
    for (name, room) in rooms() {
        let mut texts = std::collections::BTreeSet::new();
        for seed in 0..200 {
            let request = ComposeRequest { seed, ..room.clone() };
            let began = Instant::now();
            let draft =
                compose(&request, Catalogue::built_in()).unwrap_or_else(|why| panic!("{name}, seed {seed}: {why}"));
            slowest = slowest.max((began.elapsed(), name));
            hold_to_every_rule(name, &request, &draft);
            unproven += usize::from(draft.gap.is_some());
            texts.insert(
                draft
                    .blocks
                    .iter()
                    .flat_map(|block| &block.stations)
                    .map(|s| s.movement.id.clone())
                    .collect::<Vec<_>>(),
            );
        }
        println!("{name}: {} different classes of 200", texts.len());
    }
    println!("slowest {slowest:?}; {unproven} of 2000 with a gap");
}

#[test]
fn the_same_request_gives_the_same_class_and_another_seed_another() {
    let (_, room) = rooms().swap_remove(1);
    let of = |seed| compose(&ComposeRequest { seed, ..room.clone() }, Catalogue::built_in()).unwrap();
    assert_eq!(of(7), of(7));
    let stations = |draft: &ComposedClass| {
        draft.blocks.iter().flat_map(|b| &b.stations).map(|s| s.movement.id.clone()).collect::<Vec<_>>()
    };
    assert_ne!(stations(&of(7)), stations(&of(8)));
}

#[test]
fn a_swap_changes_one_station_and_no_other() {
    let (_, request) = rooms().swap_remove(2);
    let catalogue = Catalogue::built_in();
    let first = compose(&request, catalogue).unwrap();
    for place in [StationPlace { block: 1, station: 1 }, StationPlace { block: first.blocks.len() - 1, station: 1 }] {
        let mut draft = first.clone();
        let mut seen = vec![draft.at(place).unwrap().movement.id.clone()];
        loop {
            match swap_station(&request, catalogue, &draft, place) {
                Ok(next) => {
                    for other in first.places().filter(|other| *other != place) {
                        assert_eq!(next.at(other).unwrap().movement, first.at(other).unwrap().movement, "{other:?}");
                    }
                    let id = next.at(place).unwrap().movement.id.clone();
                    assert!(!seen.contains(&id), "{id} again");
                    hold_to_every_rule("another", &request, &next);
                    seen.push(id);
                    draft = next;
                }
                Err(why) => break assert_eq!(why, ComposeError::NoSwap),
            }
        }
        assert!(seen.len() > 2, "{place:?}: {seen:?}");
    }
}

/// The parts of a block's cost, computed from the movements by the text of the objective.
fn plain_cost(session: &Session, block: usize, movements: &[Arc<Movement>]) -> Vec<usize> {
    let own = &session.blocks[block];
    let around = own.rounds > 1 && movements.len() > 1;
    let mut pairs: Vec<(&Movement, &Movement)> = movements.windows(2).map(|pair| (&*pair[0], &*pair[1])).collect();
    pairs.extend(around.then(|| (&**movements.last().unwrap(), &*movements[0])));
    let count = |of: &dyn Fn(&Movement) -> bool| movements.iter().filter(|movement| of(movement)).count();
    let crowded =
        pairs.iter().filter(|(a, b)| a.loaded && b.loaded && a.prime.iter().any(|muscle| b.prime.contains(muscle)));
    let still = |one: &Movement| {
        one.pattern == Pattern::Brace
            && one.guide.is_none()
            && matches!(one.sides, Sides::Together | Sides::LeftThenRight)
    };
    let cared = |one: &Movement| one.cautions.iter().any(|caution| session.look_after.contains(&caution.region));
    let elsewhere =
        session.blocks.iter().enumerate().filter(|(at, other)| *at != block && other.kind == BlockKind::Main);
    let elsewhere = elsewhere.flat_map(|(_, other)| &other.stations).map(|station| &station.movement);
    let in_use: std::collections::BTreeSet<&str> = elsewhere
        .chain(movements)
        .flat_map(|movement| &movement.kit)
        .map(|need| need.item.0.as_str())
        .filter(|item| !["mat", "chair"].contains(item))
        .collect();
    // Kit that lies out is not picked up: getting on to it is a change of position.
    let in_hand = |one: &Movement| {
        let mut kit: Vec<_> = one.kit.iter().filter(|need| !need.item.stays_on_floor()).cloned().collect();
        kit.sort();
        kit
    };
    let down = |one: &Movement| one.position.on_floor_with(one.kit.iter().map(|need| &need.item));
    let walking = own.format == BlockFormat::Rotation;
    let kit = pairs.iter().filter(|(a, b)| !walking && in_hand(a) != in_hand(b)).count();
    let moves = pairs.iter().filter(|(a, b)| a.position != b.position);
    let moves = moves.map(|(a, b)| 1 + usize::from(down(a) != down(b))).sum();
    vec![crowded.count(), count(&still), count(&cared), 100 - in_use.len(), kit, moves]
}

/// Tries every movement of the catalogue in every place of the main blocks. [`similar_movements`] gives exactly those
/// that keep to the rules, in order of cost. All other stations stay.
#[test]
fn a_swap_chooses_the_best_of_all_possible_movements() {
    let catalogue = Catalogue::built_in();
    let mut places = 0;
    for (name, request) in rooms().into_iter().take(4) {
        let request = ComposeRequest { aim: ClassAim::Conditioning, focus: vec![], seed: 3, ..request };
        let text = compose(&request, catalogue).unwrap().text;
        let session = read(&text, catalogue).session.unwrap();
        let mains = session.blocks.iter().enumerate().filter(|(_, block)| block.kind == BlockKind::Main);
        for place in
            mains.flat_map(|(block, of)| (0..of.stations.len()).map(move |station| StationPlace { block, station }))
        {
            let block = &session.blocks[place.block];
            let here = &block.stations[place.station].movement;
            let given = similar_movements(&session, catalogue, place);
            let with = |movement: &Arc<Movement>| {
                let mut movements: Vec<_> =
                    block.stations.iter().map(|station| Arc::clone(&station.movement)).collect();
                movements[place.station] = Arc::clone(movement);
                plain_cost(&session, place.block, &movements)
            };
            let costs: Vec<_> = given.iter().map(with).collect();
            assert!(costs.is_sorted(), "{name} {place:?}: {costs:?}");
            for movement in catalogue.iter().filter(|movement| !given.iter().any(|one| one.id == movement.id)) {
                let family = |movement: &Movement| match movement.pattern {
                    Pattern::Squat | Pattern::Lunge => 0,
                    Pattern::Brace | Pattern::Rotate => 1,
                    Pattern::Carry | Pattern::Locomotion => 2,
                    other => 3 + other as usize,
                };
                let there = || session.blocks.iter().flat_map(|block| &block.stations).map(|station| &station.movement);
                let leads = |a: &Movement, b: &Movement| {
                    [&a.easier, &a.harder].into_iter().flatten().any(|tier| tier.movement.as_ref() == Some(&b.id))
                };
                let of_a_tier =
                    |other: &&Arc<Movement>| other.id != here.id && (leads(other, movement) || leads(movement, other));
                if family(movement) != family(here)
                    || there().any(|other| other.id == movement.id)
                    || there().any(|other| of_a_tier(&other))
                    || movement.sides == Sides::EachSide
                    || movement.easier.is_none()
                    || !(movement.loaded || movement.pattern == Pattern::Locomotion)
                {
                    continue;
                }
                // The movement fits otherwise, so the kit or a region to look after must rule it out.
                let minded = movement.cautions.iter().any(|caution| request.look_after.contains(&caution.region));
                let swapped = text.replace(&format!("\"{}\"", here.id), &format!("\"{}\"", movement.id));
                let found = check(&compile(Arc::new(read(&swapped, catalogue).session.unwrap())));
                let refused = found.iter().any(|fault| fault.severity <= Severity::Warning);
                assert!(refused || minded, "{name} {place:?}: {} was left out", movement.id);
            }
            places += usize::from(!given.is_empty());
        }
    }
    assert!(places > 20, "{places}");
}

#[test]
fn kept_movements_stay() {
    let (_, room) = rooms().swap_remove(2);
    let catalogue = Catalogue::built_in();
    let first = compose(&room, catalogue).unwrap();
    let place = StationPlace { block: 1, station: 2 };
    let kept = first.at(place).unwrap().movement.id.clone();
    let locked = vec![
        KeptMovement { movement: kept.clone(), at: Some(place) },
        KeptMovement { movement: "thruster".into(), at: None },
    ];
    let request = ComposeRequest { seed: 99, locked, ..room.clone() };
    let draft = compose(&request, catalogue).unwrap();
    assert_eq!(draft.at(place).unwrap().movement.id, kept);
    assert!(draft.text.contains("\"thruster\""), "{}", draft.text);
    hold_to_every_rule("locked", &request, &draft);

    let lock = |movement: &str, at| ComposeRequest {
        locked: vec![KeptMovement { movement: movement.into(), at }],
        ..room.clone()
    };
    assert_eq!(compose(&lock("thurster", None), catalogue), Err(ComposeError::UnknownMovement("thurster".into())));
    for (movement, at) in
        [("bell-swing", None), ("cat-cow", None), ("squat", Some(StationPlace { block: 9, station: 0 }))]
    {
        let refused = compose(&lock(movement, at), catalogue);
        assert!(matches!(refused, Err(ComposeError::CannotKeep(..))), "{refused:?}");
    }
}

#[test]
fn movements_of_the_last_class_are_avoided_among_equals() {
    let (_, room) = rooms().swap_remove(3);
    let catalogue = Catalogue::built_in();
    let mains = |draft: &ComposedClass| -> Vec<String> {
        let blocks = draft.blocks.iter().filter(|block| block.kind == BlockKind::Main);
        blocks.flat_map(|block| &block.stations).map(|station| station.movement.id.clone()).collect()
    };
    let last = mains(&compose(&room, catalogue).unwrap());
    let next = mains(&compose(&ComposeRequest { last: last.clone(), ..room }, catalogue).unwrap());
    let again = next.iter().filter(|id| last.contains(id)).count();
    assert!(again * 2 < last.len(), "{again} of {last:?} again in {next:?}");
}

#[test]
fn a_slot_that_is_too_short_or_too_long_is_refused() {
    for (slot, wanted) in [(minutes(5), "10m"), (minutes(150), "2h")] {
        let why = compose(&ComposeRequest { slot, ..ComposeRequest::default() }, Catalogue::built_in())
            .unwrap_err()
            .to_string();
        assert!(why.contains(wanted), "{why}");
    }
}

/// The cost of an order of a block, computed from the terms of the objective and not by the search.
fn cost_of(circuit: &BlockProblem, order: &[usize]) -> Cost {
    let items = circuit.items;
    let mut cost = order.iter().fold(Cost::NOTHING, |sum, &item| sum + items[item].own);
    let mut pairs: Vec<(usize, usize)> = order.windows(2).map(|pair| (pair[0], pair[1])).collect();
    if circuit.again && order.len() > 1 {
        pairs.push((order[order.len() - 1], order[0]));
    }
    for (a, b) in pairs {
        let (a, b) = (&items[a], &items[b]);
        cost = cost + Cost::crowded(u64::from(a.prime & b.prime > 0));
        cost = cost + Cost::kit_changes(u64::from(a.kit != b.kit && !circuit.walking));
        if a.position != b.position {
            cost = cost + Cost::moves(if a.floor == b.floor { 1 } else { 2 });
        }
    }
    let used = order.iter().fold(circuit.used, |used, &item| used | items[item].uses);
    cost + Cost::kit_left(u64::from(circuit.kinds.saturating_sub(used.count_ones())))
}

/// Tries every order of every choice.
fn brute(
    circuit: &BlockProblem,
    order: &mut Vec<usize>,
    filled: &mut Vec<usize>,
    accept: &dyn Fn(&[usize]) -> bool,
    least: &mut Option<Cost>,
) {
    if filled.len() == circuit.slots.len() {
        // A round may begin anywhere: `accept` gives the same answer for every beginning.
        if accept(order) {
            let cost = cost_of(circuit, order);
            *least = Some(least.map_or(cost, |least| least.min(cost)));
        }
        return;
    }
    let place = filled.len();
    for slot in 0..circuit.slots.len() {
        let tied = circuit.slots.iter().any(|other| other.at == Some(place));
        if filled.contains(&slot) || circuit.slots[slot].at.map_or(tied, |at| at != place) {
            continue;
        }
        for &item in &circuit.slots[slot].pool {
            if order.iter().any(|&before| before == item || (circuit.apart)(before, item)) {
                continue;
            }
            order.push(item);
            filled.push(slot);
            brute(circuit, order, filled, accept, least);
            order.pop();
            filled.pop();
        }
    }
}

prop_compose! {
    fn item()(own in 0u64..3, repeats in 0u64..2, prime in 0u32..8, kit in 0usize..3, position in 0usize..3, uses in 0u16..8) -> StationCandidate {
        StationCandidate { own: Cost::off_focus(own) + Cost::repeats(repeats), prime, kit, position, floor: position == 2, uses }
    }
}

prop_compose! {
    fn slot(items: usize, at: Option<usize>)(pool in prop::collection::btree_set(0..items, 1..=items.min(4))) -> OpenPlace {
        OpenPlace { pool: pool.into_iter().collect(), at }
    }
}

fn block() -> impl Strategy<Value = (Vec<StationCandidate>, Vec<OpenPlace>)> {
    (2usize..9, 1usize..5, prop::option::of(0usize..4)).prop_flat_map(|(count, slots, tied)| {
        let at = move |slot: usize| tied.filter(|_| slot == 0).filter(|at| *at < slots);
        let slots: Vec<_> = (0..slots).map(|index| slot(count, at(index))).collect();
        (prop::collection::vec(item(), count), slots)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// On catalogues small enough to try everything, nothing is better than the search's result.
    #[test]
    fn the_search_agrees_with_brute_force(
        (items, slots) in block(), again: bool, walking: bool, used in 0u16..8, kinds in 0u32..4, apart_by in 0usize..5, refuse in 2usize..12,
    ) {
        let apart = move |a: usize, b: usize| apart_by > 0 && a + b == apart_by + 3;
        let rank: Vec<u64> = (0..items.len() as u64).map(|index| index.wrapping_mul(0x9e37_79b9_7f4a_7c15)).collect();
        let circuit = BlockProblem { items: &items, slots, again, walking, used, kinds, apart: &apart, rank: &rank };
        let accepts = move |order: &[usize]| order.iter().sum::<usize>() % refuse != 0;
        let found = best(&circuit, &mut |order| if accepts(order) { OrderVerdict::Taken } else { OrderVerdict::Refused });
        let mut least = None;
        brute(&circuit, &mut Vec::new(), &mut Vec::new(), &accepts, &mut least);
        prop_assert_eq!(found.as_ref().map(|found| found.cost), least);
        if let Some(found) = found {
            prop_assert_eq!(found.cost, cost_of(&circuit, &found.order));
            prop_assert_eq!(found.bound, found.cost);
        }
    }

    #[test]
    fn no_other_choice_for_a_warm_up_is_better(
        pools in prop::collection::vec((prop::collection::vec((0u64..32, 0u32..3, 0u32..3), 0..6), 0usize..4), 1..3),
        worth in prop::collection::vec(0u32..4, 5),
    ) {
        let part = |(pool, count): &(Vec<(u64, u32, u32)>, usize)| MovementPool {
            pool: pool.iter().map(|&(moves, own, position)| PoolMovement { moves, own, position: 1 << position }).collect(),
            count: *count,
            fixed: Vec::new(),
        };
        let parts: Vec<MovementPool> = pools.iter().map(part).collect();
        let mut worths = [0; 64];
        worths[..5].copy_from_slice(&worth);
        let found = choose(&parts, &worths);
        // Try every subset of every pool.
        let all: Vec<&PoolMovement> = parts.iter().flat_map(|part| &part.pool).collect();
        let mut least = None;
        for set in 0u32..1 << all.len() {
            let mut from = 0;
            let fits = parts.iter().all(|part| {
                let own = set >> from & ((1 << part.pool.len()) - 1);
                from += part.pool.len();
                own.count_ones() as usize == part.count
            });
            if fits {
                let chosen = || all.iter().enumerate().filter(|(at, _)| set >> at & 1 == 1).map(|(_, choice)| *choice);
                let moved = chosen().fold(0, |moved, choice| moved | choice.moves);
                let missing: u32 = (0..5).filter(|bit| moved >> bit & 1 == 0).map(|bit| worth[bit]).sum();
                let positions = chosen().fold(0, |bits, choice| bits | choice.position).count_ones();
                let price = (missing, chosen().map(|choice| choice.own).sum::<u32>(), positions);
                least = Some(least.map_or(price, |least: (u32, u32, u32)| least.min(price)));
            }
        }
        prop_assert_eq!(found.map(|(_, price)| price), least);
    }
}
