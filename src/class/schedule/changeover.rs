//! The changeover between two work spans, and the time it needs.

use std::collections::BTreeMap;

use super::transition::{KitChange, PositionChange};
use super::{Changeover, FloorChange, LearnedTransitions, TransitionKind, WorkingSide};
use crate::movement::{KitItem, Load, NeededKit, Position, SIDE_SWITCH};
use crate::time::Tick;

/// The time that a changeover needs. A kind of changeover that was measured often enough needs the measured time. For
/// the others this table counts. Its times for kit and position are added up. The side is switched and the place is
/// walked to in the same time, so the longest of the three counts: kit and position, side, place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangeoverCosts {
    pub side: Tick,
    pub kit_down: Tick,
    pub kit_up: Tick,
    pub kit_swap: Tick,
    pub to_floor: Tick,
    pub from_floor: Tick,
    pub turn_over: Tick,
    pub other_position: Tick,
    pub place: Tick,
    pub learned: LearnedTransitions,
}

impl ChangeoverCosts {
    /// Our estimates, used until a group has been measured.
    pub const ESTIMATED: ChangeoverCosts = ChangeoverCosts {
        side: SIDE_SWITCH,
        kit_down: Tick::seconds(3),
        kit_up: Tick::seconds(4),
        kit_swap: Tick::seconds(6),
        to_floor: Tick::seconds(6),
        from_floor: Tick::seconds(7),
        turn_over: Tick::seconds(4),
        other_position: Tick::seconds(2),
        place: Tick::seconds(8),
        learned: LearnedTransitions::NOTHING,
    };

    /// The time that a changeover needs.
    pub fn of(&self, change: &Changeover) -> Tick {
        let kind = TransitionKind::of(change);
        self.learned.measured_need(kind).map_or_else(|| self.estimate(kind), |measured| measured.needs)
    }

    /// The time that a kind of transition needs by the table.
    pub fn estimate(&self, kind: TransitionKind) -> Tick {
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

/// What somebody does in a work span, with which kit and where: the start or the end of a changeover.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stance {
    pub(super) movement: String,
    pub(super) kit: Vec<NeededKit>,
    pub(super) position: Position,
    pub(super) place: Option<String>,
    pub(super) side: WorkingSide,
}

impl Stance {
    fn on_floor(&self) -> bool {
        self.position.on_floor_with(self.kit.iter().map(|need| &need.item))
    }
}

impl Changeover {
    /// The changeover from one stance to the next. Before the first stance of a class everybody stands with empty hands
    /// and has time to get ready, so the first changeover needs no time.
    pub(super) fn between(before: Option<&Stance>, after: &Stance, costs: &ChangeoverCosts) -> Changeover {
        let held = before.map_or(&[][..], |stance| &stance.kit);
        let (down, up) = kit_change(held, &after.kit);
        let from = before.map_or(Position::Standing, |stance| stance.position);
        let was_down = before.is_some_and(Stance::on_floor);
        let movement = before.is_none_or(|stance| stance.movement != after.movement);
        let other_side = matches!(
            (before.map(|stance| stance.side), after.side),
            (Some(WorkingSide::Left), WorkingSide::Right) | (Some(WorkingSide::Right), WorkingSide::Left)
        );
        let place = after.place.clone().filter(|_| before.is_none_or(|stance| stance.place != after.place));
        let mut change = Changeover {
            down,
            up,
            off: kit_left_out(held, &after.kit, from),
            onto: kit_left_out(&after.kit, held, after.position),
            floor: match (was_down, after.on_floor()) {
                (false, true) => Some(FloorChange::Down),
                (true, false) => Some(FloorChange::Up),
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

    /// Whether only the side changes.
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

/// The items of `kit` that lie out and are not in `other`, each once. When `position` is on the floor, mats are not
/// included: the change of position covers the way to the mat, and nobody leaves a mat to stay on the floor.
fn kit_left_out(kit: &[NeededKit], other: &[NeededKit], position: Position) -> Vec<KitItem> {
    let mut items: Vec<KitItem> = Vec::new();
    for item in kit.iter().map(|need| &need.item).filter(|item| item.stays_on_floor()) {
        let has = other.iter().any(|need| need.item == *item) || items.contains(item);
        let is_no_matter = has || (item.is_mat() && position.on_floor());
        if !is_no_matter {
            items.push(item.clone());
        }
    }
    items
}

/// The kit to put down and the kit to pick up between two stances, each in order of item and load. Items that lie out
/// do not count, because nobody carries them.
fn kit_change(before: &[NeededKit], after: &[NeededKit]) -> (Vec<NeededKit>, Vec<NeededKit>) {
    let mut balance: BTreeMap<(&KitItem, Option<Load>), i32> = BTreeMap::new();
    for need in before.iter().filter(|need| !need.item.stays_on_floor()) {
        *balance.entry((&need.item, need.load)).or_default() -= i32::from(need.count);
    }
    for need in after.iter().filter(|need| !need.item.stays_on_floor()) {
        *balance.entry((&need.item, need.load)).or_default() += i32::from(need.count);
    }
    let pick = |sign: i32| {
        let wanted = balance.iter().filter(|&(_, &count)| count * sign > 0);
        wanted
            .map(|(&(item, load), &count)| NeededKit {
                item: item.clone(),
                load,
                count: u8::try_from(count.unsigned_abs()).unwrap_or(u8::MAX),
            })
            .collect()
    };
    (pick(-1), pick(1))
}
