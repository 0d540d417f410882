//! Kinds of transition: what changes, without the names of kit and movements. Times are measured and learned by kind.

use std::fmt;
use std::str::FromStr;

use strum::{Display, EnumIter, EnumString, IntoEnumIterator};

use super::{Changeover, FloorChange};
use crate::movement::Position;

/// A kind of transition. Written as its parts: `kit_swap+to_floor`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct TransitionKind {
    pub kit: Option<KitChange>,
    pub position: Option<PositionChange>,
    /// The side changes.
    pub side: bool,
    /// The place in the room changes.
    pub place: bool,
}

/// How the kit in the hands changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Display, EnumString, EnumIter)]
#[strum(serialize_all = "snake_case")]
pub enum KitChange {
    KitDown,
    KitUp,
    /// One piece down and another up.
    KitSwap,
}

/// How the position of the body changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Display, EnumString, EnumIter)]
#[strum(serialize_all = "snake_case")]
pub enum PositionChange {
    ToFloor,
    FromFloor,
    /// From the back to the front or from the front to the back.
    TurnOver,
    /// Any other new position: down to a chair, up from all fours to one knee, over to a box.
    OtherPosition,
}

const SIDE: &str = "side";
const PLACE: &str = "place";
/// A transition in which only the movement changes.
const NOTHING: &str = "nothing";

impl TransitionKind {
    /// The kind of a changeover.
    pub fn of(change: &Changeover) -> TransitionKind {
        let kit = match (change.down.is_empty(), change.up.is_empty()) {
            (true, true) => None,
            (false, true) => Some(KitChange::KitDown),
            (true, false) => Some(KitChange::KitUp),
            (false, false) => Some(KitChange::KitSwap),
        };
        TransitionKind {
            kit,
            position: PositionChange::of(change),
            side: change.side.is_some(),
            place: change.place.is_some(),
        }
    }

    /// All kinds.
    pub fn all() -> impl Iterator<Item = TransitionKind> {
        let kits = || std::iter::once(None).chain(KitChange::iter().map(Some));
        let positions = || std::iter::once(None).chain(PositionChange::iter().map(Some));
        kits().flat_map(move |kit| {
            positions().flat_map(move |position| {
                [(false, false), (true, false), (false, true), (true, true)].map(|(side, place)| TransitionKind {
                    kit,
                    position,
                    side,
                    place,
                })
            })
        })
    }
}

impl PositionChange {
    /// The change of position in a changeover. Going to a box or a chair, or leaving one, counts as another position,
    /// even when people stand before and after.
    fn of(change: &Changeover) -> Option<PositionChange> {
        use Position::{Prone, Supine};
        match (change.floor, change.position) {
            (Some(FloorChange::Down), _) => Some(PositionChange::ToFloor),
            (Some(FloorChange::Up), _) => Some(PositionChange::FromFloor),
            (None, Some((Supine, Prone) | (Prone, Supine))) => Some(PositionChange::TurnOver),
            (None, None) if change.off.is_empty() && change.onto.is_empty() => None,
            (None, _) => Some(PositionChange::OtherPosition),
        }
    }
}

impl fmt::Display for TransitionKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [
            self.kit.map(|kit| kit.to_string()),
            self.position.map(|position| position.to_string()),
            self.side.then(|| SIDE.to_owned()),
            self.place.then(|| PLACE.to_owned()),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        f.write_str(if parts.is_empty() { NOTHING.to_owned() } else { parts.join("+") }.as_str())
    }
}

/// A text that names no kind of transition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("not a kind of transition")]
pub struct UnknownTransition;

impl FromStr for TransitionKind {
    type Err = UnknownTransition;

    fn from_str(text: &str) -> Result<TransitionKind, UnknownTransition> {
        TransitionKind::all().find(|kind| kind.to_string() == text).ok_or(UnknownTransition)
    }
}
