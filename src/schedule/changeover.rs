//! What has to be changed between two work spans, and what that costs.

use std::collections::BTreeMap;

use super::{Changeover, Side};
use crate::movement::{Item, KitNeed, Load, Position};
use crate::time::Tick;

/// The seconds a change needs, by what changes. Kit and position add up; beside them, the longest of the
/// others counts, since a side is changed and a place walked to meanwhile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Costs {
    pub side: Tick,
    pub kit_down: Tick,
    pub kit_up: Tick,
    /// One piece down and another up.
    pub kit_swap: Tick,
    pub to_floor: Tick,
    pub from_floor: Tick,
    /// From the back to the front or the other way.
    pub turn_over: Tick,
    /// Any other new position: down to a chair, up from all fours to one knee.
    pub other_position: Tick,
    /// Another place in the room.
    pub place: Tick,
}

impl Costs {
    /// Our estimates, until a group has been measured.
    pub const ESTIMATED: Costs = Costs {
        side: Tick::seconds(2),
        kit_down: Tick::seconds(3),
        kit_up: Tick::seconds(4),
        kit_swap: Tick::seconds(6),
        to_floor: Tick::seconds(6),
        from_floor: Tick::seconds(7),
        turn_over: Tick::seconds(4),
        other_position: Tick::seconds(2),
        place: Tick::seconds(8),
    };

    /// What a change needs.
    pub fn of(&self, change: &Changeover) -> Tick {
        let kit = match (change.down.is_empty(), change.up.is_empty()) {
            (true, true) => Tick::ZERO,
            (false, true) => self.kit_down,
            (true, false) => self.kit_up,
            (false, false) => self.kit_swap,
        };
        let position = match change.position {
            None => Tick::ZERO,
            Some((from, to)) => self.of_position(from, to),
        };
        let side = if change.side.is_some() { self.side } else { Tick::ZERO };
        let place = if change.place.is_some() { self.place } else { Tick::ZERO };
        (kit + position).max(side).max(place)
    }

    fn of_position(&self, from: Position, to: Position) -> Tick {
        match (from.on_floor(), to.on_floor()) {
            (false, true) => self.to_floor,
            (true, false) => self.from_floor,
            _ if matches!((from, to), (Position::Supine, Position::Prone) | (Position::Prone, Position::Supine)) => {
                self.turn_over
            }
            _ => self.other_position,
        }
    }
}

/// How somebody stands in a work span: what a change starts from or leads to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stance {
    pub(super) movement: String,
    pub(super) kit: Vec<KitNeed>,
    pub(super) position: Position,
    pub(super) place: Option<String>,
    pub(super) side: Side,
}

impl Changeover {
    /// What changes from one stance to the next. Before the first of a class everybody stands empty-handed and
    /// has the time to get ready, so it needs nothing.
    pub(super) fn between(before: Option<&Stance>, after: &Stance, costs: &Costs) -> Changeover {
        let (down, up) = kit_change(before.map_or(&[], |stance| &stance.kit), &after.kit);
        let from = before.map_or(Position::Standing, |stance| stance.position);
        let movement = before.is_none_or(|stance| stance.movement != after.movement);
        let other_side = matches!(
            (before.map(|stance| stance.side), after.side),
            (Some(Side::Left), Side::Right) | (Some(Side::Right), Side::Left)
        );
        let place = after.place.clone().filter(|_| before.is_none_or(|stance| stance.place != after.place));
        let mut change = Changeover {
            down,
            up,
            position: (from != after.position).then_some((from, after.position)),
            side: (other_side && !movement).then_some(after.side),
            place,
            movement,
            needs: Tick::ZERO,
        };
        if before.is_some() {
            change.needs = costs.of(&change);
        }
        change
    }

    /// Whether nothing changes but the side.
    pub fn is_side_only(&self) -> bool {
        self.side.is_some()
            && !self.movement
            && self.down.is_empty()
            && self.up.is_empty()
            && self.position.is_none()
            && self.place.is_none()
    }
}

/// What goes down and what comes up between two handfuls of kit, both in order of item and load.
fn kit_change(before: &[KitNeed], after: &[KitNeed]) -> (Vec<KitNeed>, Vec<KitNeed>) {
    let mut balance: BTreeMap<(&Item, Option<Load>), i32> = BTreeMap::new();
    for need in before {
        *balance.entry((&need.item, need.load)).or_default() -= i32::from(need.count);
    }
    for need in after {
        *balance.entry((&need.item, need.load)).or_default() += i32::from(need.count);
    }
    let pick = |sign: i32| {
        let wanted = balance.iter().filter(|&(_, &count)| count * sign > 0);
        wanted
            .map(|(&(item, load), &count)| KitNeed {
                item: item.clone(),
                load,
                count: u8::try_from(count.unsigned_abs()).unwrap_or(u8::MAX),
            })
            .collect()
    };
    (pick(-1), pick(1))
}
