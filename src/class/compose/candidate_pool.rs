//! The candidate pool: the movements for which there is kit, and an alternative for each region to look after.

use std::sync::Arc;

use super::{ClassAim, ComposeRequest};
use crate::check::shortage;
use crate::movement::{Catalogue, CautionAlternative, KitItem, Movement, Muscle, Pattern, Sides};
use crate::session::{KitAmount, OwnedKit};

/// The pattern families that the main blocks are spread over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, strum::Display)]
#[strum(serialize_all = "snake_case")]
pub enum PatternFamily {
    Knee,
    Push,
    Hinge,
    Pull,
    Trunk,
    Travel,
}

impl PatternFamily {
    /// Every family, lower and upper body alternating.
    pub const ALL: [PatternFamily; 6] = [
        PatternFamily::Knee,
        PatternFamily::Push,
        PatternFamily::Hinge,
        PatternFamily::Pull,
        PatternFamily::Trunk,
        PatternFamily::Travel,
    ];

    /// The family of a movement. None for mobility.
    pub fn of(movement: &Movement) -> Option<PatternFamily> {
        Some(match movement.pattern {
            Pattern::Squat | Pattern::Lunge => PatternFamily::Knee,
            Pattern::Push => PatternFamily::Push,
            Pattern::Hinge => PatternFamily::Hinge,
            Pattern::Pull => PatternFamily::Pull,
            Pattern::Brace | Pattern::Rotate => PatternFamily::Trunk,
            Pattern::Carry | Pattern::Locomotion => PatternFamily::Travel,
            Pattern::Mobility => return None,
        })
    }
}

/// What a movement may be used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum MovementRole {
    /// Warm-up: raises the pulse.
    Raise,
    /// Warm-up: moves the muscles that will be loaded.
    Mobilise,
    /// Warm-up: rehearses a pattern of the main blocks, without kit.
    Potentiate,
    Main,
    CoolDown,
}

/// Kit to lie, sit or stand on. It does not count as a weight.
const FURNITURE: [&str; 3] = ["mat", "chair", "box"];

/// The movements of a catalogue that are possible under a request.
#[derive(Clone, Debug)]
pub(super) struct CandidatePool {
    /// The kit, as the session will have it.
    pub kit: Vec<OwnedKit>,
    pub movements: Vec<Arc<Movement>>,
    /// For each movement, whether there is enough kit for everybody at once.
    pub for_all: Vec<bool>,
    /// The kinds of kit that a main block may use, at most eight. Each is one bit of [`CandidatePool::uses`].
    pub kinds: Vec<String>,
}

impl CandidatePool {
    /// The movements with enough kit for `at_once` people, or for everybody if there are fewer.
    pub(super) fn of(request: &ComposeRequest, catalogue: &Catalogue, at_once: u64) -> CandidatePool {
        let kit = match request.kit.as_slice() {
            [] => vec![OwnedKit { item: KitItem("mat".to_owned()), load: None, amount: KitAmount::Each(1) }],
            kit => kit.to_vec(),
        };
        let everybody = u64::from(request.people.max(1));
        let enough =
            |movement: &Movement, people: u64| movement.kit.iter().all(|need| shortage(need, &kit, people).is_none());
        // There must be enough kit for everybody to do the alternative, since anybody may need it.
        let suits = |movement: &Movement| {
            movement.cautions.iter().filter(|caution| request.look_after.contains(&caution.region)).all(|caution| {
                match &caution.instead {
                    CautionAlternative::Movement { id, .. } => {
                        catalogue.get(id).is_some_and(|other| enough(other, everybody))
                    }
                    CautionAlternative::Text(_) => true,
                    CautionAlternative::LeaveOut => false,
                }
            })
        };
        let possible = |movement: &&Arc<Movement>| {
            // A span for each side would make a round longer than its frame.
            movement.sides != Sides::EachSide && enough(movement, at_once.min(everybody)) && suits(movement)
        };
        let movements: Vec<Arc<Movement>> = catalogue.iter().filter(possible).cloned().collect();
        let for_all = movements.iter().map(|movement| enough(movement, everybody)).collect();
        let mut kinds: Vec<String> = Vec::new();
        for owned in &kit {
            let item = &owned.item.0;
            let used = movements.iter().any(|movement| movement.kit.iter().any(|need| need.item == owned.item));
            if used && !["mat", "chair"].contains(&item.as_str()) && !kinds.contains(item) && kinds.len() < 8 {
                kinds.push(item.clone());
            }
        }
        CandidatePool { kit, movements, for_all, kinds }
    }

