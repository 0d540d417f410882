//! What has to be changed between two work spans, and what that costs.

use std::collections::BTreeMap;

use super::transition::{KitChange, PositionChange};
use super::{Changeover, Floor, Learned, Side, Transition};
use crate::movement::{Item, KitNeed, Load, Position, SIDE_SWITCH};
use crate::time::Tick;

/// The time a change needs, by what changes: as it was measured, where that was done often enough, else the seconds
/// of a table. By the table kit and position add up; beside them, the longest of the others counts, since a side is
/// changed and a place walked to meanwhile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Costs {
    pub side: Tick,
    pub kit_down: Tick,
    pub kit_up: Tick,
    pub kit_swap: Tick,
    pub to_floor: Tick,
    pub from_floor: Tick,
    pub turn_over: Tick,
    pub other_position: Tick,
    pub place: Tick,
    pub learned: Learned,
}

impl Costs {
    /// Our estimates, until a group has been measured.
    pub const ESTIMATED: Costs = Costs {
        side: SIDE_SWITCH,
        kit_down: Tick::seconds(3),
        kit_up: Tick::seconds(4),
        kit_swap: Tick::seconds(6),
        to_floor: Tick::seconds(6),
        from_floor: Tick::seconds(7),
        turn_over: Tick::seconds(4),
        other_position: Tick::seconds(2),
        place: Tick::seconds(8),
        learned: Learned::NOTHING,
    };

    /// What a change needs.
    pub fn of(&self, change: &Changeover) -> Tick {
        let kind = Transition::of(change);
        self.learned.get(kind).map_or_else(|| self.by_table(kind), |measured| measured.needs)
    }

    /// What a kind of transition needs by the table.
    pub fn by_table(&self, kind: Transition) -> Tick {
        let kit = kind.kit.map_or(Tick::ZERO, |kit| match kit {
            KitChange::KitDown => self.kit_down,
            KitChange::KitUp => self.kit_up,
            KitChange::KitSwap => self.kit_swap,
        });
        let position = kind.position.map_or(Tick::ZERO, |position| match position {
            PositionChange::ToFloor => self.to_floor,
            PositionChange::FromFloor => self.from_floor,
            PositionChange::TurnOver => self.turn_over,
            PositionChange::OtherPosition => self.other_position,
        });
        let side = if kind.side { self.side } else { Tick::ZERO };
        let place = if kind.place { self.place } else { Tick::ZERO };
        (kit + position).max(side).max(place)
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

impl Stance {
    fn on_floor(&self) -> bool {
        self.position.on_floor_with(self.kit.iter().map(|need| &need.item))
    }
}

impl Changeover {
    /// What changes from one stance to the next. Before the first of a class everybody stands empty-handed and
    /// has the time to get ready, so it needs nothing.
    pub(super) fn between(before: Option<&Stance>, after: &Stance, costs: &Costs) -> Changeover {
        let held = before.map_or(&[][..], |stance| &stance.kit);
        let (down, up) = kit_change(held, &after.kit);
        let from = before.map_or(Position::Standing, |stance| stance.position);
        let was_down = before.is_some_and(Stance::on_floor);
        let movement = before.is_none_or(|stance| stance.movement != after.movement);
        let other_side = matches!(
            (before.map(|stance| stance.side), after.side),
            (Some(Side::Left), Side::Right) | (Some(Side::Right), Side::Left)
        );
        let place = after.place.clone().filter(|_| before.is_none_or(|stance| stance.place != after.place));
        let mut change = Changeover {
            down,
            up,
            off: lying(held, &after.kit, from),
            onto: lying(&after.kit, held, after.position),
            floor: match (was_down, after.on_floor()) {
                (false, true) => Some(Floor::Down),
                (true, false) => Some(Floor::Up),
                _ => None,
            },
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
            && self.off.is_empty()
            && self.onto.is_empty()
            && self.position.is_none()
            && self.place.is_none()
    }
}

/// What lies out among some kit and not among the other, each once. Down on the floor a mat is no matter: the position
/// says how one gets there, and nobody leaves it to stay on the floor.
fn lying(kit: &[KitNeed], other: &[KitNeed], position: Position) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for item in kit.iter().map(|need| &need.item).filter(|item| item.lies_out()) {
        let has = other.iter().any(|need| need.item == *item) || items.contains(item);
        let is_no_matter = has || (item.is_mat() && position.on_floor());
        if !is_no_matter {
            items.push(item.clone());
        }
    }
    items
}

/// What goes down and what comes up between two handfuls of kit, both in order of item and load. What lies out is in
/// nobody's hands.
fn kit_change(before: &[KitNeed], after: &[KitNeed]) -> (Vec<KitNeed>, Vec<KitNeed>) {
    let mut balance: BTreeMap<(&Item, Option<Load>), i32> = BTreeMap::new();
    for need in before.iter().filter(|need| !need.item.lies_out()) {
        *balance.entry((&need.item, need.load)).or_default() -= i32::from(need.count);
    }
    for need in after.iter().filter(|need| !need.item.lies_out()) {
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
