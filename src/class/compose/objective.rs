//! The objective: what makes a class good. Composing searches by it, and it is defined only here.
//!
//! **Hard conditions.** A composed class meets all of these:
//! - The class fits the slot (`check`).
//! - There is kit for everybody who needs it at once (`check`).
//! - For each region to look after there is an alternative, with kit for it too (usual cautions; not medical advice).
//! - The class begins with a warm-up in the order raise, mobilise, potentiate (Jeffreys 2007), and ends with a
//!   cool-down.
//! - Mobilisation before load: the warm-up moves every muscle that a main block loads, if any warm-up movement can
//!   (common practice).
//! - No movement comes twice, and no main station is the easier or harder option of another (our estimate of variety).
//! - Every main station has an easier option, and no rule of `check`, advice included, gives a warning.
//!
//! **Criteria**, in order of weight. Each decides only between classes that are equal in all criteria before it:
//! 1. *Pattern balance*: the stations of the main blocks are spread as evenly as the pools allow over knee (squat,
//!    lunge), push, hinge, pull, trunk (brace, rotate) and travel (carry, locomotion). An extra station goes to a
//!    family that works the focus muscles (common practice; the six families are our estimate). As few neighbours as
//!    possible load the same prime muscle.
//! 2. *Focus muscles*: a station with a focus muscle as a prime mover counts in full, one with it as a helper by half.
//! 3. *Aim* (our estimate): for strength, stations with a weight or a band; for conditioning, no still holds. After the
//!    aim, as few stations as possible that need an alternative for a region to look after.
//! 4. *Kit*: the kit in the room is used, spread over the blocks.
//! 5. *Few changes*: first of kit, then of position, where going down to the floor and getting up count double. Counted
//!    over one pass with the way back. The rests cover the seconds that changes take, so changes are counted and not
//!    timed.
//! 6. *Few repeats* from the last class.
//! 7. *Variety*: the seed orders the movements, and of equal classes the first in that order is taken.
//!
//! The spread over the families is chosen first. Then the main blocks are composed one after the other: each is the
//! best one, given the blocks before it. Then comes the warm-up that prepares for them, then the cool-down that eases
//! the muscles they loaded. Each of these searches is exact, unless a main block's search is stopped after its largest
//! number of steps; the composed class then says how far from the best the block may be. If a rule refuses a class, the
//! next best is taken.

use std::ops::Add;

/// The cost of a block by the objective. Each part takes eight bits of one number, the part with the most weight
/// highest, so that comparing two numbers compares part after part. A block has at most a dozen stations, so no part
/// reaches 256.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Cost(u64);

impl Cost {
    pub const NOTHING: Cost = Cost(0);
    /// More than any block costs.
    pub const MOST: Cost = Cost(u64::MAX);

    /// The number of neighbours that load the same prime muscle.
    pub fn crowded(count: u64) -> Cost {
        Cost(count << 56)
    }

    /// The number of half stations short of the focus muscles.
    pub fn off_focus(halves: u64) -> Cost {
        Cost(halves << 48)
    }

    /// The number of stations that do little for the aim.
    pub fn off_aim(count: u64) -> Cost {
        Cost(count << 40)
    }

    /// The number of stations that need an alternative for somebody.
    pub fn care(count: u64) -> Cost {
        Cost(count << 32)
    }

    /// The number of kinds of kit that should have been used by now, but were not.
    pub fn kit_left(count: u64) -> Cost {
        Cost(count << 24)
    }

    /// The number of kit changes.
    pub fn kit_changes(count: u64) -> Cost {
        Cost(count << 16)
    }

    /// The number of position changes. Changes to and from the floor count double.
    pub fn moves(count: u64) -> Cost {
        Cost(count << 8)
    }

    /// The number of stations that were in the last class too.
    pub fn repeats(count: u64) -> Cost {
        Cost(count)
    }

    /// Each part with its name, in order of weight, for tests and messages.
    pub fn parts(self) -> [(&'static str, u64); 8] {
        let part = |shift: u32| self.0 >> shift & 0xff;
        [
            ("neighbours that load the same muscle", part(56)),
            ("half stations short of your focus", part(48)),
            ("stations that do little for the aim", part(40)),
            ("stations that need an alternative", part(32)),
            ("kinds of kit left unused", part(24)),
            ("kit changes", part(16)),
            ("position changes", part(8)),
            ("repeats from the last class", part(0)),
        ]
    }
}

impl Add for Cost {
    type Output = Cost;

    fn add(self, other: Cost) -> Cost {
        Cost(self.0.saturating_add(other.0))
    }
}
