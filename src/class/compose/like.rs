//! Another movement for one place of any class, by the objective that whole classes are composed by.

use std::sync::Arc;

use super::composer::items;
use super::objective::Cost;
use super::room::{Family, Role, Room, is_tier_of, may};
use super::search::Circuit;
use super::{Aim, Place, Request};
use crate::movement::{Catalogue, Item, KitNeed, Movement};
use crate::session::{self, Amount, Format, Kind, KitOwned, Session};

/// The movements that can stand in a place instead of the one that does, the best first: of the same pattern family and
/// for the same purpose, with kit for everybody who needs it at once, and none that the class has. All other stations stay as
/// they are. Best is what makes its block cost the least by the [objective](super::objective); of equals, the first by id.
///
/// None are given for a place that is not there.
pub fn like(session: &Session, catalogue: &Catalogue, place: Place) -> Vec<Arc<Movement>> {
    costs(session, catalogue, place).into_iter().map(|(_, movement)| movement).collect()
}

/// The same, with what the block of the place then costs.
pub fn costs(session: &Session, catalogue: &Catalogue, place: Place) -> Vec<(Cost, Arc<Movement>)> {
    let Some(block) = session.blocks.get(place.block) else { return Vec::new() };
    let Some(station) = block.stations.get(place.station) else { return Vec::new() };
    let request = asked(session, block);
    let walking = block.format == Format::Rotation;
    let at_once = if walking {
        u64::from(request.people).div_ceil(block.stations.len().max(1) as u64)
    } else {
        u64::from(request.people)
    };
    let mut room = Room::of(&request, catalogue, at_once);
    let open: Vec<Arc<Movement>> = room.movements.clone();
    // What stands there may be the coach's own, or be for kit that is not listed.
    let all = || session.blocks.iter().flat_map(|block| &block.stations);
    for station in all() {
        if !room.movements.iter().any(|movement| movement.id == station.movement.id) {
            room.movements.push(Arc::clone(&station.movement));
        }
    }
    let items = items(&room, &request);
    let index = |id: &str| room.movements.iter().position(|movement| movement.id == id);
    let order: Vec<usize> = block.stations.iter().filter_map(|station| index(&station.movement.id)).collect();
    let mains = session.blocks.iter().enumerate().filter(|(_, other)| other.kind == Kind::Main);
    let elsewhere = mains.filter(|(index, _)| *index != place.block).flat_map(|(_, block)| &block.stations);
    let used = elsewhere.filter_map(|station| index(&station.movement.id)).fold(0, |used, at| used | items[at].uses);
    let circuit = Circuit {
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
        roles.iter().any(|role| may(movement, *role, request.aim))
            && (block.kind != Kind::Main || Family::of(movement) == Family::of(&station.movement))
            && !all().any(|there| there.movement.id == movement.id)
            && !all().any(|there| {
                there.movement.id != station.movement.id
                    && block.kind == Kind::Main
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

/// What the class was made for, as far as its file says.
fn asked(session: &Session, block: &session::Block) -> Request {
    let kit = if session.kit.is_empty() { taken(session) } else { session.kit.clone() };
    Request {
        people: session.people.unwrap_or(1).max(1),
        kit,
        aim: if block.aim == Some(session::Aim::Strength) { Aim::Strength } else { Aim::Conditioning },
        focus: block.focus.clone(),
        mind: session.mind.clone(),
        ..Request::default()
    }
}

/// The kit that the class takes, where the file does not say what there is: that much and a mat for each.
fn taken(session: &Session) -> Vec<KitOwned> {
    let mat = KitNeed { item: Item("mat".to_owned()), load: None, count: 1 };
    let needs = session.blocks.iter().flat_map(|block| &block.stations).flat_map(|station| &station.kit);
    let mut kit: Vec<KitOwned> = Vec::new();
    for need in needs.chain([&mat]) {
        let count = u32::from(need.count);
        match kit.iter_mut().find(|owned| owned.item == need.item && owned.load == need.load) {
            Some(owned) => {
                if let Amount::Each(there) = &mut owned.amount {
                    *there = count.max(*there);
                }
            }
            None => kit.push(KitOwned { item: need.item.clone(), load: need.load, amount: Amount::Each(count) }),
        }
    }
    kit
}

/// What the movement of a station may be there for.
fn roles(kind: Kind, movement: &Movement, aim: Aim) -> Vec<Role> {
    let all = match kind {
        Kind::Main => return vec![Role::Main],
        Kind::CoolDown => return vec![Role::CoolDown],
        Kind::WarmUp => [Role::Raise, Role::Mobilise, Role::Potentiate],
    };
    let own: Vec<Role> = all.into_iter().filter(|role| may(movement, *role, aim)).collect();
    if own.is_empty() { all.to_vec() } else { own }
}
