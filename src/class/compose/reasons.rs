//! Why each movement was chosen, in plain words: the terms of the objective that speak for it.

use super::candidate_pool::{MovementRole, PatternFamily, is_held_stretch, is_tier_of, may_serve_as, off_focus};
use super::composed_class::ComposedBlock;
use super::composer::Composer;
use crate::cue::region_words;
use crate::movement::{CautionAlternative, Movement, Muscle};
use crate::session::BlockKind;

/// The blocks with the reasons for each station.
pub(super) fn with_reasons(composer: &Composer, blocks: Vec<ComposedBlock>) -> Vec<ComposedBlock> {
    let mains: Vec<(usize, &Movement)> = blocks
        .iter()
        .enumerate()
        .filter(|(_, block)| block.kind == BlockKind::Main)
        .flat_map(|(index, block)| block.stations.iter().map(move |station| (index, &*station.movement)))
        .collect();
    let phases = composer.frame.warm_up.phases();
    let whys: Vec<Vec<Vec<String>>> = blocks
        .iter()
        .enumerate()
        .map(|(index, block)| {
            let of = |(station, at): (&super::ComposedStation, usize)| match block.kind {
                BlockKind::WarmUp => warm_up(&station.movement, at, phases, &mains),
                BlockKind::Main => main(composer, &blocks, index, at),
                BlockKind::CoolDown => cool_down(&station.movement, &mains),
            };
            block.stations.iter().zip(0..).map(of).collect()
        })
        .collect();
    let mut blocks = blocks;
    for (block, whys) in blocks.iter_mut().zip(whys) {
        for (station, why) in block.stations.iter_mut().zip(whys) {
            station.why = why;
        }
    }
    blocks
}

fn main(composer: &Composer, blocks: &[ComposedBlock], block: usize, at: usize) -> Vec<String> {
    let (request, stations) = (composer.request, &blocks[block].stations);
    let movement = &stations[at].movement;
    let mut why = Vec::new();
    if request.locked.iter().any(|locked| locked.movement == movement.id) {
        why.push("you asked for it".to_owned());
    }
    let family = PatternFamily::of(movement);
    let all = blocks.iter().filter(|block| block.kind == BlockKind::Main).flat_map(|block| &block.stations);
    let (of_it, count) = all.fold((0, 0), |(of_it, count), station| {
        (of_it + usize::from(PatternFamily::of(&station.movement) == family), count + 1)
    });
    if let Some(family) = family {
        why.push(format!("{family}: {of_it} of {count} stations"));
    }
    let among = |muscles: &[Muscle]| -> Vec<String> {
        request.focus.iter().filter(|muscle| muscles.contains(muscle)).map(|muscle| muscle.words()).collect()
    };
    if !request.focus.is_empty() {
        why.push(match off_focus(movement, &request.focus) {
            0 => format!("works the {}, as you asked", among(&movement.prime).join(" and ")),
            1 => format!("also works the {}, as you asked", among(&movement.helping).join(" and ")),
            _ => "for balance: your focus muscles rest here".to_owned(),
        });
    }
    let uses: Vec<String> = movement.kit.iter().filter(|need| need.item.0 != "mat").map(ToString::to_string).collect();
    let before = (at > 0).then(|| &stations[at - 1].movement);
    match (before, blocks[block].rotation) {
        (_, true) if !uses.is_empty() => why.push(format!("in a rotation, to share the {}", uses.join(" and "))),
        (Some(before), false) if before.kit == movement.kit && before.position == movement.position => {
            why.push("same kit and position as the station before".to_owned());
        }
        (Some(before), false) if before.kit == movement.kit => why.push("same kit as the station before".to_owned()),
        _ if !uses.is_empty() => why.push(format!("uses the {}", uses.join(" and "))),
        _ => {}
    }
    why.extend(alternatives(movement, request));
    if !request.last.is_empty() {
        why.push(
            if request.last.contains(&movement.id) { "in the last class too" } else { "not in the last class" }
                .to_owned(),
        );
    }
    let alike = equally_good_count(composer, blocks, block, at);
    if alike > 0 {
        why.push(format!("picked at random from {} equally good", alike + 1));
    }
    why
}

