//! Swaps for one place of any class, chosen by the objective that composes whole classes.

use std::sync::Arc;

use super::candidate_pool::{CandidatePool, MovementRole, PatternFamily, is_tier_of, may_serve_as};
use super::composer::items;
use super::objective::Cost;
use super::order_search::BlockProblem;
use super::{ClassAim, ComposeRequest, StationPlace};
use crate::movement::{Catalogue, KitItem, Movement, NeededKit};
use crate::session::{self, BlockFormat, BlockKind, KitAmount, OwnedKit, Session};

/// The movements that can be swapped in at a place, the best first. Each has the same pattern family and purpose as the
/// present one, has kit for everybody who needs it at once, and is not in the class yet. All other stations stay as
/// they are. The best movement gives its block the lowest cost by the [objective](super::objective); equal ones are in
/// order of id.
///
/// Empty for a place that does not exist.
pub fn similar_movements(session: &Session, catalogue: &Catalogue, place: StationPlace) -> Vec<Arc<Movement>> {
    costs(session, catalogue, place).into_iter().map(|(_, movement)| movement).collect()
}

/// The same, each with the cost of the block after the swap.
pub fn costs(session: &Session, catalogue: &Catalogue, place: StationPlace) -> Vec<(Cost, Arc<Movement>)> {
    let Some(block) = session.blocks.get(place.block) else { return Vec::new() };
    let Some(station) = block.stations.get(place.station) else { return Vec::new() };
    let request = request_of(session, block);
    let walking = block.format == BlockFormat::Rotation;
    let at_once = if walking {
        u64::from(request.people).div_ceil(block.stations.len().max(1) as u64)
    } else {
        u64::from(request.people)
    };
    let mut room = CandidatePool::of(&request, catalogue, at_once);
    let open: Vec<Arc<Movement>> = room.movements.clone();
    // A present movement may be the coach's own, or need kit that is not listed.
    let all = || session.blocks.iter().flat_map(|block| &block.stations);
    for station in all() {
        if !room.movements.iter().any(|movement| movement.id == station.movement.id) {
            room.movements.push(Arc::clone(&station.movement));
        }
    }
    let items = items(&room, &request);
    let index = |id: &str| room.movements.iter().position(|movement| movement.id == id);
    let order: Vec<usize> = block.stations.iter().filter_map(|station| index(&station.movement.id)).collect();
    let mains = session.blocks.iter().enumerate().filter(|(_, other)| other.kind == BlockKind::Main);
    let elsewhere = mains.filter(|(index, _)| *index != place.block).flat_map(|(_, block)| &block.stations);
    let used = elsewhere.filter_map(|station| index(&station.movement.id)).fold(0, |used, at| used | items[at].uses);
    let circuit = BlockProblem {
        items: &items,
        slots: Vec::new(),
        again: block.rounds > 1,
        walking,
        used,
        kinds: room.kinds.len() as u32,
        apart: &|_, _| false,
        rank: &[],
    };
    let roles = roles(block.kind, &station.movement, request.aim);
    let fits = |movement: &&Arc<Movement>| {
        roles.iter().any(|role| may_serve_as(movement, *role, request.aim))
            && (block.kind != BlockKind::Main || PatternFamily::of(movement) == PatternFamily::of(&station.movement))
            && !all().any(|there| there.movement.id == movement.id)
            && !all().any(|there| {
                there.movement.id != station.movement.id
                    && block.kind == BlockKind::Main
                    && is_tier_of(&there.movement, movement)
            })
    };
    let priced = open.iter().filter(fits).filter_map(|movement| {
        let mut order = order.clone();
        *order.get_mut(place.station)? = index(&movement.id)?;
        Some((circuit.cost(&order), Arc::clone(movement)))
    });
    let mut priced: Vec<(Cost, Arc<Movement>)> = priced.collect();
    priced.sort_by(|(a, one), (b, other)| (a, &one.id).cmp(&(b, &other.id)));
    priced
}

/// The request that the session file implies.
fn request_of(session: &Session, block: &session::Block) -> ComposeRequest {
    let kit = if session.kit.is_empty() { kit_used(session) } else { session.kit.clone() };
    ComposeRequest {
        people: session.people.unwrap_or(1).max(1),
        kit,
        aim: if block.aim == Some(session::BlockAim::Strength) { ClassAim::Strength } else { ClassAim::Conditioning },
        focus: block.focus.clone(),
        look_after: session.look_after.clone(),
        ..ComposeRequest::default()
    }
}

/// The kit of a session that lists none: what its stations need, and a mat for each person.
fn kit_used(session: &Session) -> Vec<OwnedKit> {
    let mat = NeededKit { item: KitItem("mat".to_owned()), load: None, count: 1 };
    let needs = session.blocks.iter().flat_map(|block| &block.stations).flat_map(|station| &station.kit);
    let mut kit: Vec<OwnedKit> = Vec::new();
    for need in needs.chain([&mat]) {
        let count = u32::from(need.count);
        match kit.iter_mut().find(|owned| owned.item == need.item && owned.load == need.load) {
            Some(owned) => {
                if let KitAmount::Each(there) = &mut owned.amount {
                    *there = count.max(*there);
                }
            }
            None => kit.push(OwnedKit { item: need.item.clone(), load: need.load, amount: KitAmount::Each(count) }),
        }
    }
    kit
}

/// The roles that a replacement for this movement may have.
fn roles(kind: BlockKind, movement: &Movement, aim: ClassAim) -> Vec<MovementRole> {
    let all = match kind {
        BlockKind::Main => return vec![MovementRole::Main],
        BlockKind::CoolDown => return vec![MovementRole::CoolDown],
        BlockKind::WarmUp => [MovementRole::Raise, MovementRole::Mobilise, MovementRole::Potentiate],
    };
    let own: Vec<MovementRole> = all.into_iter().filter(|role| may_serve_as(movement, *role, aim)).collect();
    if own.is_empty() { all.to_vec() } else { own }
}