    /// The kinds of kit that a movement uses, one bit each.
    pub(super) fn uses(&self, movement: &Movement) -> u16 {
        let used = |kind: &String| movement.kit.iter().any(|need| need.item.0 == *kind);
        (0..self.kinds.len()).filter(|&kind| used(&self.kinds[kind])).fold(0, |bits, kind| bits | 1 << kind)
    }
}

/// A set of muscles, one bit each.
pub(super) fn bits<'a>(muscles: impl IntoIterator<Item = &'a Muscle>) -> u32 {
    muscles.into_iter().fold(0, |bits, &muscle| bits | 1 << muscle as u32)
}

/// Whether a movement may have a role in a class with this aim.
pub(super) fn may_serve_as(movement: &Movement, role: MovementRole, aim: ClassAim) -> bool {
    use crate::movement::Position::{HalfKneeling, Quadruped, SideLying, Standing};
    let bare = movement.kit.iter().all(|need| need.item.0 == "mat");
    let standing = movement.position == Standing;
    match role {
        MovementRole::Raise => movement.pattern == Pattern::Locomotion && !movement.loaded && standing && bare,
        MovementRole::Mobilise => {
            let moves = matches!(movement.pattern, Pattern::Mobility | Pattern::Rotate);
            let up = matches!(movement.position, Standing | HalfKneeling | Quadruped | SideLying);
            moves && !movement.loaded && up && bare
        }
        // Jeffreys 2007: the patterns of the main blocks, harder than mobilising and easier than the work.
        MovementRole::Potentiate => {
            let pattern = matches!(movement.pattern, Pattern::Squat | Pattern::Lunge | Pattern::Hinge | Pattern::Push);
            pattern && bare && movement.guide.is_some() && movement.easier.is_some()
        }
        MovementRole::Main => {
            // When the aim is conditioning, unloaded locomotion counts as work.
            let works = movement.loaded || (aim == ClassAim::Conditioning && movement.pattern == Pattern::Locomotion);
            works && movement.easier.is_some() && PatternFamily::of(movement).is_some()
        }
        MovementRole::CoolDown => {
            let eases = movement.pattern == Pattern::Mobility && !movement.loaded;
            eases && movement.kit.iter().all(|need| ["mat", "chair", "band"].contains(&need.item.0.as_str()))
        }
    }
}

/// Whether a movement is a static stretch of one side, and not one that keeps moving. An estimate: the catalogue does
/// not say.
pub(super) fn is_held_stretch(movement: &Movement) -> bool {
    movement.pattern == Pattern::Mobility && movement.sides == Sides::LeftThenRight && movement.guide.is_none()
}

/// How many half stations a movement is short of working the focus muscles: 0, 1 or 2.
pub(super) fn off_focus(movement: &Movement, focus: &[Muscle]) -> u64 {
    let any = |muscles: &[Muscle]| focus.iter().any(|muscle| muscles.contains(muscle));
    match (focus.is_empty() || any(&movement.prime), any(&movement.helping)) {
        (true, _) => 0,
        (false, true) => 1,
        (false, false) => 2,
    }
}

/// Whether a movement does little for the aim.
pub(super) fn off_aim(movement: &Movement, aim: ClassAim) -> bool {
    match aim {
        ClassAim::Strength => movement.kit.iter().all(|need| FURNITURE.contains(&need.item.0.as_str())),
        ClassAim::Conditioning => {
            let still = matches!(movement.sides, Sides::Together | Sides::LeftThenRight);
            movement.pattern == Pattern::Brace && movement.guide.is_none() && still
        }
    }
}

/// Whether a movement needs an alternative for a region to look after.
pub(super) fn wants_care(movement: &Movement, request: &ComposeRequest) -> bool {
    movement.cautions.iter().any(|caution| request.look_after.contains(&caution.region))
}

/// Whether one of two movements is the easier or harder option of the other.
pub(super) fn is_tier_of(a: &Movement, b: &Movement) -> bool {
    let leads = |from: &Movement, to: &Movement| {
        [&from.easier, &from.harder].into_iter().flatten().any(|tier| tier.movement.as_ref() == Some(&to.id))
    };
    leads(a, b) || leads(b, a)
}