/// How many other movements in this place would make the block no worse.
fn equally_good_count(composer: &Composer, blocks: &[ComposedBlock], block: usize, at: usize) -> usize {
    let index = |movement: &Movement| composer.pool.movements.iter().position(|other| other.id == movement.id);
    let order: Vec<usize> = blocks[block].stations.iter().filter_map(|station| index(&station.movement)).collect();
    let everywhere = || blocks.iter().flat_map(|block| &block.stations).map(|station| &station.movement);
    let apart = |_: usize, _: usize| false;
    let before: Vec<usize> =
        blocks[1..block].iter().flat_map(|block| &block.stations).filter_map(|s| index(&s.movement)).collect();
    let circuit = composer.circuit(block - 1, &before, &apart);
    let (Some(&own), now) = (order.get(at), circuit.cost(&order)) else { return 0 };
    let family = PatternFamily::of(&composer.pool.movements[own]);
    let other = |&item: &usize| {
        let movement = &composer.pool.movements[item];
        PatternFamily::of(movement) == family
            && may_serve_as(movement, MovementRole::Main, composer.request.aim)
            && (composer.is_rotation(block - 1) || composer.pool.for_all[item])
            && !everywhere().any(|there| there.id == movement.id)
            && !everywhere().any(|there| there.id != composer.pool.movements[own].id && is_tier_of(there, movement))
    };
    let swapped = |item: usize| {
        let mut order = order.clone();
        order[at] = item;
        circuit.cost(&order)
    };
    (0..composer.items.len()).filter(other).filter(|&item| swapped(item) <= now).count()
}

fn warm_up(
    movement: &Movement,
    at: usize,
    [raise, mobilise, _]: [usize; 3],
    mains: &[(usize, &Movement)],
) -> Vec<String> {
    if at < raise {
        return vec!["raises the pulse".to_owned()];
    }
    if at >= raise + mobilise {
        let family = PatternFamily::of(movement).map(|family| family.to_string()).unwrap_or_default();
        return vec![format!("primes the {family} pattern, without kit")];
    }
    let moves = |muscle: &&Muscle| movement.prime.contains(muscle) || movement.helping.contains(muscle);
    let loads = |muscle: &Muscle| mains.iter().find(|(_, main)| main.loaded && main.prime.contains(muscle));
    let mut why: Vec<String> = Vec::new();
    for muscle in Muscle::ALL.iter().filter(moves) {
        if let Some((_, main)) = loads(muscle) {
            why.push(format!("mobilises the {}, to be loaded by {}", muscle.words(), main.name));
        }
    }
    if why.is_empty() { vec!["mobilises".to_owned()] } else { why }
}

fn cool_down(movement: &Movement, mains: &[(usize, &Movement)]) -> Vec<String> {
    let count = |muscle: &Muscle| mains.iter().filter(|(_, main)| main.loaded && main.prime.contains(muscle)).count();
    let loaded = movement.prime.iter().map(|muscle| (muscle, count(muscle))).filter(|(_, count)| *count > 0);
    let mut why: Vec<String> = loaded
        .map(|(muscle, count)| {
            let stations = if count == 1 { "station" } else { "stations" };
            format!("eases the {}, which {count} {stations} loaded", muscle.words())
        })
        .collect();
    if why.is_empty() {
        why.push(if is_held_stretch(movement) { "a held stretch" } else { "slows down" }.to_owned());
    }
    why
}

/// The alternative for each region to look after.
fn alternatives(movement: &Movement, request: &super::ComposeRequest) -> Vec<String> {
    let cautions = movement.cautions.iter().filter(|caution| request.look_after.contains(&caution.region));
    let mut why: Vec<String> = cautions
        .map(|caution| {
            let instead = match &caution.instead {
                CautionAlternative::Movement { name, .. } => name.as_str(),
                CautionAlternative::Text(text) => text,
                CautionAlternative::LeaveOut => "leave it out",
            };
            format!("alternative for {}: {instead}", region_words(caution.region))
        })
        .collect();
    if why.is_empty() && !request.look_after.is_empty() {
        let regions: Vec<&str> = request.look_after.iter().map(|region| region_words(*region)).collect();
        why.push(format!("no caution for {}", regions.join(" or ")));
    }
    why
}
